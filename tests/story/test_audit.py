"""Half a year audited: what was planted is found and named, and nothing else is blamed."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.audit.audited import read_job, with_state
from commission.audit.catalogue import declared
from commission.audit.run import checked, run
from commission.record.verifying import examine_stream, known_register

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from commission.audit.finding import Finding

AS_OF: Final = "2026-01-15T00:00:00.000000Z"
SIGNS: Final = {
    "short-steps", "burst", "witness-delay", "identical-series", "copied-readings",
    "terminal-digits", "same-pair",
}  # fmt: skip
"""What careless hands leave."""
REFUSED: Final = {"holds", "as-found", "waits"}
"""What no tool of ours would write, and no legal record holds: looked for all the same."""


@pytest.fixture(scope="module")
def found(workshop: Any) -> list[Finding]:
    """What an audit of all jobs finds."""
    return run(workshop.bench.store, workshop.jobs, AS_OF).findings


def test_the_workshop_has_two_technicians_three_instruments_and_forty_jobs(workshop: Any) -> None:
    register = workshop.bench.book.register
    assert len(register.active("technician")) == 2
    assert len(register.instruments) == 3
    assert len(workshop.jobs) >= 40
    assert set(workshop.faulty.values()) == {"abandoned"}
    assert not any(line.practice for line in workshop.bench.jobs())


def test_every_record_is_whole_and_signed_by_the_registered_people(workshop: Any) -> None:
    store = workshop.bench.store
    known = known_register(store)
    for stream in store.streams():
        examined = examine_stream(store, stream, None, known)
        assert examined.fault is None, stream
        assert examined.signed is not None
        if stream == workshop.planted["unsigned"]:
            assert examined.signed.good == 0
        else:
            assert examined.signed.good > 0, stream


def test_every_check_of_the_catalogue_has_its_planted_case(workshop: Any) -> None:
    planted = set(workshop.planted) | SIGNS | REFUSED | {"whole"}
    assert planted == {one.id for one in declared()}


def test_what_was_planted_is_found_in_its_job(workshop: Any, found: list[Finding]) -> None:
    for check, job in workshop.planted.items():
        assert check in {one.check for one in found if one.job == job}, check


def test_no_other_job_has_a_fault(workshop: Any, found: list[Finding]) -> None:
    faults = {one.job for one in found if not one.is_sign}
    assert faults == set(workshop.planted.values()) - {workshop.planted["clock-jump"]}


def test_honest_jobs_show_nothing_at_all(workshop: Any, found: list[Finding]) -> None:
    honest = set(workshop.honest) | set(workshop.faulty)
    assert [one for one in found if one.job in honest] == []
    assert not any(one.by == "Rika Holt" for one in found if not one.job)


def test_careless_hands_leave_each_sign_and_no_fault(workshop: Any, found: list[Finding]) -> None:
    signs = [one for one in found if one.check in SIGNS]
    assert {one.check for one in signs} == SIGNS
    assert {one.job for one in signs} <= {*workshop.careless, ""}
    assert {one.by for one in signs if one.check != "witness-delay"} == {"Jon Aster"}
    assert all(one.is_sign for one in signs)


def exchange_of(workshop: Any) -> Any:
    """Return the honest exchange of a controller, as an audit reads it."""
    job = next(
        line.job for line in workshop.bench.jobs()
        if line.procedure == "controller-exchange" and line.job in workshop.honest
    )  # fmt: skip
    known = known_register(workshop.bench.store)
    return read_job(list(workshop.bench.lines(job)), job, known, AS_OF, thorough=True)


def never_confirmed(job: Any) -> list[Any]:
    gone = next(one for one in job.entries if one.kind == "hold_confirmed")
    return [one for one in job.entries if one is not gone]


def never_read(job: Any) -> list[Any]:
    kind = job.state.plan.planned
    return [
        one for one in job.entries if one.kind != "part" or kind(one.step).kind != "read_back"
    ]  # fmt: skip


def cut_short(job: Any) -> list[Any]:
    entries = list(job.entries)
    place = next(
        i for i, one in enumerate(entries) if one.kind == "part" and one.body["part"] == "start"
    )
    entries[place] = replace(entries[place], at=entries[place + 1].at)
    return entries


@pytest.mark.parametrize(
    ("check", "tamper"),
    [("holds", never_confirmed), ("as-found", never_read), ("waits", cut_short)],
)
def test_what_no_legal_record_holds_is_found_all_the_same(
    workshop: Any, check: str, tamper: Callable[[Any], list[Any]]
) -> None:
    job = exchange_of(workshop)
    assert list(checked(job)) == []
    tampered = replace(
        with_state(tamper(job), job.state, AS_OF), stream=job.stream, register=job.register
    )
    assert check in {one.check for one in checked(tampered, quick=True)}


def test_a_changed_line_is_found_by_audit_and_verify(
    workshop: Any, tmp_path: Path, commission: Callable[..., Any]
) -> None:
    job, copy = workshop.honest[0], tmp_path / "copy.db"
    with sqlite3.connect(workshop.bench.places.store) as source, sqlite3.connect(copy) as target:
        source.backup(target)
        for (name,) in target.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'"):
            target.execute(f"DROP TRIGGER {name}")
        target.execute(
            "UPDATE entry SET line = replace(line, '\"verdict\":\"pass\"', '\"verdict\":\"fail\"')"
            " WHERE stream = ? AND seq = 13", (job,),
        )  # fmt: skip
    target.close()
    source.close()
    told = commission("verify", "--all", "--store", copy)
    assert told.code == 1
    assert f"{job}: NOT WHOLE" in told.out
    assert told.out.count("NOT WHOLE") == 1
    told = commission("audit", "run", "--job", job, "--store", copy)
    assert told.code == 1
    assert f"CRITICAL  {job} entry 13" in told.out
    assert "[whole]" in told.out
    told = commission("report", job, "-o", tmp_path / "sheet.pdf", "--store", copy)
    assert told.code == 2
    assert "not whole" in told.err
    assert not (tmp_path / "sheet.pdf").exists()


def test_another_auditor_draws_the_same_jobs_and_so_does_a_shell(
    workshop: Any, tmp_path: Path, commission: Callable[..., Any]
) -> None:
    elsewhere = tmp_path / "elsewhere.db"
    assert commission("sync", elsewhere, "--create").code == 0
    words = ("audit", "run", "--since", "2025-03-03", "--sample", "zero=95/10", "--quick", "--json")
    first = json.loads(commission(*words).out)
    second = json.loads(commission(*words, "--store", elsewhere).out)
    assert first["jobs"] == second["jobs"]
    assert first["sample"] == second["sample"]
    assert 0 < len(first["jobs"]) < first["population"]["jobs"]
    (tmp_path / "jobs").write_text("".join(f"{job}\n" for job in workshop.jobs))
    drawn = subprocess.run(
        ["sh", "-c", _shell()], cwd=tmp_path, check=True, capture_output=True, text=True,
        env={"PATH": os.environ["PATH"], "digest": first["population"]["digest"],
             "plan": first["sample"]["plan"], "size": str(first["sample"]["size"])},
    )  # fmt: skip
    assert sorted(drawn.stdout.split()) == first["jobs"]


def _shell() -> str:
    from pathlib import Path

    readme = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    return readme.partition("<!-- draw -->\n```sh\n")[2].partition("```")[0]
