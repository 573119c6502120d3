"""Whether each verdict and each calculated value is what follows from what was recorded."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding
from commission.calculators import catalogue
from commission.errors import CalculationError, CommissionError
from commission.job.advance import advance, begin
from commission.job.again import judged_anew
from commission.job.judge import judge_again
from commission.record.line import writer

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.audit.audited import AuditedJob
    from commission.audit.finding import Severity
    from commission.job.entry import Entry
    from commission.job.state import JobState

_AGAIN: Final = Declared(
    "judged-again",
    "Verdicts and calculations, from what they rest on",
    "Each verdict follows from the comparisons recorded with it, by the rules they name; each "
    "calculator gives its recorded result again from its recorded inputs (to one part in 10⁹). "
    "One judged by another revision of rule or calculator is told apart and not compared.",
    "major",
    "ISO/IEC 17025:2017, 7.11.2: calculations are validated and can be repeated",
)
_READINGS: Final = Declared(
    "judged-from-readings",
    "Verdicts, from readings and procedure alone",
    "Each answer is judged anew from what was typed, what was known at that moment and the "
    "procedure in the record; limits that were recorded otherwise than the procedure says show.",
    "major",
    "ISO/IEC 17025:2017, 7.11.2 and 8.4: from the original observation to the result",
)
_CLOSE: Final = 1e-9


def _again(job: AuditedJob) -> Iterator[Finding]:
    for entry in job.entries:
        is_own = entry.kind == "hold_confirmed" and "judged" in entry.body  # a witness's reading
        if entry.kind not in ("answered", "corrected") and not is_own:
            continue
        said = _wrong_verdict(entry) or _wrong_sum(entry.body["judged"])
        if said:
            is_old = said.startswith("Cannot")
            yield _finding(_AGAIN, job, entry, said, "minor" if is_old else "major")


def _wrong_verdict(entry: Entry) -> str:
    try:
        verdict = judge_again(entry.body["judged"])
    except ValueError as error:
        return f"Cannot be judged again: {error}."
    except (KeyError, TypeError, AttributeError) as error:
        return f"Not recorded as judgements are: {error!r}."
    if verdict == entry.body["verdict"]:
        return ""
    return f"Recorded is {entry.body['verdict']}; its own comparisons give {verdict}."


def _wrong_sum(judged: Mapping[str, Any]) -> str:
    name = judged.get("calculator")
    if not name or "values" not in judged:
        return ""
    try:
        calculator = catalogue.get(name)
        if calculator.version != judged.get("version"):
            return (
                f"Cannot be computed again: {name} was at version {judged.get('version')}, "
                f"and is at {calculator.version}."
            )
        inputs = {key: _frozen(value) for key, value in judged["inputs"].items()}
        outputs = catalogue.compute(name, inputs).outputs
    except CalculationError as error:
        return f"{name} refuses its recorded inputs: {error.message}"
    for key, value in judged["values"].items():
        if not _same(outputs.get(key), value):
            return f"{name}: recorded is {key} {value!r}; its inputs give {outputs.get(key)!r}."
    return ""


def _from_readings(job: AuditedJob) -> Iterator[Finding]:
    if job.state is None:
        return
    state = before = begin(job.state.plan)
    for entry in job.entries:
        if entry.kind in ("answered", "corrected"):
            said = _differs(state, entry, before)
            if said:
                yield _finding(_READINGS, job, entry, said, "major")
        before, state = state, advance(state, entry)


def _differs(state: JobState, entry: Entry, before: JobState) -> str:
    body = entry.body
    if _made_by_others(body["judged"]):
        return ""
    try:
        anew = judged_anew(state, entry, before)
    except (CommissionError, KeyError, TypeError, AttributeError, ValueError) as error:
        return f"It cannot be judged from its readings: {error}"
    if anew is None:
        return "Its readings make no whole answer."
    if anew.verdict != body["verdict"]:
        return f"Recorded is {body['verdict']}; its readings give {anew.verdict}: {anew.because}"
    for key in ("checks", "values", "inputs", "seconds"):
        if not _alike(anew.judged.get(key), body["judged"].get(key)):
            return f"What it was judged by ({key}) is not what its readings and procedure give."
    return ""


def _alike(fresh: Any, recorded: Any) -> bool:  # noqa: ANN401  of JSON
    """Return whether what was judged anew is what was recorded; mostly to the byte."""
    if fresh is None or recorded is None:
        return fresh is recorded
    written = writer()
    return written(fresh) == written(recorded) or _same(json.loads(json.dumps(fresh)), recorded)


def _made_by_others(judged: Mapping[str, Any]) -> bool:
    """Return whether it was judged by another revision, which `judged-again` tells."""
    try:
        judge_again(judged)
        name = judged.get("calculator")
        return bool(name) and catalogue.get(name).version != judged.get("version")
    except (ValueError, KeyError, TypeError, AttributeError, CalculationError):
        return True


def _finding(
    declared: Declared, job: AuditedJob, entry: Entry, said: str, severity: Severity
) -> Finding:
    return Finding(declared.id, severity, job.stream, said, entry.seq, entry.step or "", entry.by)


def _frozen(value: Any) -> Any:  # noqa: ANN401  of JSON
    return tuple(value) if isinstance(value, list) else value


def _same(one: Any, other: Any) -> bool:  # noqa: ANN401  of JSON
    """Return whether two JSON values are equal, numbers to one part in 10⁹."""
    if one is other:
        return True
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, int | float) and isinstance(other, int | float):
        return one == other or math.isclose(one, other, rel_tol=_CLOSE)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other)


CHECKS: Final = (Check(_AGAIN, _again), Check(_READINGS, _from_readings, is_slow=True))
