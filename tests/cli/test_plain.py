"""The line prompts lead through whole jobs, over the same core as the screens."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from commission.cli.exits import Exit
from commission.cli.plain import run
from commission.cli.plain.answers import answer
from commission.cli.plain.job import drive
from commission.cli.plain.talk import LeftError, Talk
from commission.job import moves
from commission.job.ask import Ask
from commission.job.state import Status
from commission.procedure import load, yaml12
from commission.record.bench import Bench
from commission.record.clocks import Clocks

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.record.session import Session

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "checklists" / "examples"
TECHNICIAN, WITNESS, LEAD = "Rika Holt", "Jon Aster", "Mara Quill"


def example(name: str) -> dict[str, Any]:
    data: dict[str, Any] = yaml12.build((EXAMPLES / name).read_text("utf-8"), name).data
    return data


class Time:
    """A time that passes only when somebody waits or types."""

    def __init__(self) -> None:
        self.passed_us = 0

    def sleep(self, seconds: float) -> None:
        self.passed_us += round(seconds * 1e6)

    def clocks(self) -> Clocks:
        start = 1_930_000_000_000_000
        return Clocks(lambda: start + self.passed_us, lambda: self.passed_us * 1000, "boot-1")


class Robot(Talk):
    """Somebody who answers each prompt from a table, knowing only which step is open."""

    def __init__(self, session: Session, answers: dict[str, Any], time: Time) -> None:
        super().__init__(source=io.StringIO(), sink=io.StringIO(), sleep=time.sleep)
        self.session, self.answers, self.time = session, answers, time
        self.leave_at = ""
        self.asked = 0

    @property
    def told(self) -> str:
        assert isinstance(self.sink, io.StringIO)
        return self.sink.getvalue()

    def ask(self, prompt: str) -> str:
        self.tell(prompt)
        self.time.sleep(1)
        self.asked += 1
        assert self.asked < 1000, self.told[-3000:]
        state = self.session.state
        step = state.plan.steps[state.frontier].id
        if step == self.leave_at:
            self.leave_at = ""
            raise LeftError
        if prompt.startswith("Type read"):
            return "read"
        if prompt.startswith("Name of the"):
            return WITNESS if "witness" in prompt else LEAD
        if "do you confirm" in prompt:
            return "yes"
        return self._answer(step, prompt)

    def _answer(self, step: str, prompt: str) -> str:
        asking = moves.asking(self.session.state, step, self.session.now())
        given = self.answers[step]
        if isinstance(given, str):
            given = {"value": given}
        given = given.get(asking.part, given)
        wanted = next(ask for ask in asking.asks if prompt.startswith(ask.label))
        typed = str(given.get(wanted.name, "done" if wanted.type == "done" else wanted.offered))
        return str(EXAMPLES / typed) if wanted.type == "file" else typed


@pytest.fixture
def time() -> Time:
    return Time()


@pytest.fixture
def bench(tmp_path: Path, time: Time) -> Iterator[Bench]:
    with Bench.open(tmp_path / "bench.db", "Bench 1", clocks=time.clocks()) as opened:
        yield opened


@pytest.fixture
def start(bench: Bench, time: Time) -> Callable[[], Robot]:
    def begin() -> Robot:
        demo = example("demo-bike.yaml")
        people = {one["name"]: tuple(one["roles"]) for one in demo["people"]}
        loaded = load.load(ROOT / "checklists" / "controller-exchange.yaml")
        session = bench.start(loaded, demo["bike"], people, TECHNICIAN)
        answers = {**demo["facts"], **example("demo-answers.yaml")["answers"]}
        return Robot(session, answers, time)

    return begin


def test_the_whole_checklist_is_done_by_line_prompts(start: Callable[[], Robot]) -> None:
    robot = start()
    with robot.session as session:
        assert drive(session, TECHNICIAN, robot) == Exit.DONE
        assert session.state.outcome == "released"
    assert "Head of its record:" in robot.told
    assert robot.session.head in robot.told
    assert "WARNING: " in robot.told


def test_leaving_is_recorded_and_the_last_two_steps_are_shown_again(
    bench: Bench, start: Callable[[], Robot]
) -> None:
    robot = start()
    robot.leave_at = "meter_proved_before"
    with robot.session as session:
        assert drive(session, TECHNICIAN, robot) == Exit.UNFINISHED
        assert session.recent(1)[0].kind == "left"
    again = Robot(bench.resume(session.job), robot.answers, robot.time)
    again.leave_at = "dead_between_poles"
    with again.session as session:
        drive(session, TECHNICIAN, again)
    assert "The last steps once more" in again.told
    assert again.told.index("once more") < again.told.index("\nStep ")


SHORT = """\
procedure: short
revision: 1
title: Short check
purpose: Shows the line prompts in a pipe.
facts:
  - {id: series, label: Cells in series, type: integer, range: [10, 32]}
