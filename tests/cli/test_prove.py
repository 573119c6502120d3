"""`commission prove` as a process: what it prints, its exit codes, and an interruption."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
SMALL = ("--seeds", "1", "--sound", "2", "--jobs", "1")


def command(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "commission", "prove", *arguments]


def prove(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command(*arguments), capture_output=True, text=True, check=False, timeout=120, cwd=ROOT
    )


def test_it_says_which_step_caught_what_and_exits_0() -> None:
    done = prove("controller-exchange", "--faults", "lever-sticks,bleed-resistor-open", *SMALL)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert "Measure between the positive and the negative bus terminal (dead_" in done.stdout
    assert "bleed-resistor-open" in done.stdout
    assert "Proved against 2 faults" in done.stdout
    for pilot in ("honest", "confirms", "copies", "hurries"):
        assert f"\n{pilot}" in done.stdout


def test_a_fault_that_escapes_is_named_first_and_exits_1() -> None:
    done = prove("quick-persistence", "--faults", "brake-switch-dead", "--pilots", "honest", *SMALL)
    assert done.returncode == 1, done.stderr
    assert "ESCAPED: released with the fault\n    brake-switch-dead" in done.stdout
    assert "The brake does not cut the drive." in done.stdout
    assert "Can injure, and not found in time: brake-switch-dead." in done.stdout


def test_json_is_alone_on_standard_output() -> None:
    done = prove("controller-exchange", "--faults", "pack-aged", "--json", *SMALL)
    made = json.loads(done.stdout)
    assert made["procedure"]["id"] == "controller-exchange"
    assert [row["outcome"] for row in made["faults"] if row["pilot"] == "honest"] == ["escaped"]
    assert made["figures"]["honest"]["beyond_bench"] == 1
    assert [trial["outcome"] for trial in made["sound"]] == ["sound", "sound"]


def test_a_page_is_written_beside_the_table_and_refused_before_the_work(tmp_path: Path) -> None:
    page = tmp_path / "trials.html"
    done = prove("quick-persistence", "--faults", "throttle-shorted", "-o", str(page), *SMALL)
    assert done.returncode == 0, done.stderr
    assert "Proved against 1 fault" in done.stdout
    assert page.read_text("utf-8").startswith("<!DOCTYPE html>")
    for place, said in ((page, "there already"), (tmp_path / "x.doc", "Use .html"),
                        (tmp_path / "no" / "t.pdf", "no folder")):  # fmt: skip
        refused = prove("quick-persistence", "-o", str(place))
        assert (refused.returncode, refused.stdout) == (2, "")
        assert said in refused.stderr


def test_what_cannot_be_tried_is_said_in_one_sentence_and_exits_2(tmp_path: Path) -> None:
    unknown = prove("controller-exchange", "--faults", "lever-stick", *SMALL)
    assert (unknown.returncode, unknown.stdout) == (2, "")
    assert "Did you mean lever-sticks" in unknown.stderr
    pilot = prove("controller-exchange", "--pilots", "hasty", *SMALL)
    assert pilot.returncode == 2
    assert "There are: honest, confirms, copies, hurries." in pilot.stderr
    nothing = prove("no-such-procedure", *SMALL)
    assert nothing.returncode == 2
    assert "Traceback" not in nothing.stderr
    file = tmp_path / "own.yaml"
    file.write_text("catalogue: own\ntitle: Own\nfaults: [{id: a}]\n", encoding="utf-8")
    bad = prove("controller-exchange", "--faults", str(file), *SMALL)
    assert bad.returncode == 2
    assert f"{file}:3:10: the key title is missing" in bad.stderr


def test_an_interruption_leaves_no_process_and_exits_130() -> None:
    running = subprocess.Popen(
        command("controller-exchange", "--jobs", "2", "--sound", "5000"),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT,
        start_new_session=True,
    )  # fmt: skip
    deadline = time.monotonic() + 60
    while len(_group(running.pid)) < 3 and time.monotonic() < deadline:
        time.sleep(0.1)
    time.sleep(1.0)
    # A terminal sends Ctrl-C to the whole group.
    os.killpg(running.pid, signal.SIGINT)
    out, err = running.communicate(timeout=60)
    assert (running.returncode, out) == (130, ""), err
    assert err.strip() == "Interrupted; no result."
    # The library's own helper ends once it sees that its parent has.
    deadline = time.monotonic() + 10
    while _group(running.pid) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert _group(running.pid) == []


def _group(leader: int) -> list[int]:
    """Return the processes of a group, by /proc."""
    found = []
    for entry in Path("/proc").iterdir():
        try:
            fields = (entry / "stat").read_text().rpartition(")")[2].split()
        except (OSError, ValueError):
            continue
        if int(fields[2]) == leader and fields[0] != "Z":
            found.append(int(entry.name))
    return found
