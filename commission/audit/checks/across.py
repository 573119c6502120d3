"""Signs that only several jobs show; each remembers little, however many jobs there are."""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.audit.check import AcrossCheck, Declared
from commission.audit.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from commission.audit.audited import AuditedJob

_KINDS: Final = frozenset({"measure", "series", "sweep"})
_REPEATED: Final = frozenset({"series", "sweep"})
"""Kinds of step that read the same thing again and again: the last digit is noise."""
_DIGITS: Final = 3
"""Significant digits from which a reading's last one is noise."""

EARLIER, AT_LEAST, SHARE = 5, 10, 0.4
_COPIED: Final = Declared(
    "copied-readings",
    "Readings as in an earlier job",
    "Of at least 10 readings with 3 or more significant digits, 4 in 10 were typed just as in one "
    "of the same person's 5 jobs before under the same procedure.",
    "review",
    "common practice, no source",
)
ENOUGH, CRITICAL = 50, 27.877
_LAST_DIGITS: Final = Declared(
    "terminal-digits",
    "Last digits that people make up",
    "The last digits of one person's readings in series and sweeps, with a decimal point and 3 or "
    "more significant digits, are not spread evenly: chi-square over the ten digits above 27.877 "
    "(9 degrees of freedom, 1 in 1000), from 50 readings on. Single readings are left out: many "
    "are printed, aimed at, or padded with zeros by the meter.",
    "review",
    "NIST/SEMATECH e-Handbook, 1.3.6.7.4 (critical values); Mosimann, Dahlberg, Davidian and "
    "Krueger, Terminal digits and the examination of questioned data, 2002 (from memory)",
)
PAIR, PAIR_SHARE = 20, 0.95
_PAIR: Final = Declared(
    "same-pair",
    "Always the same witness",
    "Of at least 20 holds of one person's answers for a witness, 19 in 20 were confirmed by one "
    "and the same, although at least two others confirmed somebody's.",
    "review",
    "common practice, no source: independent verification",
)


def _readings(job: AuditedJob, kinds: frozenset[str] = _KINDS) -> Iterator[tuple[str, str, str]]:
    """Yield who typed which reading how: person, place, text."""
    state = job.state
    if state is None:
        return
    for entry in job.entries:
        if entry.kind not in ("part", "answered") or entry.step is None:
            continue
        if state.plan.planned(entry.step).kind not in kinds:
            continue
        parts = (
            {entry.body["part"]: entry.body["given"]}
            if entry.kind == "part"
            else entry.body["parts"]
        )
        for part, given in parts.items():
            for name, value in given.items():
                if name == "x" or not isinstance(value, dict) or "typed" not in value:
                    continue  # where a sweep's grip is set to is chosen, not read
                text = str(value["typed"])
                if _significant(text) >= _DIGITS:
                    yield entry.by, f"{entry.step}/{part}/{name}", text


def _significant(text: str) -> int:
    mantissa = text.lower().partition("e")[0].lstrip("+-").replace(".", "").replace(",", "")
    return len(mantissa.lstrip("0")) if mantissa.isdigit() else 0


@dataclass(frozen=True, slots=True)
class _Typed:
    """What each person typed in one job, by place."""

    job: str
    procedure: str
    readings: Mapping[str, Mapping[str, str]]


class Copied:
    """Each person's last jobs under each procedure."""

    def __init__(self) -> None:
        self._before: dict[tuple[str, str], deque[tuple[str, Mapping[str, str]]]] = {}

    def see(self, job: AuditedJob) -> _Typed:
        """See `Across.see`."""
        mine: dict[str, dict[str, str]] = {}
        for by, place, text in _readings(job):
            mine.setdefault(by, {})[place] = text
        return _Typed(job.stream, str(job.entries[0].body["procedure"]["id"]), mine)

    def take(self, seen: _Typed) -> Iterator[Finding]:
        """See `Across.take`."""
        for by, typed in seen.readings.items():
            earlier = self._before.setdefault((by, seen.procedure), deque(maxlen=EARLIER))
            yield from _copied(seen.job, by, typed, earlier)
            earlier.append((seen.job, typed))

    def findings(self) -> Iterator[Finding]:
        """See `Across.findings`: all was told job by job."""
        yield from ()


