"""`commission cross-check`: its words, its JSON, its exit codes, and that it changes nothing."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING, Any

import pytest
import typer
from typer.testing import CliRunner, Result

from commission.cli.cross_check import cross_check, register
from commission.cli.exits import Exit
from commission.cli.plain import asides
from commission.cli.plain.talk import Talk
from commission.crosschecks import catalogue
from commission.crosschecks.roles import ROLES
from commission.errors import CommissionError, RefusedError
from commission.job import moves
from commission.procedure import load
from commission.record.bench import Bench

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

HEAD = """
procedure: trial
revision: 1
title: A trial
purpose: To hold values against each other.
facts:
  - {id: limit, label: battery current limit, type: quantity, unit: A}
  - {id: pack, label: largest pack current, type: quantity, unit: A}
"""
ROLES_HEAD = """
roles: {battery_current_limit: limit, pack_current_max: pack}
"""
STAGES = """
stages:
  - id: only
    title: Only stage
    steps:
      - {id: crossed, kind: confirm, title: Go on}
"""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "bench.db", "Bench 1") as opened:
        yield opened


@pytest.fixture
def job(bench: Bench) -> Callable[..., str]:
    """Start a job with these two currents; return its id."""

    def start(limit: str = "", pack: str = "", head: str = HEAD + ROLES_HEAD) -> str:
        session = bench.start(
            load.loads(head + STAGES), {"frame": "TRY-0001"}, {"Ada": ["technician"]}, "Ada"
        )
        for step, typed in (("limit", limit), ("pack", pack)):
            if typed:
                session.record(
                    moves.submit(session.state, step, {"value": typed}, "Ada", session.now())
                )
        session.close()
        assert session.state.opened is not None
        return session.state.opened.job

    return start


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., Result]:
    app = typer.Typer()
    register(app)
    app.command("other")(lambda: None)

    def invoke(*words: str) -> Result:
        store = ["--store", str(tmp_path / "bench.db")]
        result = CliRunner().invoke(app, ["cross-check", *words, *store])
        if isinstance(result.exception, CommissionError):
            raise result.exception
        return result

    return invoke


def test_no_conflict_is_exit_0_with_both_numbers_and_no_permission(
    job: Callable[..., str], run: Callable[..., Result]
) -> None:
    result = run(job("100", "110"))
    assert result.exit_code == Exit.DONE
    assert "FITS: Battery current limit within what the pack gives" in result.stdout
    assert "100 A (fact limit) against at most 110 A" in result.stdout
    assert "CANNOT BE CHECKED" in result.stdout
    assert "no permission" in result.stderr


def test_a_conflict_is_exit_1_and_stands_first(
    job: Callable[..., str], run: Callable[..., Result]
) -> None:
    result = run(job("120", "110"))
    assert result.exit_code == Exit.NOT_GOOD
    assert result.stdout.startswith("CONFLICT: ")
    assert "10 A too much" in result.stdout


def test_json_has_values_findings_versions_and_sources(
    job: Callable[..., str], run: Callable[..., Result]
) -> None:
    name = job("120", "110")
    result = run(name, "--json")
    assert result.exit_code == Exit.NOT_GOOD
    report: dict[str, Any] = json.loads(result.stdout)
    assert report["job"] == name
    assert report["roles"]["pack_current_max"] == {"value": 110.0, "from": "fact pack"}
    first = report["findings"][0]
    assert (first["check"], first["severity"], first["version"]) == ("pack-current", "conflict", 2)
    assert first["compared"][0]["value"] == 120.0
    assert first["compared"][0]["holds"] is False
    assert first["source"]
    assert {finding["check"] for finding in report["findings"]} == set(catalogue.names())


def test_where_nothing_could_be_checked_it_is_not_called_good(
    job: Callable[..., str], run: Callable[..., Result]
) -> None:
    assert run(job()).exit_code == Exit.NOT_GOOD


def test_the_one_open_job_needs_no_name_and_several_are_listed(
    job: Callable[..., str], run: Callable[..., Result]
) -> None:
    first = job("100", "110")
    assert first in run().stderr
    second = job("100", "110")
    with pytest.raises(RefusedError) as refused:
        run()
    assert first in str(refused.value)
    assert second in str(refused.value)


def test_a_job_that_does_not_exist_or_binds_no_roles_could_not_be_done(
    job: Callable[..., str], run: Callable[..., Result]
) -> None:
    with pytest.raises(RefusedError, match="binds no roles"):
        run(job("100", "110", HEAD))
    with pytest.raises(RefusedError, match="no job"):
        run("20310506-XXXX")


def test_it_looks_without_taking_or_changing_the_job(
    bench: Bench, job: Callable[..., str], run: Callable[..., Result]
) -> None:
    name = job("120", "110")
    with_lock = bench.resume(name)
    before = tuple(bench.lines(name))
    assert run(name).exit_code == Exit.NOT_GOOD
    assert tuple(bench.lines(name)) == before
    with_lock.close()


def test_the_list_has_every_check_and_every_role(run: Callable[..., Result]) -> None:
    text = run("--list").stdout
    assert all(f"{name}: " in text for name in catalogue.names())
    assert all(name in text for name in ROLES)
    listed = json.loads(run("--list", "--json").stdout)
    assert [each["check"] for each in listed["checks"]] == list(catalogue.names())
    assert [each["role"] for each in listed["roles"]] == list(ROLES)


def test_the_line_prompts_show_them_at_any_time(bench: Bench, job: Callable[..., str]) -> None:
    name = job("120", "110")
    session = bench.resume(name)
    talk = Talk(sink=io.StringIO())
    asides.run("cross-check", session, "Ada", talk)
    session.close()
    assert isinstance(talk.sink, io.StringIO)
    told = " ".join(talk.sink.getvalue().split())
    assert told.startswith("CONFLICT: Battery current limit within what the pack gives")
    assert "1 conflict" in told


def test_it_is_a_command_of_the_program() -> None:
    from commission.cli.main import app

    assert cross_check in [command.callback for command in app.registered_commands]
