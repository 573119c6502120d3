"""The commands about records: their output, their exit codes, and that they change nothing."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
import typer
from typer.testing import CliRunner, Result

from commission.cli.records import register
from commission.errors import CommissionError, RefusedError, StoreError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from commission.record.bench import Bench
    from tests.record.conftest import Work


@pytest.fixture
def run(work: Work) -> Callable[..., Result]:
    app = typer.Typer()
    register(app)

    def invoke(*words: str) -> Result:
        result = CliRunner().invoke(app, [*words, "--store", str(work.path)])
        if isinstance(result.exception, CommissionError):
            raise result.exception
        return result

    return invoke


def test_jobs_lists_them_for_people_and_programs(
    bench: Bench, job: str, run: Callable[..., Result]
) -> None:
    assert run("jobs").stdout.startswith(f"{job}  4/4  ")
    (listed,) = json.loads(run("jobs", "--json").stdout)
    assert (listed["job"], listed["head"]) == (job, bench.jobs()[0].head)


def test_jobs_of_a_new_bench_make_no_store(work: Work, run: Callable[..., Result]) -> None:
    result = run("jobs")
    assert (result.exit_code, result.stdout) == (0, "")
    assert "No jobs yet" in result.stderr
    assert not work.path.exists()


def test_text_from_people_cannot_steer_the_terminal(
    work: Work, bench: Bench, run: Callable[..., Result]
) -> None:
    people = {"Ada": ("technician",)}
    bench.start(work.loaded, {"frame": "\x1b[2Jgone\u202e"}, people, "Ada").close()
    assert "?[2Jgone?" in run("jobs").stdout


def test_exported_record_verifies(
    bench: Bench, job: str, run: Callable[..., Result], tmp_path: Path
) -> None:
    path, head = tmp_path / "job.jsonl", bench.jobs()[0].head
    result = run("export", job, "-o", str(path))
    assert (result.exit_code, result.stdout) == (0, "")
    assert head in result.stderr
    assert run("export", job).stdout_bytes == path.read_bytes()
    result = run("verify", str(path), "--head", head.upper())
    assert result.exit_code == 0
    assert result.stdout.startswith(f"{path}: whole, {len(path.read_bytes().splitlines())} entries")


def test_verify_says_which_entry_is_bad(
    job: str, run: Callable[..., Result], tmp_path: Path
) -> None:
    path = tmp_path / "job.jsonl"
    run("export", job, "-o", str(path))
    path.write_bytes(path.read_bytes().replace(b'"54.0"', b'"54.1"'))
    result = run("verify", str(path), "--json")
    said = json.loads(result.stdout)
    assert result.exit_code == 1
    assert said["whole"] is False
    assert (said["results"][0]["fault"]["seq"], said["results"][0]["fault"]["reason"]) == (
        2, "chain",
    )  # fmt: skip
    assert "NOT WHOLE, entry 2: chain" in run("verify", str(path)).stdout


def test_verify_all_goes_through_the_store(
    work: Work, bench: Bench, job: str, run: Callable[..., Result], tamper: Callable[[str], None]
) -> None:
    work.start(bench).close()
    result = run("verify", "--all")
    assert (result.exit_code, len(result.stdout.splitlines())) == (0, 2)
    assert run("verify", job).exit_code == 0
    tamper("UPDATE job SET done = 0 WHERE done = 4")
    result = run("verify", "--all")
    assert result.exit_code == 1
    assert "projection differs" in result.stdout
    result = run("rebuild")
    assert (result.exit_code, result.stderr) == (0, "Rebuilt: 2 jobs.\n")
    assert run("verify", "--all").exit_code == 0


def test_verify_tells_a_wrong_head(job: str, run: Callable[..., Result]) -> None:
    result = run("verify", job, "--head", "a" * 64)
    assert result.exit_code == 1
    assert "head differs" in result.stdout


def test_note_says_what_verify_cannot_see_without_a_head(
    job: str, run: Callable[..., Result], tmp_path: Path
) -> None:
    path = tmp_path / "job.jsonl"
    run("export", job, "-o", str(path))
    assert "--head" in run("verify", str(path)).stderr
    assert run("verify", job).stderr == ""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["verify"], "Name one file or one job"),
        (["verify", "x", "--all"], "Name one file or one job"),
        (["verify", "nothing"], "no file and no record 'nothing'"),
        (["verify", "x", "--head", "abc"], "not a digest"),
        (["verify", "--all", "--head", "a" * 64], "about one record"),
        (["export", "nothing"], "no file and no record"),
    ],
)
def test_what_cannot_be_told_is_refused(
    job: str, run: Callable[..., Result], words: list[str], said: str
) -> None:
    assert job
    with pytest.raises(RefusedError, match=said):
        run(*words)


def test_nothing_verified_is_not_whole(bench: Bench, run: Callable[..., Result]) -> None:
    assert bench.jobs() == ()
    with pytest.raises(RefusedError, match="nothing was verified"):
        run("verify", "--all")


def test_missing_store_is_not_made(work: Work, run: Callable[..., Result]) -> None:
    for words in (["verify", "--all"], ["rebuild"], ["export", "x"]):
        with pytest.raises(StoreError, match="There is no store"):
            run(*words)
    assert not work.path.exists()


def test_rebuild_says_what_is_not_whole(
    job: str, run: Callable[..., Result], tamper: Callable[[str], None]
) -> None:
    tamper("UPDATE entry SET line = replace(CAST(line AS TEXT), '54.0', '54.1') WHERE seq = 2")
    result = run("rebuild")
    assert result.exit_code == 1
    assert f"{job}: NOT WHOLE, entry 2" in result.stdout
