"""The instruments that readings cite: which, how exact, calibrated until when, and whose leave."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.job.instrument import NOT_REGISTERED, cited_in
from commission.report.document import Block, Column, Heading, Paragraph, Table

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from commission.job.entry import Entry
    from commission.report.subject import Subject

NOT_CITED: Final = (
    "No reading cites a registered instrument; where a verdict rests on an accuracy, it is the one"
    " that the procedure asks for."
)
_COLUMNS: Final = (
    Column("instrument", "instrument", 1.5),
    Column("serial", "serial", 0.9),
    Column("accuracy", "accuracy used", 1.6),
    Column("due", "calibration due", 0.95),
    Column("state", "how it stood", 1.7),
    Column("read", "read at", 2.0),
)


def blocks(subject: Subject) -> list[Block]:
    """Return the instruments under a heading of their own; nothing where no reading cites one."""
    found = table(subject)
    return [Heading("Instruments read with"), found] if found.rows else []


def table(subject: Subject) -> Table:
    """Return each instrument as it was cited: a row for each range, day due and standing."""
    steps: dict[tuple[str, ...], dict[str, None]] = {}
    for entry in subject.entries:
        for cited in _cited(entry):
            key = (
                f"{cited['id']} {cited['label']}".strip(), cited["serial"] or "-",
                _accuracy(cited), cited["due"] or "none asked", _stood(subject, cited, entry),
            )  # fmt: skip
            steps.setdefault(key, {})[_title(subject, entry)] = None
    rows = tuple((*key, ", ".join(titles)) for key, titles in steps.items())
    loud = frozenset(at for at, row in enumerate(rows) if row[4] != "good")
    return Table("instruments", _COLUMNS, rows, NOT_CITED, loud)


def leave_rows(subject: Subject) -> Iterator[tuple[str, ...]]:
    """Yield each leave to read with an instrument that was not in calibration.

    As a row of concessions: what for, scope, reason, given by, holds until.
    """
    for entry in _leaves(subject):
        body = entry.body
        yield (
            f"reading with {body['named']}", body["scope"], body["reason"],
            f"{entry.by} ({body['role']}), entry {entry.seq}", body["expiry"],
        )  # fmt: skip


def unsure(subject: Subject) -> list[Block]:
    """Return a loud sentence where something was read with an instrument that was not good."""
    found = table(subject)
    named = ", ".join(dict.fromkeys(found.rows[at][0] for at in sorted(found.loud)))
    said = f"Read with instruments that were not in calibration: {named}; see below."
    return [Paragraph(said, loud=True)] if named else []


def _cited(entry: Entry) -> Iterator[Mapping[str, Any]]:
    """Yield what an entry's numbers cite, a witness's own and corrected ones as well."""
    pieces: Iterable[Mapping[str, Any]] = ()
    if entry.kind == "part":
        pieces = (entry.body["given"],)
    elif entry.kind in {"answered", "corrected", "hold_confirmed"}:
        pieces = entry.body.get("parts", {}).values()
    for piece in pieces:
        yield from cited_in(piece)


def _title(subject: Subject, entry: Entry) -> str:
    title = subject.state.plan.planned(entry.step or "").step.title
    return f"{title} (the witness)" if entry.kind == "hold_confirmed" else title


def _accuracy(cited: Mapping[str, Any]) -> str:
    if cited["range"] is None:
        return "as the procedure asks: none stated for what was read"
    words = [f"{cited['percent']:g} % of reading"] if cited["percent"] else []
    words += [f"{cited['counts']:g} counts"] if cited["counts"] else []
    return f"±({' + '.join(words) or '0'}), range {cited['range']}"


def _stood(subject: Subject, cited: Mapping[str, Any], entry: Entry) -> str:
    state = str(cited["state"])
    if state == "good":
        return state
    said = "in no register" if state == NOT_REGISTERED else state.upper()
    given = [
        one for one in _leaves(subject)
        if one.body["instrument"] == cited["id"] and one.seq < entry.seq
        and entry.at[:10] <= one.body["expiry"]
    ]  # fmt: skip
    if not given:
        return f"{said}; read without leave"
    leave = given[-1]
    return f"{said}; leave of {leave.by} until {leave.body['expiry']}, entry {leave.seq}"


def _leaves(subject: Subject) -> list[Entry]:
    return [entry for entry in subject.entries if entry.kind == "instrument_conceded"]
