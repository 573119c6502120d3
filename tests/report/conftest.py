"""The invented bike's job as reports see it: released, with a reverted direction, and half done."""

from __future__ import annotations

import dataclasses
import importlib.util
import sys
from copy import deepcopy
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.job import advance
from commission.job.entry import GENESIS, Digest, Entry
from commission.job.plan import from_record
from commission.procedure import load
from commission.record.bench import Bench
from commission.record.line import digest_of, to_line
from commission.record.reading import fold, read
from commission.record.verifying import change_of
from commission.report.subject import Subject

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from types import ModuleType

    from commission.procedure.load import Loaded

JOB: Final = "20310506-BCDF"
CHECKLISTS: Final = Path(__file__).parents[1] / "checklists"


def _walks() -> ModuleType:
    """Return the module that walks through a job by a table of answers."""
    if "report_walks" not in sys.modules:
        spec = importlib.util.spec_from_file_location("report_walks", CHECKLISTS / "conftest.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules["report_walks"] = module
        spec.loader.exec_module(module)
    return sys.modules["report_walks"]


@pytest.fixture(scope="session")
def exchange() -> Loaded:
    """The shipped procedure that the reports' jobs were done by."""
    return load.load(_walks().CHECKLISTS / "controller-exchange.yaml")


@pytest.fixture(scope="session")
def walk(exchange: Loaded) -> Callable[[], Any]:
    """Start a job on the invented bike."""
    walks = _walks()
    demo = walks.example("demo-bike.yaml")
    typed = {**demo["facts"], **walks.example("demo-answers.yaml")["answers"]}

    def start() -> Any:
        answers = {step: walks.spelled_out(answer) for step, answer in typed.items()}
        job = walks.Walk(advance.begin(from_record(exchange.text)), deepcopy(answers))
        job.open(demo["bike"], demo["people"])
        return job

    return start


@pytest.fixture(scope="session")
def lines_of(exchange: Loaded) -> Callable[..., list[bytes]]:
    """Make a real chain of a walk's entries, the procedure embedded; `changed` edits bodies."""

    def make(entries: Iterable[Entry], bike: Mapping[str, str] | None = None) -> list[bytes]:
        lines: list[bytes] = []
        prev: Digest = GENESIS
        for entry in entries:
            body = dict(entry.body)
            if entry.kind == "opened":
                procedure = {**body["procedure"], "text": exchange.text, "digest": exchange.digest}
                body |= {"job": JOB, "procedure": procedure, "bike": bike or body["bike"]}
            line = to_line(dataclasses.replace(entry, stream=JOB, body=body, prev=prev))
            lines.append(line)
            prev = digest_of(line)
        return lines

    return make


@pytest.fixture(scope="session")
def subject_of_lines() -> Callable[[list[bytes]], Subject]:
    """Make a subject of the lines of a record."""

    def make(lines: list[bytes]) -> Subject:
        entries = read(lines).entries
        return Subject(fold(entries), entries, digest_of(lines[-1]))

    return make


@pytest.fixture(scope="session")
def released_lines(
    walk: Callable[[], Any], lines_of: Callable[..., list[bytes]]
) -> list[bytes]:  # fmt: skip
    """The record of a job in which everything passes."""
    job = walk().until()
    assert job.state.outcome == "released"
    return lines_of(job.entries)


@pytest.fixture(scope="session")
def released(
    released_lines: list[bytes], subject_of_lines: Callable[[list[bytes]], Subject]
) -> Subject:  # fmt: skip
    """A job in which everything passes, as a report sees it."""
    return subject_of_lines(released_lines)


@pytest.fixture(scope="session")
def reverted(
    walk: Callable[[], Any], lines_of: Callable[..., list[bytes]],
    subject_of_lines: Callable[[list[bytes]], Subject],
) -> Subject:  # fmt: skip
    """A job whose direction reverted after the first key cycle, was remedied and proved."""
    job = walk()
    good = job.answers
    job.answers = deepcopy(good)
    job.answers["key_cycles"]["1:read-1"]["direction"] = "normal"
    job.answers["key_cycles"]["1:observe"]["wheel_direction"] = "turns backward"
    job.until("key_cycles").until()
    good["rewritten_after_key_cycle"] = {
        "cells-1": {"direction": "reversed", "startup_mode": "low"}
    }
    job.answers = good
    job.until()
    assert job.state.outcome == "released"
    return subject_of_lines(lines_of(job.entries))


@pytest.fixture(scope="session")
def half_lines(walk: Callable[[], Any], lines_of: Callable[..., list[bytes]]) -> list[bytes]:
    """The record of a job that stands before its key cycles."""
    return lines_of(walk().until("key_cycles").entries)


@pytest.fixture(scope="session")
def half(
    half_lines: list[bytes], subject_of_lines: Callable[[list[bytes]], Subject]
) -> Subject:  # fmt: skip
    """A job that stands before its key cycles, as a report sees it."""
    return subject_of_lines(half_lines)


@pytest.fixture
def bench(
    tmp_path: Path, released_lines: list[bytes], monkeypatch: pytest.MonkeyPatch
) -> Iterator[Bench]:
    """A bench that has the released job."""
    monkeypatch.setenv("COMMISSION_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("COMMISSION_STORE", raising=False)
    with Bench.open(tmp_path / "bench.db", "Bench 1") as opened:
        change = change_of(read(released_lines), digest_of(released_lines[-1]))
        opened.store.append(JOB, 1, released_lines, change)
        yield opened
