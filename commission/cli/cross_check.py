"""`commission cross-check`: what no single field shows, over all that a job knows now."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

import typer

from commission.cli.exits import Exit
from commission.cli.identifiers import recorded_id
from commission.cli.options import JsonOption, StoreOption
from commission.cli.stderr import say
from commission.errors import RefusedError
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from commission.crosschecks.base import CrossCheck, Finding
    from commission.job.state import JobState
    from commission.record.bench import Bench


def register(app: typer.Typer) -> None:
    """Add the command `cross-check`."""
    app.command("cross-check")(cross_check)


def cross_check(
    job: Annotated[
        str | None,
        typer.Argument(
            metavar="JOB",
            parser=recorded_id,
            help="The job's id; without one, the open job where there is just one.",
        ),
    ] = None,
    store: StoreOption = None,
    as_json: JsonOption = False,
    listed: Annotated[
        bool, typer.Option("--list", help="List the cross-checks and the roles they need.")
    ] = False,
) -> None:
    """Hold a job's values against each other; exit 0: no conflict, 1: conflicts, 2: could not."""
    if listed:
        _list(as_json=as_json)
        return
    from commission.record.bench import Bench

    with Bench.open(store, create=False) as bench:
        name = job or _only_open(bench)
        state = bench.look(name)
    if not state.plan.procedure.roles:
        raise RefusedError(
            f"The procedure of job {name} binds no roles: nothing can be cross-checked.",
            "Roles stand in the procedure's head; `commission cross-check --list` has them.",
        )
    _report(name, state, as_json=as_json)


def _only_open(bench: Bench) -> str:
    lines = bench.jobs()
    going = [line.job for line in lines if not bench.look(line.job).outcome]
    if len(going) != 1:
        listed = ", ".join(going) or "none"
        raise RefusedError(f"Which job? Open are: {listed}.", "Name one.")
    return going[0]


def _report(name: str, state: JobState, *, as_json: bool) -> None:
    from commission.crosschecks.base import Severity
    from commission.job.crosschecking import findings, roles_of, summary

    found = findings(state)
    made = [each for each in found if each.severity is not Severity.UNCHECKED]
    if as_json:
        checks = [_as_json(each) for each in found]
        report = {"job": name, "roles": roles_of(state, found), "findings": checks}
        print(json.dumps(report, ensure_ascii=False))
    else:
        for finding in found:
            _print(finding)
        say(f"{name}: {summary(found)}")
    if not made or any(each.severity is Severity.CONFLICT for each in found):
        raise typer.Exit(Exit.NOT_GOOD)


def _print(finding: Finding) -> None:
    from commission.crosschecks.words import advice, because, follows

    print(safe_text(f"{finding.severity.upper()}: {finding.check.title}"))
    sums = ", ".join(f"{name} v{version}" for name, version in finding.calculators.items())
    for line in (
        because(finding),
        follows(finding),
        advice(finding),
        f"By {sums}." if sums else "",
    ):
        if line:
            print(safe_text(f"    {line}"))


def _as_json(finding: Finding) -> dict[str, Any]:
    from commission.crosschecks.words import advice, follows
    from commission.job.crosschecking import record_of

    kept = record_of(finding)
    kept |= {
        "title": finding.check.title, "follows": follows(finding), "do": advice(finding),
        "source": finding.check.source,
        "compared": [
            {**statement.record(), "holds": statement.holds} for statement in finding.statements
        ],
    }  # fmt: skip
    return kept


def _list(*, as_json: bool) -> None:
    from commission.crosschecks.catalogue import all_checks
    from commission.crosschecks.roles import ROLES

    if as_json:
        checks = [_declared(check) for check in all_checks()]
        roles = [
            {"role": role.name, "unit": role.unit, "kind": role.kind, "label": role.label}
            for role in ROLES.values()
        ]
        print(json.dumps({"checks": checks, "roles": roles}, ensure_ascii=False))
        return
    for check in all_checks():
        needs = ", ".join(each if isinstance(each, str) else " or ".join(each)
                          for each in check.needs)  # fmt: skip
        print(safe_text(f"{check.id}: {check.title}"))
        print(safe_text(f"    needs {needs}"))
        if check.uses:
            print(safe_text(f"    uses {', '.join(check.uses)}"))
        print(safe_text(f"    source: {check.source}"))
    print("\nroles")
    for role in ROLES.values():
        unit = role.unit or {"truth": "yes or no", "text": "text"}.get(role.kind, "")
        print(safe_text(f"  {role.name:<28}{unit:<12}{role.label}"))


def _declared(check: CrossCheck) -> dict[str, Any]:
    return {
        "check": check.id, "version": check.version, "title": check.title,
        "needs": [[each] if isinstance(each, str) else list(each) for each in check.needs],
        "uses": list(check.uses), "calculators": list(check.calculators), "source": check.source,
    }  # fmt: skip
