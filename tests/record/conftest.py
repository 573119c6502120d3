"""A small job, a bench in a folder of its own, and clocks that go as they are told."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import tempfile
import uuid
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from commission.job import moves
from commission.job.entry import GENESIS, Clock, Digest, Entry
from commission.procedure import load
from commission.record.bench import Bench
from commission.record.clocks import Clocks, to_text
from commission.record.line import digest_of, to_line

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from commission.procedure.load import Loaded
    from commission.record.session import Session

SMALL = """
procedure: small
revision: 3
title: Small job
purpose: To have something to record.
settings:
  - {id: limit, label: Speed limit, type: quantity, unit: km/h, intended: "45[km/h]"}
stages:
  - id: only
    title: Only stage
    steps:
      - id: pack
        kind: measure
        title: Measure the pack voltage
        unit: V
        limits: {min: "40[V]", max: "60[V]"}
      - {id: as_found, kind: read_back, title: Read the settings, settings: all}
      - {id: set_limit, kind: write, title: Set the speed limit, settings: [limit]}
      - {id: cover, kind: confirm, title: Close the cover}
"""
START_US = 1_772_000_000_000_000


@dataclass
class HandClocks:
    """Clocks that stand still until they are moved."""

    us: int = START_US
    ns: int = 5_000_000_000
    boot: str = "boot-a"

    def clocks(self) -> Clocks:
        return Clocks(lambda: self.us, lambda: self.ns, self.boot)

    def wait(self, seconds: float) -> None:
        self.us += round(seconds * 1e6)
        self.ns += round(seconds * 1e9)


@dataclass
class Work:
    """A bench with hand clocks, and what one does at it."""

    path: Path
    loaded: Loaded
    hands: HandClocks = field(default_factory=HandClocks)

    def open(self) -> Bench:
        return Bench.open(self.path, "bench-1", clocks=self.hands.clocks())

    def start(self, bench: Bench, *, practice: bool = False) -> Session:
        people = {"Ada": ("technician",), "Lin": ("lead",)}
        bike = {"frame": "FR-001", "model": "Mule"}
        return bench.start(self.loaded, bike, people, "Ada", practice=practice)

    def answer(self, session: Session, given: Mapping[str, str]) -> None:
        self.hands.wait(20)
        state = session.state
        step = state.plan.steps[state.frontier].step.id
        session.record(moves.submit(state, step, given, "Ada", session.now()))

    def do_all(self, session: Session) -> None:
        for given in ({"value": "54.0"}, {"limit": "25"}, {"limit": "45"}, {"cover": "done"}):
            self.answer(session, self.named(session, given))

    def named(self, session: Session, given: Mapping[str, str]) -> Mapping[str, str]:
        state = session.state
        step = state.plan.steps[state.frontier].step.id
        asks = moves.asking(state, step, session.now()).asks
        return dict(zip((ask.name for ask in asks), given.values(), strict=False))


@pytest.fixture(scope="session")
def loaded() -> Loaded:
    made = load.loads(SMALL)
    assert made.procedure is not None, made.problems
    return made


@pytest.fixture
def work(tmp_path: Path, loaded: Loaded, monkeypatch: pytest.MonkeyPatch) -> Work:
    monkeypatch.delenv("COMMISSION_STORE", raising=False)
    monkeypatch.setenv("COMMISSION_HOME", str(tmp_path / "home"))
    return Work(tmp_path / "bench.db", loaded)


@pytest.fixture
def bench(work: Work) -> Iterator[Bench]:
    with work.open() as opened:
        yield opened


@pytest.fixture
def job(work: Work, bench: Bench) -> str:
    """The id of a finished-looking job: every step answered, the session closed."""
    with work.start(bench) as session:
        work.do_all(session)
        return session.job


@pytest.fixture(scope="session")
def make_lines() -> Callable[[int], list[bytes]]:
    """Return a maker of a whole stream of notes, of the length asked for."""

    def make(count: int) -> list[bytes]:
        lines: list[bytes] = []
        prev: Digest = GENESIS
        for seq in range(1, count + 1):
            entry = Entry(
                "notes", seq, to_text(START_US + seq * 1_000_000),
                Clock("boot-a", 999_999_990 + seq * 1_000_000_000), "bench-1", "Ada", "noted",
                None, 0, {"grade": "", "text": f"Kabel geprüft {seq} ✓", "typed": "54.0"}, prev,
            )  # fmt: skip
            lines.append(to_line(entry))
            prev = digest_of(lines[-1])
        return lines

    return make


@pytest.fixture
def tamper(work: Work) -> Callable[[str], None]:
    """Return a way to change the store behind the program's back, its triggers put aside."""

    def run(statement: str) -> None:
        connection = sqlite3.connect(work.path)
        triggers = connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(statement)
        for _, sql in triggers:
            connection.execute(sql)
        connection.commit()
        connection.close()

    return run


@dataclass(frozen=True)
class Server:
    """A PostgreSQL server; `database` makes an empty one and gives its URL."""

    url: str

    def database(self) -> str:
        """Return the URL of a new, empty database."""
        import psycopg

        name = f"t{uuid.uuid4().hex}"
        with psycopg.connect(self.url, autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}"')
        where, question, options = self.url.partition("?")
        return f"{where.rpartition('/')[0]}/{name}{question}{options}"


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A real server: `$COMMISSION_TEST_POSTGRESQL`, or one started here from Debian's package."""
    url = os.environ.get("COMMISSION_TEST_POSTGRESQL")
    if url:
        yield Server(url)
        return
    programs = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not programs:
        pytest.skip("PostgreSQL is not installed here; .ci/run installs it")
    with tempfile.TemporaryDirectory(prefix="pg-") as folder:
        yield from _started(programs[-1].parent, Path(folder))


def _started(programs: Path, folder: Path) -> Iterator[Server]:
    data = folder / "data"
    owner = "postgres" if os.geteuid() == 0 else None  # the server refuses to run as root
    if owner:
        shutil.chown(folder, owner)
    folder.chmod(0o755)

    def run(program: str, *arguments: str) -> None:
        command = [str(programs / program), "-D", str(data), *arguments]
        subprocess.run(command, check=True, capture_output=True, cwd=folder, user=owner)

    run("initdb", "--username=bench", "--auth=trust", "--encoding=UTF8", "--locale=C")
    options = f"-c listen_addresses='' -c unix_socket_directories={folder}"
    run("pg_ctl", "-w", "-l", str(folder / "log"), "-o", options, "start")
    try:
        yield Server(f"postgresql://bench@/postgres?host={folder}")
    finally:
        run("pg_ctl", "-w", "-m", "immediate", "stop")
