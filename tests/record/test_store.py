"""The store keeps lines as they are, refuses to change them, and says clearly what is wrong."""

from __future__ import annotations

import os
import resource
import sqlite3
import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.errors import BusyError, DamagedError, RecordError, SchemaError, StoreError
from commission.record.bench import Bench
from commission.record.places import places_of
from commission.record.sql import SqlStore
from commission.record.sqlite import APPLICATION_ID, refusal_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from tests.record.conftest import Work


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqlStore]:
    opened = SqlStore(tmp_path / "some.db")
    yield opened
    opened.close()


@contextmanager
def as_nobody() -> Iterator[None]:
    """Act without the superuser's leave to write everywhere, where the tests run as such."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@given(st.lists(st.binary(max_size=300), min_size=1, max_size=8))
def test_lines_come_back_byte_for_byte(lines: list[bytes]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = SqlStore(Path(folder) / "some.db")
        store.append("s", 1, lines, None)
        assert list(store.lines("s")) == lines
        assert store.last("s") == (len(lines), lines[-1])
        store.close()


def test_long_streams_come_in_order_and_from_anywhere(store: SqlStore) -> None:
    lines = [b"%d" % number for number in range(1, 3000)]
    store.append("long", 1, lines, None)
    store.append("other", 1, [b"x"], None)
    assert list(store.lines("long")) == lines
    assert list(store.lines("long", 2995)) == lines[2994:]
    assert list(store.lines("none")) == []
    assert store.last("none") is None
    assert store.streams() == ("long", "other")


@pytest.mark.parametrize("first", [1, 2, 4, 5])
def test_only_the_next_number_is_taken(store: SqlStore, first: int) -> None:
    store.append("s", 1, [b"one", b"two"], None)
    with pytest.raises(BusyError, match="nothing was recorded") as refusal:
        store.append("s", first, [b"new"], None)
    assert "IntegrityError" in str(refusal.value.__cause__)
    store.append("s", 3, [b"three"], None)
    assert list(store.lines("s")) == [b"one", b"two", b"three"]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET line = 'x'",
        "UPDATE entry SET stream = 'x'",
        "DELETE FROM entry",
        "INSERT OR REPLACE INTO entry VALUES ('s', 1, 'x')",
        "REPLACE INTO entry VALUES ('s', 2, 'x')",
        "INSERT INTO entry VALUES ('s', 1, 'x') ON CONFLICT DO UPDATE SET line = 'x'",
        "INSERT INTO entry VALUES ('s', 9, 'x')",
    ],
)
def test_database_itself_refuses_to_change_entries(store: SqlStore, statement: str) -> None:
    store.append("s", 1, [b"one", b"two"], None)
    connection = sqlite3.connect(store.place)
    with pytest.raises(sqlite3.IntegrityError, match=r"never changed|never removed|follow"):
        connection.execute(statement)
    connection.close()
    assert list(store.lines("s")) == [b"one", b"two"]


def test_file_is_marked_and_set_to_be_durable(store: SqlStore) -> None:
    with store._reading() as connection:
        pragmas = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("application_id", "user_version", "journal_mode", "synchronous",
                         "foreign_keys", "busy_timeout")
        }  # fmt: skip
    # synchronous 2 is FULL (sqlite.org/pragma.html#pragma_synchronous).
    assert pragmas == {
        "application_id": APPLICATION_ID, "user_version": 1, "journal_mode": "wal",
        "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5000,
    }  # fmt: skip


def test_refused_write_leaves_a_connection_that_works(store: SqlStore) -> None:
    for _ in range(12):
        with pytest.raises(BusyError):
            store.append("s", 7, [b"x"], None)
    store.append("s", 1, [b"one"], None)
    assert store.streams() == ("s",)


def test_newer_schema_is_left_alone(work: Work, job: str) -> None:
    connection = sqlite3.connect(work.path)
    connection.execute("PRAGMA user_version=2")
    connection.close()
    with pytest.raises(SchemaError, match=r"newer version.*Nothing was changed"):
        work.open()
    assert job


def test_database_of_something_else_is_no_store(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE t (x)")
    connection.commit()
    connection.close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match="not a store of this program"):
        Bench.open(path)
    assert path.read_bytes() == before


def test_file_of_something_else_is_no_store(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("a shopping list, longer than a header\n" * 50)
    with pytest.raises(StoreError, match="not a store") as refusal:
        Bench.open(path)
    assert refusal.value.hint
    assert path.read_text().startswith("a shopping list")


def test_empty_file_becomes_a_store(tmp_path: Path) -> None:
    path = tmp_path / "empty.db"
    path.touch()
    with Bench.open(path) as bench:
        assert bench.jobs() == ()


def test_missing_store_is_made_only_where_that_is_wanted(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "er" / "bench.db"
    with pytest.raises(StoreError, match="There is no store"):
        Bench.open(path, create=False)
    assert not path.parent.exists()
    Bench.open(path).close()
    assert path.exists()


def test_folder_in_the_place_of_the_store_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot be read: Is a directory"):
        Bench.open(tmp_path)


def test_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match="cannot be made"):
        Bench.open(tmp_path / "file" / "bench.db")


@pytest.fixture
def read_only_folder() -> Iterator[Path]:
    """A folder that anyone may enter; the test fills it and forbids writing."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        yield folder
        folder.chmod(0o755)


