"""Which jobs an audit is of: by technician, bike, procedure, time and outcome; and their digest."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from commission.errors import DamagedError, RefusedError
from commission.job.entry import Digest

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.record.store import JobLine, Store

FINISHED: Final = "finished"
_OUTCOMES: Final = "finished (the usual), any, open, released, or another outcome in its words"


@dataclass(frozen=True, slots=True)
class Selection:
    """What jobs have to be like; an empty text asks nothing."""

    jobs: tuple[str, ...] = ()
    """Only these, whatever else is asked."""
    technician: str = ""
    """Name of somebody who made at least one entry."""
    bike: str = ""
    """Part of what the list of jobs says of the bike; capitals do not matter."""
    procedure: str = ""
    since: str = ""
    """First day of opening, YYYY-MM-DD."""
    until: str = ""
    """Last day of opening."""
    outcome: str = FINISHED
    """`finished`, `open`, `any`, or an outcome; of it and the procedure capitals do not matter."""
    practice: bool = False
    """Whether practice jobs are in it, too."""

    def __post_init__(self) -> None:
        """Refuse days that are none.

        Raises:
            RefusedError: names the one.
        """
        for name in ("since", "until"):
            text = getattr(self, name)
            try:
                if text:
                    date.fromisoformat(text)
            except ValueError as error:
                raise RefusedError(
                    f"--{name}: {text[:40]!r} is no day.", "Write it as 2030-12-31."
                ) from error
        if self.since and self.until and self.since > self.until:
            raise RefusedError(f"No day lies between {self.since} and {self.until}.")

    def to_json(self) -> dict[str, Any]:
        """Return it as an audit records it."""
        return {**asdict(self), "jobs": list(self.jobs)}

    def takes(self, line: JobLine) -> bool:
        """Return whether a line of the list of jobs is one; who made entries is not in the list."""
        if self.jobs:
            return line.job in self.jobs
        return (
            (self.practice or not line.practice)
            and self.bike.casefold() in line.bike.casefold()
            and self.procedure.casefold() in ("", line.procedure.casefold())
            and self.since <= line.opened_at[:10]
            and (not self.until or line.opened_at[:10] <= self.until)
            and self._has_outcome(line)
        )

    def _has_outcome(self, line: JobLine) -> bool:
        if self.outcome == "any":
            return True
        ended = bool(line.outcome) or line.done >= line.total
        if self.outcome in (FINISHED, "open"):
            return ended is (self.outcome == FINISHED)
        return line.outcome.casefold() == self.outcome.casefold()


@dataclass(frozen=True, slots=True)
class Population:
    """The jobs that an audit is of, before any is drawn."""

    lines: tuple[JobLine, ...]
    """In the order of their ids, so that earlier jobs come first."""
    digest: Digest
    """SHA-256 over `<job> <head>` and a newline for each, in that order."""


def population(store: Store, selection: Selection) -> Population:
    """Return the jobs of a store that a selection takes.

    Raises:
        RefusedError: a job that is named is not there, or none at all is like that.
        StoreError: the store cannot be read.
    """
    every = store.jobs()
    lines = sorted((line for line in every if selection.takes(line)), key=_by_id)
    missing = sorted(set(selection.jobs) - {line.job for line in lines})
    if missing:
        raise RefusedError(
            f"There is no job {', '.join(missing)[:120]}.", "`commission jobs` lists them."
        )
    if selection.technician and not selection.jobs:
        others = len(lines)
        lines = [line for line in lines if _worked(store, line.job, selection.technician)]
        if others and not lines:
            raise RefusedError(
                f"In none of {others} jobs {selection.technician[:60]!r} made an entry.",
                "Write the name as in the jobs' records, or an id or initials of the register.",
            )
    if not every:
        raise RefusedError(
            "There are no jobs yet, so there is nothing to audit.", "`commission` starts one."
        )
    if not lines:
        hint = f"Widen the selection; outcomes are {_OUTCOMES}."
        known = sorted({line.procedure for line in every})
        if selection.procedure and selection.procedure.casefold() not in map(str.casefold, known):
            hint = f"Procedures of the jobs here: {', '.join(known)}."
        if not selection.practice and any(line.practice for line in every):
            hint += " Practice jobs are left out without --practice."
        raise RefusedError("No job is like that.", hint)
    return Population(tuple(lines), digest_of(lines))


def digest_of(lines: Iterable[JobLine]) -> Digest:
    """Return the digest of a population; see `Population.digest`."""
    text = "".join(f"{line.job} {line.head}\n" for line in lines)
    return Digest(hashlib.sha256(text.encode()).hexdigest())


def _by_id(line: JobLine) -> str:
    return line.job


def _worked(store: Store, job: str, name: str) -> bool:
    """Return whether somebody made an entry of a job.

    The keys stand so in a line only where the entry says who made it: in a text, quotes are
    escaped.
    """
    wanted = f',"by":{json.dumps(name, ensure_ascii=False)},"kind":"'.encode()
    return any(wanted in line for line in _readable(store, job))


def _readable(store: Store, job: str) -> Iterator[bytes]:
    try:
        yield from store.lines(job)
    except DamagedError:
        return  # what is damaged is found when the job is audited
