"""Whether each verdict and each calculated value is what follows from what was recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.audit.anew import Anew, same
from commission.audit.check import Check, Declared
from commission.audit.finding import Finding
from commission.audit.revisions import other_revision
from commission.calculators import catalogue
from commission.errors import CalculationError
from commission.job.advance import replay
from commission.job.judge import judge_again

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.audit.audited import AuditedJob
    from commission.audit.finding import Severity
    from commission.job.entry import Entry

_AGAIN: Final = Declared(
    "judged-again",
    "Verdicts and calculations, from what they rest on",
    "Each verdict follows from the comparisons recorded with it, by the rules they name; each "
    "calculator gives its recorded result again from its recorded inputs (to one part in 10⁹). "
    "One judged by another revision of rule, calculator or cross-check is told apart and not "
    "compared.",
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


def _again(job: AuditedJob) -> Iterator[Finding]:
    for entry in job.entries:
        is_own = entry.kind == "hold_confirmed" and "judged" in entry.body  # a witness's reading
        if entry.kind not in ("answered", "corrected") and not is_own:
            continue
        judged = entry.body["judged"]
        said = _wrong_verdict(entry) or other_revision(judged) or _wrong_sum(judged)
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
        inputs = {key: _frozen(value) for key, value in judged["inputs"].items()}
        outputs = catalogue.compute(name, inputs).outputs
    except CalculationError as error:
        return f"{name} refuses its recorded inputs: {error.message}"
    for key, value in judged["values"].items():
        if not same(outputs.get(key), value):
            return f"{name}: recorded is {key} {value!r}; its inputs give {outputs.get(key)!r}."
    return ""


def _from_readings(job: AuditedJob) -> Iterator[Finding]:
    if job.state is None:
        return
    anew = job.anew
    if anew is None:  # of a job kept in memory
        anew = Anew(job.entries, repeats=False)
        replay(job.state.plan, job.entries, anew.watch)
    for entry, said in anew.differing:
        yield _finding(_READINGS, job, entry, said, "major")
    if anew.stopped_by is not None:
        raise anew.stopped_by


def _finding(
    declared: Declared, job: AuditedJob, entry: Entry, said: str, severity: Severity
) -> Finding:
    return Finding(declared.id, severity, job.stream, said, entry.seq, entry.step or "", entry.by)


def _frozen(value: Any) -> Any:  # noqa: ANN401  of JSON
    return tuple(value) if isinstance(value, list) else value


CHECKS: Final = (Check(_AGAIN, _again), Check(_READINGS, _from_readings, is_slow=True))
