"""What the list of findings shows: its rows, worst first, and all that is known of one. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.audit.catalogue import get
from commission.audit.signs import rate_text
from commission.errors import RefusedError
from commission.tui.job.told import Told

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.audit.finding import Finding
    from commission.audit.signs import Measured, Signs
    from commission.audit.state import AuditState

KINDS: Final = ("all", "faults", "signs", "unanswered", "remarked")
"""What the list can be narrowed to, in the order of the key that goes through them."""
WORDS: Final = {
    "critical": "!! critical", "major": "!  major", "minor": "-  minor", "review": "?  review",
}  # fmt: skip
MEANS: Final = {
    "critical": "What the record says cannot be relied on.",
    "major": "A step, a hold or a proof is missing, or a verdict is not what its readings give.",
    "minor": "To be put right; no doubt about the bike.",
    "review": "A sign: somebody should look again. It says nothing of anybody, and honest work"
    " shows it, too, as often as is said here.",
}  # fmt: skip
_MANY: Final = 12


@dataclass(frozen=True, slots=True)
class Row:
    """One finding in the list."""

    number: int
    """Of its entry in the audit's record."""
    finding: Finding
    is_answered: bool
    is_remarked: bool


def rows(state: AuditState, kind: str = "all", typed: str = "") -> tuple[Row, ...]:
    """Return the findings of a kind that have every typed word, worst first."""
    answered = {one.finding for one in state.answers}
    remarked = {one.finding for one in state.remarks}
    every = (
        Row(number, one, number in answered, number in remarked)
        for number, one in state.findings.items()
    )
    words = typed.casefold().split()
    found = [row for row in every if _is(row, kind) and _has(row, words)]
    return tuple(sorted(found, key=lambda row: row.finding.grade))


def counts(state: AuditState) -> dict[str, int]:
    """Return how many findings there are of each kind."""
    return {kind: len(rows(state, kind)) for kind in KINDS}


def cells(row: Row) -> tuple[str, str, str, str]:
    """Return number, grade, what it is about and what was found."""
    one = row.finding
    about = one.job or "several"
    mark = "answered: " if row.is_answered else "noted: " if row.is_remarked else ""
    return str(row.number), WORDS[one.severity], about, f"{mark}{one.text}"


def detail(state: AuditState, row: Row, signs: Signs | None) -> list[Told]:
    """Return all that is known of one finding, in paragraphs."""
    one = row.finding
    style = "$text-warning" if one.is_sign else "$text-error"
    told = [Told(one.severity.capitalize(), one.text, style, bold=True)]
    told.append(Told("Rests on", rests_on(one)))
    told += [Told("Answer", f"{each.by}: {each.text}", "$text-success")
             for each in state.answers if each.finding == row.number]  # fmt: skip
    told += [Told("Remark", each.text) for each in state.remarks if each.finding == row.number]
    told.append(Told("Means", MEANS[one.severity]))
    try:
        check = get(one.check)
    except RefusedError:
        told.append(Told("Check", f"{one.check}, which this program does not have"))
        return told
    if one.is_sign:
        told += [Told("Measured", line) for line in measured(one.check, signs)]
    told.append(Told("Check", f"{check.title} ({check.id})"))
    told.append(Told("Looks for", check.looks_for))
    told.append(Told("Source", f"{check.source}."))
    return told


def measured(check: str, signs: Signs | None) -> Iterator[str]:
    """Yield how often a sign is wrong and how often it sees what it is for, as measured."""
    found = None if signs is None else next(
        (each for each in signs.measured if each.sign.id == check), None
    )  # fmt: skip
    if signs is None or found is None:
        yield "Not known: this sign was not measured."
        return
    old = "" if found.is_current else " (of an earlier version of the check)"
    yield f"False alarms{old}: {rate_text(found.false_alarms)} of honest {found.per}s."
    seen = [
        f"{rate_text(rate)} of {found.per}s where one {_hand(signs, name)}"
        for name, rate in found.power.items()
        if rate.raised
    ]
    if seen:
        yield f"Sees: {'; '.join(seen)}."
    yield _unseen(found)


def _unseen(found: Measured) -> str:
    unseen = [name for name, rate in found.power.items() if not rate.raised]
    made_up = "Made-up people at virtual bikes; real ones differ more."
    return f"Does not see: {', '.join(unseen)}. {made_up}" if unseen else made_up


def _hand(signs: Signs, name: str) -> str:
    return signs.hands.get(name, name)


def rests_on(one: Finding) -> str:
    """Return which entries a finding rests on, of whom."""
    about = [f"job {one.job}" if one.job else "several jobs"]
    numbers = one.entries or ((one.seq,) if one.seq else ())
    if numbers:
        more = f" and {len(numbers) - _MANY} more" if len(numbers) > _MANY else ""
        word = "entries" if len(numbers) > 1 else "entry"
        about.append(f"{word} {', '.join(map(str, numbers[:_MANY]))}{more}")
    if one.step:
        about.append(f"step {one.step}")
    if one.by:
        about.append(f"by {one.by}")
    return ", ".join(about)


def _is(row: Row, kind: str) -> bool:
    match kind:
        case "faults":
            return not row.finding.is_sign
        case "signs":
            return row.finding.is_sign
        case "unanswered":
            return not row.finding.is_sign and not row.is_answered
        case "remarked":
            return row.is_remarked
    return True


def _has(row: Row, words: list[str]) -> bool:
    if not words:
        return True
    text = f"{row.number} {row.finding}".casefold()
    return all(word in text for word in words)
