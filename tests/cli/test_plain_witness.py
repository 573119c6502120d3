"""By line prompts, too, a witness is not told the first reading, and a job can be ended."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Final

from commission.cli.exits import Exit
from commission.procedure import load
from commission.record.bench import Bench

ROOT: Final = Path(__file__).parents[2]
PROCEDURE: Final = """\
procedure: short
revision: 1
title: Short check
purpose: Shows the line prompts in a pipe.
stages:
  - id: only
    title: Only stage
    steps:
      - id: pack
        kind: measure
        title: Measure the pack
        unit: V
        hold: witness
        witness: {independent: true, within: "0.3[V]"}
        limits: {min: "42[V]"}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released}
"""


RESTING: Final = PROCEDURE.replace(
    "stages:\n",
    "roles: {pack_open_voltage: pack}\n"
    "settings:\n"
    "  - {id: low, label: Low-voltage limit, type: quantity, unit: V, intended: pack * 0.8}\n"
    "stages:\n",
).replace(
    "      - {id: release",
    "      - {id: found, kind: read_back, title: Read the settings, settings: [low]}\n"
    "      - {id: release",
)  # fmt: skip
"""As the one above, with a setting and a cross-check that rest on the reading."""


def start(folder: Path, text: str = PROCEDURE) -> str:
    people = {"Rika Holt": ("technician",), "Jon Aster": ("witness",)}
    loaded = load.loads(text, "short.yaml")
    with (
        Bench.open(folder / "bench.db") as bench,
        bench.start(loaded, {"frame": "F-1"}, people, "Rika Holt") as session,
    ):
        return session.job


def by_pipe(folder: Path, job: str, *typed: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "commission", "open", job, "--plain", "--store", "bench.db"],
        input="\n".join(typed) + "\n", capture_output=True, text=True, cwd=folder, check=False,
        timeout=60, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


def test_the_verdict_is_kept_until_the_witness_has_read(tmp_path: Path) -> None:
    outcome = by_pipe(tmp_path, start(tmp_path), "Rika Holt", "51.8", "Jon Aster", "51.9", "done")
    assert outcome.returncode == Exit.DONE, outcome.stdout
    until_read = outcome.stdout.partition("Name of the witness")[0]
    assert "Recorded. The reading is kept from the witness" in until_read
    assert "Passed" not in until_read


def test_nor_is_it_told_when_the_last_steps_are_read_again(tmp_path: Path) -> None:
    job = start(tmp_path)
    assert by_pipe(tmp_path, job, "Rika Holt", "51.8").returncode == Exit.UNFINISHED
    again = by_pipe(tmp_path, job, "Rika Holt", "read")
    assert "Recorded, and kept from the witness." in again.stdout
    assert "51.8" not in again.stdout


def test_a_job_is_ended_without_release_after_a_second_question(tmp_path: Path) -> None:
    job = start(tmp_path)
    kept = by_pipe(tmp_path, job, "Rika Holt", "!end", "abandoned", "no parts", "no")
    assert "NOT released" in kept.stdout
    assert "Nothing was ended." in kept.stdout
    ended = by_pipe(tmp_path, job, "Rika Holt", "!end", "abandoned", "no parts", "yes")
    assert "The job is abandoned." in ended.stdout
    assert ended.returncode == Exit.DONE


def test_no_look_aside_tells_a_witness_what_was_read_or_follows_from_it(tmp_path: Path) -> None:
    asides = ("!ledger", "!cross-check", "!route", "!record", "!why")
    outcome = by_pipe(tmp_path, start(tmp_path, RESTING), "Rika Holt", "51.8", *asides)
    told = outcome.stdout.partition("Hold point")[2]
    assert "Low-voltage limit: as found -, intended -" in told
    assert "51.8" not in told
    assert "41.4" not in told


def entries_of(folder: Path, job: str) -> list[str]:
    with Bench.open(folder / "bench.db") as bench:
        return [json.loads(line)["kind"] for line in bench.lines(job)]


def test_who_is_refused_as_a_witness_does_not_join_as_one(tmp_path: Path) -> None:
    job = start(tmp_path)
    refused = by_pipe(tmp_path, job, "Rika Holt", "51.8", "Rika Holt", "51.9")
    assert "Rika Holt is no witness." in refused.stdout
    assert "joined" not in entries_of(tmp_path, job)


def test_a_new_witness_joins_with_the_confirmation(tmp_path: Path) -> None:
    job = start(tmp_path)
    by_pipe(tmp_path, job, "Rika Holt", "51.8", "Mara Lind", "51.9")
    kinds = entries_of(tmp_path, job)
    assert kinds[kinds.index("joined") + 1] == "hold_confirmed"


def test_a_witness_who_leaves_before_reading_does_not_join(tmp_path: Path) -> None:
    job = start(tmp_path)
    by_pipe(tmp_path, job, "Rika Holt", "51.8", "Mara Lind")
    assert "joined" not in entries_of(tmp_path, job)
