"""What the form for a new audit means: the jobs it takes, those drawn, and what is wrong. Pure."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Final

from commission.audit import sampling
from commission.audit.choose import FINISHED, Selection, digest_of
from commission.errors import RefusedError
from commission.tui.start.entries import tidy

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from commission.audit.sampling import Plan
    from commission.job.entry import Digest
    from commission.record.store import JobLine

SAMPLES: Final = ("", "zero=95/5", "zero=95/10", "aql=2.5", "count=10")
"""Plans that a key goes through; any other may be typed."""
_YES: Final = frozenset({"yes", "y", "true", "1"})
_NO: Final = frozenset({"", "no", "n", "false", "0"})


@dataclass(frozen=True, slots=True)
class Typed:
    """The form, field by field, as typed."""

    purpose: str = ""
    auditor: str = ""
    technician: str = ""
    bike: str = ""
    procedure: str = ""
    since: str = ""
    until: str = ""
    outcome: str = FINISHED
    practice: str = "no"
    sample: str = ""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What it comes to."""

    selection: Selection
    lines: tuple[JobLine, ...]
    """The population, in the order of ids."""
    total: int
    """Jobs on the bench."""
    digest: Digest
    plan: Plan | None
    """None: all are audited."""
    drawn: tuple[str, ...]
    seed: str = ""
    notes: Mapping[str, str] = field(default_factory=dict)
    """Beside each field, what it means."""
    wrong: Mapping[str, str] = field(default_factory=dict)
    """By field, what cannot be."""

    @property
    def is_good(self) -> bool:
        """Whether an audit of this could begin."""
        return bool(self.drawn) and not self.wrong


class _Meant:
    """Fields taken one by one; what cannot be is kept beside its field."""

    def __init__(self, jobs: Sequence[JobLine], people: Mapping[str, frozenset[str]]) -> None:
        self.jobs, self.people = jobs, people
        self.wrong: dict[str, str] = {}
        self.notes: dict[str, str] = {}

    def one_of(self, name: str, text: str, known: Iterable[str]) -> str:
        """Return the one of `known` that a text means: itself, or the only one it is part of."""
        wanted = tidy(text).casefold()
        if not wanted:
            return ""
        every = sorted(set(known))
        same = [each for each in every if each.casefold() == wanted]
        like = same or [each for each in every if wanted in each.casefold()]
        if len(like) == 1:
            return like[0]
        several = ", ".join(like or every)[:60] or "none yet"
        self.wrong[name] = f"which of: {several}" if like else f"there are: {several}"
        return ""

    def day(self, name: str, text: str) -> str:
        """Return a day."""
        try:
            Selection(since=tidy(text))
        except RefusedError:
            self.wrong[name] = "write a day as 2030-12-31"
            return ""
        return tidy(text)

    def truth(self, name: str, text: str) -> bool:
        """Return yes or no."""
        word = tidy(text).casefold()
        if word not in _YES | _NO:
            self.wrong[name] = "yes or no"
        return word in _YES

    def count(self, name: str, one: Selection) -> None:
        """Note how many jobs one condition takes alone."""
        taken = sum(takes(one, line, self.people) for line in self.jobs)
        self.notes[name] = f"{taken} job" if taken == 1 else f"{taken} jobs"


def choose(typed: Typed, jobs: Sequence[JobLine], people: Mapping[str, frozenset[str]]) -> Chosen:
    """Return what the form means.

    Args:
        typed: the form.
        jobs: all of the bench.
        people: who made entries in each job, as far as it is known.
    """
    meant = _Meant(jobs, people)
    selection = _selection(typed, meant)
    lines = tuple(
        sorted((each for each in jobs if takes(selection, each, people)), key=lambda one: one.job)
    )
    if meant.wrong:
        lines = ()
    digest = digest_of(lines)
    ids = tuple(line.job for line in lines)
    plan = _plan(typed.sample, len(ids), meant)
    drawn = ids if plan is None else sampling.draw(ids, digest, plan)
    seed = "" if plan is None else sampling.seed_of(digest, plan)
    if not lines and "sample" in meant.wrong:
        del meant.wrong["sample"]
    return Chosen(selection, lines, len(jobs), digest, plan, drawn, seed, meant.notes, meant.wrong)


def takes(selection: Selection, line: JobLine, people: Mapping[str, frozenset[str]]) -> bool:
    """Return whether a job is taken; where it is not yet known who worked at it, no."""
    who = selection.technician
    return selection.takes(line) and (not who or who in people.get(line.job, ()))


def sample_after(text: str) -> str:
    """Return the next plan that the key goes to."""
    at = SAMPLES.index(tidy(text)) if tidy(text) in SAMPLES else -1
    return SAMPLES[(at + 1) % len(SAMPLES)]


def typed_of(values: Mapping[str, str]) -> Typed:
    """Return the form from its fields."""
    return Typed(**{each.name: values[each.name] for each in fields(Typed)})


def _selection(typed: Typed, meant: _Meant) -> Selection:
    jobs = meant.jobs
    names = {name for each in meant.people.values() for name in each}
    outcomes = {"finished", "open", "any", *(line.outcome for line in jobs if line.outcome)}
    any_one = Selection(outcome="any", practice=True)
    since, until = meant.day("since", typed.since), meant.day("until", typed.until)
    if since and until and since > until:
        meant.wrong["until"], until = "no day lies between", ""
    whole = Selection(
        technician=meant.one_of("technician", typed.technician, names),
        bike=tidy(typed.bike),
        procedure=meant.one_of("procedure", typed.procedure, (one.procedure for one in jobs)),
        since=since, until=until,
        outcome=meant.one_of("outcome", typed.outcome, outcomes) or "any",
        practice=meant.truth("practice", typed.practice),
    )  # fmt: skip
    for name in ("technician", "bike", "procedure", "since", "until", "outcome"):
        value = getattr(whole, name)
        if value and name not in meant.wrong:
            meant.count(name, replace(any_one, **{name: value}))
            if name in ("technician", "procedure", "outcome"):
                meant.notes[name] = f"{value}, {meant.notes[name]}"
    left_out = sum(line.practice for line in jobs)
    if left_out and not whole.practice and "practice" not in meant.wrong:
        meant.notes["practice"] = f"{left_out} of practice left out"
    return whole


def _plan(text: str, population: int, meant: _Meant) -> Plan | None:
    if not tidy(text) or not population:
        return None
    try:
        return sampling.plan(tidy(text), population)
    except RefusedError:
        meant.wrong["sample"] = "zero=95/5, aql=2.5 or count=20"
        return None
