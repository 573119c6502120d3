"""What a bench knows beside a job: like bikes, this bike before, the instrument last used."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, Any

import pytest

from commission.job import moves
from commission.job.accuracy import parse_ranges
from commission.procedure import load
from commission.record.bench import Bench
from commission.record.verifying import examine_stream, rebuild
from commission.register import instrument_moves
from commission.register.instrument_moves import Wanted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.session import Session

TEXT = """
procedure: beside
revision: 1
title: Readings to compare
purpose: To have readings that several bikes share.
equipment:
  - {id: meter, label: meter, kind: multimeter, percent: 1, counts: 1, overdue: warn}
stages:
  - id: only
    title: Only stage
    steps:
      - {id: pack, kind: measure, title: Measure the pack, unit: V, instrument: meter}
      - id: angle
        kind: series
        title: Find the angle
        runs: 2
        columns: [{id: hall, label: Sensor, unit: deg, circular: true}]
      - id: grip
        kind: sweep
        title: Turn the grip
        x: {label: Grip, unit: "%"}
        y: {label: Signal, unit: V}
        points: ["0[%]", "50[%]", "100[%]"]
      - {id: leave, kind: sign_off, title: Sign the job, meaning: released, role: technician}
"""
RANGES = parse_ranges("60 V: 1 % + 1 counts of 0.01")


@pytest.fixture(scope="module")
def loaded() -> Any:
    made = load.loads(TEXT)
    assert made.procedure is not None, made.problems
    return made


class Garage:
    """A bench on which jobs are done in a line each."""

    def __init__(self, work: Any, bench: Bench, loaded: Any) -> None:
        self.work, self.bench, self.loaded = work, bench, loaded

    def start(self, frame: str, model: str = "Mule", **more: Any) -> Session:
        self.work.hands.wait(3600)
        practice = more.pop("practice", False)
        bike = {"frame": frame, "model": model, **more}
        people = {"Ada": ("technician",)}
        return self.bench.start(self.loaded, bike, people, "Ada", practice=practice)

    def read(self, frame: str, volts: str, model: str = "Mule", **more: Any) -> str:
        """Do a job as far as its first reading; return its id."""
        instrument = more.pop("instrument", None)
        with self.start(frame, model, **more) as session:
            self.submit(session, "pack", instrument=instrument, value=volts)
            return session.job

    def submit(self, session: Session, step: str, instrument: Any = None, **typed: str) -> None:
        session.record(
            moves.submit(session.state, step, typed, "Ada", session.now(), instrument=instrument)
        )

    def like(self, frame: str, model: str = "Mule", step: str = "pack", **more: Any) -> Any:
        with self.start(frame, model, **more) as session:
            planned = session.state.plan.planned(step)
            return session.workshop.like(session.state, planned)


@pytest.fixture
def garage(work: Any, bench: Bench, loaded: Any) -> Garage:
    return Garage(work, bench, loaded)


@pytest.fixture(params=["file", "server"])
def anywhere(request: pytest.FixtureRequest, work: Any, loaded: Any) -> Iterator[Garage]:
    """A bench on a file, and one on a shared server."""
    place = work.path
    if request.param == "server":
        place = request.getfixturevalue("server").database()
    with Bench.open(place, "bench-1", clocks=work.hands.clocks()) as opened:
        yield Garage(work, opened, loaded)


def test_like_bikes_are_of_the_same_model_or_have_the_same_controller(anywhere: Garage) -> None:
    anywhere.read("F1", "50.1", "Mule")
    anywhere.read("F2", "50200 mV", " MULE ")  # in another unit, written otherwise
    anywhere.read("F3", "70.0", "Goat")
    anywhere.read("F4", "50.4", "Goat", controller="kind seven")
    anywhere.read("F5", "50.5", "", sheet="Kind  Seven")
    assert anywhere.like("F9", "mule")["value"].values == pytest.approx((50.2, 50.1))
    both = anywhere.like("F9", "mule", controller="kind seven")["value"].values
    assert both == pytest.approx((50.5, 50.4, 50.2, 50.1))
    assert anywhere.like("F9", "") == {}


def test_each_bike_counts_once_and_this_one_apart(anywhere: Garage) -> None:
    anywhere.read("F1", "48.0")
    anywhere.read("F1", "50.1")
    anywhere.read("f2", "50.2")
    anywhere.read("F9", "49.0")
    like = anywhere.like("f9")["value"]
    assert like.values == (50.2, 50.1)
    assert like.earlier.value == 49.0


def test_practice_and_what_was_corrected_do_not_count(garage: Garage) -> None:
    garage.read("F1", "99.0", practice=True)
    with garage.start("F2") as session:
        garage.submit(session, "pack", value="5.02")
        parts = {"": {"value": "50.2"}}
        state = session.state
        session.record(moves.correct(state, "pack", parts, "a slip", "Ada", session.now()))
    assert garage.like("F9")["value"].values == (50.2,)


def test_a_series_is_its_mean_and_a_sweep_is_compared_point_by_point(anywhere: Garage) -> None:
    with anywhere.start("F1") as session:
        anywhere.submit(session, "pack", value="50")
        for angle in ("359", "3"):
            anywhere.submit(session, "angle", hall=angle)
        for x, y in (("0", "0.8"), ("50", "2.5"), ("100", "4.2")):
            anywhere.submit(session, "grip", x=x, y=y)
    angle = anywhere.like("F9", step="angle")["hall"]
    assert angle.circular
    assert angle.values[0] == pytest.approx(0.017453292519943295)  # one degree
    points = anywhere.like("F9", step="grip")
    assert {name: one.values for name, one in points.items()} == {
        "y-1": (0.8,), "y-2": (2.5,), "y-3": (4.2,),
    }  # fmt: skip


def test_hostile_names_are_only_compared(anywhere: Garage) -> None:
    model = "x'; DROP TABLE standing; --\x1b[2J%_"
    anywhere.read("F1", "50.1", model)
    anywhere.read("F2", "50.2", "anything")
    assert anywhere.like("F9", model)["value"].values == (50.1,)
    assert anywhere.like("%", "%") == {}


def test_the_instrument_last_read_with_here_comes_first(garage: Garage, work: Any) -> None:
    book = garage.bench.book
    for serial in ("1", "2", "3"):
        wanted = Wanted("multimeter", serial, ranges=RANGES, due="2026-12-31")
        book.enter(lambda now, one=wanted: (instrument_moves.add(now, one, "w"),))  # type: ignore[misc]
    with garage.start("F1") as session:
        at = session.now().at
        offered = session.workshop.instruments("Multimeter", at)
        assert [one.id for one in offered] == [
            "multimeter-1", "multimeter-2", "multimeter-3", "",
        ]  # fmt: skip
        assert session.workshop.instruments("torque wrench", at) == ()
        garage.submit(session, "pack", instrument=offered[1], value="50.1")
        again = session.workshop.instruments("multimeter", at)
        assert [one.id for one in again][:2] == ["multimeter-2", "multimeter-1"]
    with work.open() as other:
        other.name = "bench-2"
        with other.resume(session.job) as same:
            assert same.workshop.instruments("multimeter", at)[0].id == "multimeter-1"


def test_an_instrument_is_offered_as_it_stands_then(garage: Garage) -> None:
    wanted = Wanted("multimeter", "1", due="2026-12-31")
    garage.bench.book.enter(lambda now: (instrument_moves.add(now, wanted, "w"),))
    with garage.start("F1") as session:
        late = session.workshop.instruments("multimeter", "2027-01-01T00:00:00.000000Z")
    assert [one.state for one in late] == ["overdue", "not registered"]


def test_the_last_visit_is_the_last_job_that_ended(anywhere: Garage) -> None:
    with anywhere.start("F1") as open_one:
        assert open_one.workshop.last_visit(open_one.state) is None
    last = ""
    for outcome in ("first", "second"):
        with anywhere.start(" f1 ") as session:
            session.record((moves.abandon(session.state, f"{outcome} outcome", "Ada"),))
            last = session.job
    with anywhere.start("F1") as session:
        visit = session.workshop.last_visit(session.state)
    assert visit is not None
    assert (visit.job, visit.title) == (last, "Readings to compare")
    assert visit.state.outcome
    with anywhere.start("F2") as session:
        assert session.workshop.last_visit(session.state) is None


def test_what_stands_can_be_made_again_from_the_lines(anywhere: Garage) -> None:
    job = anywhere.read("F1", "50.1")
    before = anywhere.bench.store.change_of(job)
    assert before is not None
    assert before.standing
    rebuild(anywhere.bench.store)
    assert anywhere.bench.store.change_of(job) == before
    assert examine_stream(anywhere.bench.store, job).fault is None


def test_a_store_from_before_gets_the_tables_and_rebuild_fills_them(
    garage: Garage, work: Any
) -> None:
    job = garage.read("F1", "50.1")
    garage.bench.close()
    with sqlite3.connect(work.path) as plain:
        plain.execute("DROP TABLE standing")
        plain.execute("DROP TABLE visit")
    plain.close()
    with work.open() as again:
        fault = examine_stream(again.store, job).fault
        assert fault is not None
        assert "rebuild" in str(fault)
        rebuild(again.store)
        assert examine_stream(again.store, job).fault is None