stages:
  - id: only
    title: Only stage
    steps:
      - {id: stand, kind: confirm, title: Put the bike on a stand}
      - id: pack
        kind: measure
        title: Measure the pack
        unit: V
        limits: {min: "series * 3.0[V]"}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released}
"""


def start_short(folder: Path) -> str:
    loaded = load.loads(SHORT, "short.yaml")
    with (
        Bench.open(folder / "bench.db") as bench,
        bench.start(
            loaded, {"frame": "F-1"}, {"Rika Holt": ("technician",)}, "Rika Holt"
        ) as session,
    ):
        return session.job


def by_pipe(folder: Path, job: str, typed: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "commission", "open", job, "--plain", "--store", "bench.db"],
        input=typed, capture_output=True, text=True, cwd=folder, check=False, timeout=60,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


def test_a_job_runs_through_a_pipe(tmp_path: Path) -> None:
    job = start_short(tmp_path)
    answers = ["1", "14", "done", "51.8", "done"]
    outcome = by_pipe(tmp_path, job, "\n".join(answers) + "\n")
    assert outcome.stderr == ""
    assert outcome.returncode == Exit.DONE, outcome.stdout
    assert "= 51.8 V" in outcome.stdout


def test_a_step_is_titled_once(tmp_path: Path) -> None:
    job = start_short(tmp_path)
    outcome = by_pipe(tmp_path, job, "1\n14\ndone\n51.8\ndone\n")
    assert outcome.stdout.count("Put the bike on a stand\n") == 1


def test_a_plausible_range_is_not_called_good() -> None:
    ask = Ask("limit", "speed limit", "quantity", "km/h", (), "plausible: 5 to 160 km/h")
    talk = Talk(io.StringIO("55\n"), io.StringIO())
    session: Any = None
    assert answer(ask, session, talk) == "55"
    assert isinstance(talk.sink, io.StringIO)
    assert "speed limit in km/h [plausible: 5 to 160 km/h]:" in talk.sink.getvalue()


def test_a_comma_is_never_taken_for_a_point(tmp_path: Path) -> None:
    job = start_short(tmp_path)
    outcome = by_pipe(tmp_path, job, "1\n14\ndone\n51,8\n51.8\ndone\n")
    assert "'51,8' has a comma." in outcome.stdout
    assert outcome.returncode == Exit.DONE, outcome.stdout


def test_the_end_of_the_input_leaves_the_job_where_it_is(tmp_path: Path) -> None:
    job = start_short(tmp_path)
    outcome = by_pipe(tmp_path, job, "1\n14\n")
    assert outcome.returncode == Exit.UNFINISHED
    assert outcome.stderr == ""
    with Bench.open(tmp_path / "bench.db") as bench:
        state = bench.look(job)
    assert state.steps["series"].status is Status.PASSED
    assert state.away


def test_a_bare_enter_passes_nothing(tmp_path: Path) -> None:
    job = start_short(tmp_path)
    outcome = by_pipe(tmp_path, job, "1\n14\n\n\n\n")
    assert outcome.returncode == Exit.UNFINISHED
    with Bench.open(tmp_path / "bench.db") as bench:
        assert bench.look(job).steps["stand"].status is Status.TODO


def test_no_escape_sequence_of_a_person_reaches_the_terminal() -> None:
    talk = Talk(io.StringIO(), io.StringIO())
    talk.tell("Put \x1b[31mthe \u202ebike on a stand")
    assert isinstance(talk.sink, io.StringIO)
    assert talk.sink.getvalue() == "Put ?[31mthe ?bike on a stand\n"


def test_no_store_is_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "bench.db").write_text("this is no database, only some text of some length" * 40)
    code = run(str(tmp_path / "bench.db"), None, Talk(io.StringIO(), io.StringIO()))
    assert code == Exit.COULD_NOT
    assert "Traceback" not in capsys.readouterr().err
