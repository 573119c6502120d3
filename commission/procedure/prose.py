"""Checks of the words of a procedure.

Errors, since they turn a caution into something else: an instruction inside a hazard or a
consequence, one to operate the bike inside an avoidance, a signal word that does not fit the harm.
Warnings, since words can only be guessed at: two actions in a title, a vague word, a bound in words
without a unit.

Informed by DOE-STD-1029-92 (from memory: warnings before the step, without actions; one action per
step; no vague limits), ANSI Z535.6 (NOTICE where nobody is hurt) and IEC/IEEE 82079-1.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.procedure import wording

if TYPE_CHECKING:
    import re
    from collections.abc import Iterator

    from commission.procedure import model
    from commission.procedure.places import Path
    from commission.procedure.problems import Problem
    from commission.procedure.review import Review

_NO_HARM_TO_PEOPLE: Final = "NOTICE"


def cautions(review: Review) -> Iterator[Problem]:
    """Tell cautions that hold an instruction or whose signal word does not fit the harm."""
    for step, path, *_ in review.steps:
        for index, caution in enumerate(step.cautions):
            yield from _caution(review, (*path, "caution", index), caution)


def _caution(review: Review, path: Path, caution: model.Caution) -> Iterator[Problem]:
    advice = "Say what is so; what to do is a step, or advice under avoidance."
    for key in ("hazard", "consequence"):
        text = getattr(caution, key)
        if match := wording.ACTION.search(text):
            what = f"an action inside a caution's {key}"
            yield review.tell(_inside(review, path, key), what, match[1], hint=advice)
    if match := wording.OPERATION.search(caution.avoidance):
        hint = "Make it a step of its own; avoidance says how to stay out of harm."
        where = _inside(review, path, "avoidance")
        yield review.tell(where, "an instruction to operate inside a caution", match[1], hint=hint)
    harm = f"{caution.hazard} {caution.consequence}"
    hurts = wording.PERSON.search(caution.consequence) or wording.PERSON.search(harm)
    where = _inside(review, path, "signal")
    if caution.signal != _NO_HARM_TO_PEOPLE and not hurts and wording.EQUIPMENT.search(harm):
        hint = "Name who is hurt and how, or use NOTICE."
        told = f"{caution.signal} for harm to equipment alone"
        yield review.tell(where, told, caution.consequence, "NOTICE", hint)
    person = wording.PERSON.search(caution.consequence)
    if caution.signal == _NO_HARM_TO_PEOPLE and person:
        expected = "CAUTION, WARNING or DANGER"
        yield review.tell(where, "NOTICE for harm to people", person[0], expected)


def _inside(review: Review, path: Path, key: str) -> Path:
    """Return the path of a caution's key; one caution may be written without a list."""
    *step, index = path
    return (*path, key) if review.is_list(tuple(step)) else (*step, key) if not index else path


def titles(review: Review) -> Iterator[Problem]:
    """Warn of titles with two actions."""
    for step, path, *_ in review.steps:
        if match := wording.SECOND_ACTION.search(step.title):
            hint = "One action per step: make two."
            yield review.warn((*path, "title"), "two actions in one step", match[1], hint=hint)


def vague_words(review: Review) -> Iterator[Problem]:
    """Warn of words that leave open how much."""
    hint = "Give a number with its unit, or say what is seen when it is right."
    yield from _search(review, wording.VAGUE, "a vague word", hint)


def bounds_in_words(review: Review) -> Iterator[Problem]:
    """Warn of bounds in words whose number has no unit."""
    hint = "Write the unit behind the number."
    yield from _search(review, wording.UNITLESS, "a limit without a unit", hint)


def _search(review: Review, words: re.Pattern[str], what: str, hint: str) -> Iterator[Problem]:
    for step, path, *_ in review.steps:
        for key in ("title", "how"):
            text = getattr(step, key)
            if text and (match := words.search(text)):
                yield review.warn((*path, key), what, match[0], hint=hint)