@pytest.mark.parametrize("left_open", [False, True], ids=["closed", "log left behind"])
def test_read_only_store_shows_all_that_was_confirmed(
    work: Work, read_only_folder: Path, *, left_open: bool
) -> None:
    writer = work.open()
    with work.start(writer) as session:
        work.do_all(session)
    if not left_open:
        writer.close()
    # Left open, as after a crash: the log holds entries that the file does not.
    names = ["bench.db", "bench.db-wal"] if left_open else ["bench.db"]
    for name in names:
        copy = read_only_folder / name
        copy.write_bytes(work.path.with_name(name).read_bytes())
        copy.chmod(0o444)
    read_only_folder.chmod(0o555)
    with as_nobody(), Bench.open(read_only_folder / "bench.db") as reader:
        assert [line.job for line in reader.jobs()] == [session.job]
        assert reader.look(session.job).seq == session.state.seq
        with pytest.raises(StoreError, match="can only be read") as refusal:
            reader.resume(session.job)
        with pytest.raises(StoreError, match="can only be read"):
            work.start(reader)
        with pytest.raises(StoreError, match="can only be read"):
            reader.store.append(session.job, 99, [b"x"], None)
    assert refusal.value.hint
    assert sorted(path.name for path in read_only_folder.iterdir()) == names
    writer.close()


def test_file_that_may_not_grow_refuses_and_keeps_what_was_confirmed(tmp_path: Path) -> None:
    """A child with a file size limit stands for a disk that fills up while a job is on."""
    path = tmp_path / "bench.db"
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
        store, confirmed = SqlStore(path), 0
        try:
            for number in range(1, 100):
                store.append("s", number, [b"x" * 10_000], None)
                confirmed = number
        except StoreError as error:
            told = "nothing was recorded" in error.message and error.__cause__ is not None
            os._exit(confirmed if told and len(list(store.lines("s"))) == confirmed else 255)
        os._exit(254)
    confirmed = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert 0 < confirmed < 99
    store = SqlStore(path)
    assert len(list(store.lines("s"))) == confirmed
    store.append("s", confirmed + 1, [b"there is room again"], None)
    store.close()


def test_damage_is_named_and_the_rest_stays_readable(tmp_path: Path) -> None:
    path = tmp_path / "bench.db"
    store = SqlStore(path)
    for number in range(1, 61):
        store.append("a", number, [b"%d " % number + b"x" * 1500], None)
    store.close()
    content = bytearray(path.read_bytes())
    place = content.index(b"60 xxx")
    page = place // 4096 * 4096
    content[page : page + 4096] = b"\xff" * 4096
    path.write_bytes(content)
    store, read = SqlStore(path), list[bytes]()
    with pytest.raises(DamagedError, match="is damaged") as refusal:
        read.extend(store.lines("a"))
    assert refusal.value.__cause__ is not None
    assert read[0].startswith(b"1 xxx")
    store.close()


def test_every_kind_of_driver_error_has_a_meaning_of_ours() -> None:
    kinds = [
        kind for kind in vars(sqlite3).values()
        if isinstance(kind, type) and issubclass(kind, sqlite3.Error)
    ]  # fmt: skip
    assert len(kinds) >= 9
    for kind in kinds:
        refusal = refusal_of(kind("what the driver says"), Path("bench.db"))
        assert isinstance(refusal, RecordError)
        assert refusal.message


@pytest.mark.parametrize(
    ("location", "expected"),
    [
        ("/a/b.db", "/a/b.db"),
        ("sqlite:////a/b.db", "/a/b.db"),
        ("sqlite:///b.db", "{cwd}/b.db"),
        ("b.db", "{cwd}/b.db"),
        (None, "/own/home/bench.db"),
    ],
)
def test_store_is_found_by_path_url_or_default(
    monkeypatch: pytest.MonkeyPatch, location: str | None, expected: str
) -> None:
    monkeypatch.setenv("COMMISSION_HOME", "/own/home")
    assert str(places_of(location).store) == expected.format(cwd=Path.cwd())


def test_default_place_follows_the_desktop_convention(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COMMISSION_HOME", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", "/data")
    assert str(places_of(None).store) == "/data/commission/bench.db"
    monkeypatch.delenv("XDG_DATA_HOME")
    monkeypatch.setenv("HOME", "/home/ada")
    assert str(places_of(None).store) == "/home/ada/.local/share/commission/bench.db"


@pytest.mark.parametrize("url", ["mysql://host/db", "sqlite://", "sqlite:///", "http://x"])
def test_unknown_kind_of_store_is_refused(url: str) -> None:
    with pytest.raises(StoreError, match="not a kind of store"):
        places_of(url)


def test_tampering_behind_the_triggers_is_seen_by_verify(
    work: Work, job: str, tamper: Callable[[str], None]
) -> None:
    tamper("DELETE FROM entry WHERE seq = 3")
    with work.open() as bench, pytest.raises(DamagedError, match="entry 3 is missing"):
        bench.look(job)
