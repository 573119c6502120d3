"""What an entry says, in words and in full: nothing that a person gave is left out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.job.closeness import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.entry import Entry
    from commission.job.plan import Plan


def said(entry: Entry, plan: Plan) -> str:
    """Return the entry's words, the step's title first."""
    step = entry.step or ""
    title = plan.planned(step).step.title if step in plan.index else ""
    again = f" (try {entry.attempt})" if entry.attempt > 1 else ""
    words = _words(entry.kind, entry.body)
    return f"{title}{again}: {words}" if title and words else title + again or words


def _words(kind: str, body: Mapping[str, Any]) -> str:  # noqa: PLR0911  one for each kind
    match kind:
        case "opened":
            procedure = body["procedure"]
            practice = "practice, " if body["practice"] else ""
            people = ", ".join(str(one["name"]) for one in body["people"])
            return f"{practice}{procedure['id']} revision {procedure['revision']}; {people}"
        case "answered" | "corrected":
            return _answer(body)
        case "part":
            replaced = _replaced(body)
            return f"{body['part']}: {_given(body['given'])}{replaced}"
        case "acknowledged":
            return "cautions acknowledged"
        case "noted":
            grade = f"open item of grade {body['grade']}" if body["grade"] else "remark"
            return f"{grade}: {body['text']}"
        case "note_closed":
            return f"item of entry {body['note']} closed: {body['text']}"
        case "reread":
            return f"shown again: {', '.join(map(str, body['steps']))}"
        case "clock_jump":
            return f"clocks disagree: wall {body['wall_s']} s, machine {body['monotonic_s']} s"
        case _:
            return "; ".join(
                f"{name} {_plain(value)}" for name, value in body.items()
                if name != "signature" and value not in ("", None, {})
            )  # fmt: skip


def _answer(body: Mapping[str, Any]) -> str:
    given = "; ".join(_given(piece) for piece in body.get("parts", {}).values())
    verdict = f"{body.get('verdict', '')}. {body.get('because', '')}".strip()
    return f"{given}; {verdict}{_replaced(body)}" if given else verdict + _replaced(body)


def _replaced(body: Mapping[str, Any]) -> str:
    if "replaces" not in body:
        return ""
    return f"; replaces entry {body['replaces']}: {body.get('reason', '')}"


def _given(piece: Mapping[str, Any]) -> str:
    named = [f"{name} {shown(value)}" for name, value in piece.items()]
    if len(named) == 1 and "value" in piece:
        return shown(piece["value"])
    return ", ".join(named)


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return str(value)
