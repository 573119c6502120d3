"""Whether an answer is good enough: checks with a verdict, a sentence and what to judge again from.

A judgement is made of *checks*. Each is a JSON object that holds everything the verdict follows
from, resolved to numbers in SI, so that `judge_again` needs neither the job nor the procedure:

bounds   `value` between `low` and `high` (either may be null); `decision`, `uncertainty` (expanded)
equal    `got` equal to `wanted`, numbers `within` an amount; around the circle where `circular`
among    `got` is one of `good`
true     `got` is true
compared `value` between `low` and `high`, or `got` is true; where not, `broken` says how bad it is

Rules of revision 1:
1. A value equal to a limit, but for the rounding of unit conversion, is inside it.
2. Inside, but closer to a limit than the expanded uncertainty: marginal under the simple decision,
   fail under the guarded one (JCGM 106:2012, 8.2 and 8.3.2). Without an uncertainty: pass.
3. A value that is not a number, or that could not be had (null), fails.
4. The verdict of several checks is the worst of theirs; no check at all is a pass only where the
   step asks for nothing but the answer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, Literal

from commission.job.closeness import ROUNDING, apart

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

Verdict = Literal["pass", "marginal", "fail"]
RULE: Final = 1
"""Revision of the rules above, kept in every judgement."""
_BROKEN: Final[dict[str, Verdict]] = {"conflict": "fail", "look again": "marginal"}
_ORDER: Final[tuple[Verdict, ...]] = ("pass", "marginal", "fail")


@dataclass(frozen=True, slots=True)
class Check:
    """One comparison: what it rests on, its verdict and a full sentence."""

    record: Mapping[str, Any]
    verdict: Verdict
    because: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on a whole answer."""

    verdict: Verdict
    because: str
    judged: Mapping[str, Any] = field(default_factory=lambda: {"rule": RULE, "checks": []})


def check(record: Mapping[str, Any], because: str) -> Check:
    """Return the check with the verdict its record leads to."""
    return Check(record, verdict_of(record), because)


def conclude(
    checks: Iterable[Check], otherwise: str = "", *, passed: str = "", **more: object
) -> Judgement:
    """Return the judgement of all `checks`: the worst verdict, and the sentences that led to it.

    `otherwise` is the sentence where there is nothing to check, `passed` one that stands for all
    the checks where each passes; `more` is kept beside the checks.
    """
    made = tuple(checks)
    verdict = worst(one.verdict for one in made)
    sentences = (one.because for one in made if one.verdict == verdict)
    because = " ".join(sentence for sentence in sentences if sentence) or otherwise
    if made and verdict == "pass" and passed:
        because = passed
    return Judgement(
        verdict, because, {"rule": RULE, "checks": [dict(one.record) for one in made], **more}
    )


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the worst verdict; `pass` for none."""
    return max(verdicts, key=_ORDER.index, default="pass")


def judge_again(judged: Mapping[str, Any]) -> Verdict:
    """Return the verdict that follows from a record's `judged`, by the rules it names.

    Raises:
        ValueError: it was judged by rules this program does not know.
    """
    if judged.get("rule") != RULE:
        raise ValueError(f"judged by rule {judged.get('rule')!r}; known is {RULE}")
    verdicts = [verdict_of(record) for record in judged["checks"]]
    return verdicts[0] if len(verdicts) == 1 else worst(verdicts)


def verdict_of(record: Mapping[str, Any]) -> Verdict:
    """Return the verdict that one check's record leads to."""
    match record["check"]:
        case "bounds":
            return _bounds(record)
        case "equal":
            return "pass" if _is_equal(record) else "fail"
        case "among":
            return "pass" if record["got"] in record["good"] else "fail"
        case "true":
            return "pass" if record["got"] is True else "fail"
        case "compared":
            return _compared(record)
        case other:
            raise ValueError(f"{other!r} is no known check")


def _compared(record: Mapping[str, Any]) -> Verdict:
    """Return the verdict of a cross-check: a conflict fails, one to look at is marginal."""
    if "got" in record:
        holds = record["got"] is True
    else:
        holds = _bounds({**record, "decision": "simple", "uncertainty": None}) == "pass"
    return "pass" if holds else _BROKEN[record["broken"]]


def _bounds(record: Mapping[str, Any]) -> Verdict:
    value, low, high = record["value"], record["low"], record["high"]
    if value is None or not math.isfinite(value):
        return "fail"
    slack = ROUNDING * max(abs(value), abs(low or 0.0), abs(high or 0.0))
    room = room_inside(value, low, high)
    if room < -slack:
        return "fail"
    uncertainty = record["uncertainty"]
    if uncertainty is not None and room < uncertainty - slack:
        return "fail" if record["decision"] == "guarded" else "marginal"
    return "pass"


def room_inside(value: float, low: float | None, high: float | None) -> float:
    """Return how far `value` lies inside its nearest limit; negative outside, infinite for none."""
    below = math.inf if high is None else high - value
    above = math.inf if low is None else value - low
    return min(below, above)


def _is_equal(record: Mapping[str, Any]) -> bool:
    got, wanted = record["got"], record["wanted"]
    if isinstance(got, bool | str) or isinstance(wanted, bool | str):
        return type(got) is type(wanted) and bool(got == wanted)
    if got is None or wanted is None:
        return False
    return bool(apart(got, wanted, circular=record.get("circular", False)) <= record["within"])
