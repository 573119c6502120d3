"""Two stores brought level: idempotent, whole, and never a choice between two stories."""

from __future__ import annotations

from contextlib import nullcontext
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.errors import BusyError
from commission.job.entry import GENESIS, Clock, Digest, Entry
from commission.record.line import digest_of, to_line
from commission.record.postgres import PostgresBackend
from commission.record.sql import SqlStore
from commission.record.syncing import Fate, sync

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from commission.record.bench import Bench
    from commission.record.store import Store
    from tests.record.conftest import Server, Work


def story(stream: str, texts: list[str]) -> list[bytes]:
    """Return a whole stream of remarks."""
    lines: list[bytes] = []
    head: Digest = GENESIS
    for seq, text in enumerate(texts, 1):
        clock = Clock("boot", seq * 1_000_000_000)
        at = f"2026-01-01T00:00:{seq:02}.000000Z"
        entry = Entry(
            stream, seq, at, clock, "bench", "Ada", "noted", None, 0, {"text": text}, head
        )
        lines.append(to_line(entry))
        head = digest_of(lines[-1])
    return lines


def level(here: Store, there: Store) -> dict[str, Fate]:
    return {done.stream: done.fate for done in sync(here, there, lambda _: nullcontext())}


@pytest.fixture(params=["file", "server"])
def there(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[SqlStore]:
    if request.param == "file":
        store = SqlStore(tmp_path / "there.db")
    else:
        server: Server = request.getfixturevalue("server")
        store = SqlStore(PostgresBackend(server.database(), create=True))
    yield store
    store.close()


@pytest.fixture
def here(tmp_path: Path) -> Iterator[SqlStore]:
    store = SqlStore(tmp_path / "here.db")
    yield store
    store.close()


def test_each_gets_what_the_other_has_more(here: SqlStore, there: SqlStore) -> None:
    one, two, three = (story(name, ["a", "b", "c"]) for name in ("one", "two", "three"))
    here.append("one", 1, one, None)
    here.append("two", 1, two[:1], None)
    there.append("two", 1, two, None)
    there.append("three", 1, three, None)
    assert level(here, there) == {"one": Fate.SENT, "two": Fate.FETCHED, "three": Fate.FETCHED}
    for store in (here, there):
        assert [list(store.lines(name)) for name in ("one", "two", "three")] == [one, two, three]
    assert set(level(here, there).values()) == {Fate.LEVEL}


def test_a_fork_is_told_and_left_as_it_is(here: SqlStore, there: SqlStore) -> None:
    ours, theirs = story("s", ["a", "b", "ours"]), story("s", ["a", "b", "theirs", "more"])
    here.append("s", 1, ours, None)
    there.append("s", 1, theirs, None)
    (done,) = sync(here, there, lambda _: nullcontext())
    assert done.fate is Fate.PARTED
    assert "From entry 3" in done.told
    assert list(here.lines("s")) == ours
    assert list(there.lines("s")) == theirs


def test_a_damaged_stream_is_not_passed_on(here: SqlStore, there: SqlStore) -> None:
    lines = story("s", ["a", "b", "c"])
    here.append("s", 1, [lines[0], lines[1].replace(b'"b"', b'"x"'), lines[2]], None)
    (done,) = sync(here, there, lambda _: nullcontext())
    assert done.fate is Fate.DAMAGED
    assert list(there.lines("s")) == []


def test_a_stream_in_use_waits_for_another_time(here: SqlStore, there: SqlStore) -> None:
    there.append("s", 1, story("s", ["a"]), None)

    def busy(stream: str) -> nullcontext[None]:
        raise BusyError(f"{stream} is being worked on.", "Leave it there first.")

    (done,) = sync(here, there, busy)
    assert (done.fate, list(here.lines("s"))) == (Fate.BUSY, [])


def test_a_job_arrives_with_its_place_in_the_lists(
    work: Work, bench: Bench, there: SqlStore
) -> None:
    with work.start(bench) as session:
        assert level(bench.store, there) == {session.job: Fate.SENT}
        assert there.change_of(session.job) == bench.store.change_of(session.job)
        work.do_all(session)
        assert level(bench.store, there) == {session.job: Fate.SENT}
        arrived = there.change_of(session.job)
    assert arrived == bench.store.change_of(session.job)
    assert arrived is not None
    assert [row.typed for row in arrived.readings] == ["54.0", "25", "45"]


@settings(deadline=None, max_examples=30)
@given(st.lists(st.tuples(st.sampled_from("ab"), st.booleans(), st.integers(0, 5)), max_size=6))
def test_streams_that_grow_on_one_side_at_a_time_always_come_level(
    tmp_path_factory: pytest.TempPathFactory, turns: list[tuple[str, bool, int]]
) -> None:
    folder = tmp_path_factory.mktemp("level")
    stores = SqlStore(folder / "one.db"), SqlStore(folder / "two.db")
    whole = {name: story(name, [str(number) for number in range(40)]) for name in "ab"}
    for name, is_first, count in turns:
        store = stores[is_first]
        last = store.last(name)
        at = 0 if last is None else last[0]
        if count:
            store.append(name, at + 1, whole[name][at : at + count], None)
        level(*stores)
        for each in "ab":
            assert list(stores[0].lines(each)) == list(stores[1].lines(each))
    for store in stores:
        store.close()
