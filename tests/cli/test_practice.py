"""`commission practice --auto --plain` as a process in a pipe."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from commission.record.bench import Bench

if TYPE_CHECKING:
    from pathlib import Path


def practise(home: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "COMMISSION_HOME": str(home)}
    environment.pop("COMMISSION_STORE", None)
    return subprocess.run(
        [sys.executable, "-m", "commission", "practice", *arguments],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
        timeout=120,
    )


def test_a_whole_job_is_released_marked_in_every_line_and_kept_apart(tmp_path: Path) -> None:
    done = practise(tmp_path, "quick-persistence", "--auto", "--plain")
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert all(line.startswith("PRACTICE  ") for line in lines)
    assert "PRACTICE  The job is released" in lines
    assert not (tmp_path / "bench.db").exists()
    with Bench.open(tmp_path / "practice.db", create=False) as bench:
        (job,) = bench.jobs()
        assert job.practice
        assert bench.look(job.job).outcome == "released"
    assert any(job.job in line for line in lines)


def test_a_fault_ends_in_a_stop_and_is_told_at_the_end(tmp_path: Path) -> None:
    done = practise(
        tmp_path, "direction-reverts", "--auto", "--plain", "--fault", "direction-not-stored"
    )
    assert done.returncode == 1, done.stdout
    assert "PRACTICE    The direction is back after every key cycle" in done.stdout
    assert "The job is stopped" in done.stdout


def test_a_seed_gives_the_same_lines_but_for_the_jobs_name(tmp_path: Path) -> None:
    runs = [
        practise(tmp_path, "make-safe", "--auto", "--plain", "--seed", "8").stdout.splitlines()
        for _ in range(2)
    ]
    assert runs[0][1:-1] == runs[1][1:-1]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("no-such-thing", "--auto", "--plain"), "There is no procedure and no file"),
        (
            ("--auto", "--plain", "--fault", "direction-not-store"),
            "Did you mean direction-not-stored",
        ),
        (("--auto", "--plain", "--hand", "lazy"), "There are: honest, confirms"),
        (("--plain",), "Use --plain together with --auto."),
        (("--auto",), "The screens need a terminal."),
        ((), "Use `commission practice --auto --plain` for pipes."),
        (("--auto", "--hand", "copies"), "On the screens the robot is honest."),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(
    tmp_path: Path, arguments: tuple[str, ...], words: str
) -> None:
    done = practise(tmp_path, *arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_a_workshops_own_file_can_be_tried(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(
        "procedure: own\nrevision: 1\ntitle: Own\npurpose: To try.\nstages:\n"
        "  - id: one\n    title: One\n    steps:\n"
        "      - {id: bus, kind: measure, title: Measure the bus, unit: V, probe: bus.voltagge}\n",
        encoding="utf-8",
    )
    done = practise(tmp_path, str(own), "--auto", "--plain")
    assert done.returncode == 2
    assert "The job is stuck at bus" in done.stdout
    assert "Did you mean bus.voltage?" in done.stdout