def _copied(
    job: str,
    by: str,
    typed: Mapping[str, str],
    earlier: Iterable[tuple[str, Mapping[str, str]]],
) -> Iterator[Finding]:
    best, other, of = 0, "", 0
    for stream, before in earlier:
        both = typed.keys() & before.keys()
        same = sum(typed[place] == before[place] for place in both)
        if len(both) >= AT_LEAST and same >= SHARE * len(both) and same > best:
            best, other, of = same, stream, len(both)
    if best:
        said = f"{best} of {of} readings were typed as in {other}."
        yield Finding(_COPIED.id, "review", job, said, by=by)


class LastDigits:
    """How often each person's readings ended with each digit."""

    def __init__(self) -> None:
        self._counts: dict[str, list[int]] = {}

    def see(self, job: AuditedJob) -> dict[str, list[int]]:
        """See `Across.see`."""
        counts: dict[str, list[int]] = {}
        for by, _, text in _readings(job, _REPEATED):
            digit = text.lower().partition("e")[0][-1]
            if digit.isdigit() and ("." in text or "," in text):
                counts.setdefault(by, [0] * 10)[int(digit)] += 1
        return counts

    def take(self, seen: Mapping[str, list[int]]) -> Iterator[Finding]:
        """See `Across.take`."""
        for by, counts in seen.items():
            old = self._counts.get(by, [0] * 10)
            self._counts[by] = [one + more for one, more in zip(old, counts, strict=True)]
        yield from ()

    def findings(self) -> Iterator[Finding]:
        """See `Across.findings`."""
        for by, counts in sorted(self._counts.items()):
            total = sum(counts)
            if total < ENOUGH:
                continue
            chi = chi_square(counts)
            if chi > CRITICAL:
                most = max(range(10), key=counts.__getitem__)
                said = (
                    f"Chi-square of {total} last digits is {chi:.0f}, above 27.9; most frequent is "
                    f"{most} ({counts[most]} times, even would be {total / 10:.0f})."
                )
                yield Finding(_LAST_DIGITS.id, "review", "", said, by=by)


def chi_square(counts: list[int]) -> float:
    """Return Pearson's chi-square of counts against an even spread."""
    even = sum(counts) / len(counts)
    return sum((count - even) ** 2 / even for count in counts)


class Pairs:
    """Who confirmed whose answers."""

    def __init__(self) -> None:
        self._pairs: dict[str, Counter[str]] = {}

    def see(self, job: AuditedJob) -> list[tuple[str, str]]:
        """See `Across.see`."""
        doer: dict[str, str] = {}
        found = []
        for entry in job.entries:
            if entry.kind in ("answered", "corrected") and entry.step:
                doer[entry.step] = entry.by
            elif entry.kind == "hold_confirmed" and entry.body["role"] == "witness":
                by = doer.get(entry.step or "")
                if by is not None:
                    found.append((by, entry.by))
        return found

    def take(self, seen: Iterable[tuple[str, str]]) -> Iterator[Finding]:
        """See `Across.take`."""
        for by, witness in seen:
            self._pairs.setdefault(by, Counter())[witness] += 1
        yield from ()

    def findings(self) -> Iterator[Finding]:
        """See `Across.findings`."""
        everyone = {witness for pairs in self._pairs.values() for witness in pairs}
        for by, pairs in sorted(self._pairs.items()):
            total, (witness, most) = sum(pairs.values()), pairs.most_common(1)[0]
            others = everyone - {witness, by}
            if total >= PAIR and most >= PAIR_SHARE * total and len(others) > 1:
                said = f"{witness} confirmed {most} of {total} holds; others were there to."
                yield Finding(_PAIR.id, "review", "", said, by=by)


ACROSS: Final = (
    AcrossCheck(_COPIED, Copied),
    AcrossCheck(_LAST_DIGITS, LastDigits),
    AcrossCheck(_PAIR, Pairs),
)
