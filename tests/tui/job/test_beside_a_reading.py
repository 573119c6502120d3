"""What stands beside a reading: its instrument, like bikes, and this bike's last visit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.job import moves
from commission.job.accuracy import parse_ranges
from commission.job.state import Status
from commission.procedure import load
from commission.register import instrument_moves
from commission.register.instrument_moves import Wanted
from commission.tui.job.form import Form
from commission.tui.job.screen import JobScreen
from commission.tui.job.visit_screen import VisitScreen

if TYPE_CHECKING:
    from commission.record.session import Session

SMALL, LARGE = (80, 24), (120, 40)
SIZES: Final = pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
RANGES = parse_ranges("60 V: 0.5 % + 2 counts of 0.01; 600 V: 1 % + 3 counts of 0.1")
TEXT: Final = """
procedure: beside
revision: 1
title: Readings beside others
purpose: To compare one bike with others.
equipment:
  - {id: meter, label: multimeter, kind: multimeter, percent: 0.5, counts: 2, overdue: RULE}
settings:
  - {id: way, label: direction of turning, type: choice, choices: [normal, reversed],
     intended: "'normal'"}
  - {id: limit, label: battery current limit, type: quantity, unit: A, equal_within: "1[A]",
     intended: "100[A]"}
stages:
  - id: only
    title: Measure
    steps:
      - id: pack
        kind: measure
        title: Measure the pack at its terminals
        how: Probes on plus and minus of the main plug; read when the display stands still.
        why: A pack that reads low is empty or has a weak cell.
        unit: V
        instrument: meter
        limits: {min: "42[V]", max: "58.8[V]"}
      - {id: found, kind: read_back, title: Read the settings as found, settings: all,
         why: What is written over without being read is lost.}
"""


class Garage:
    """A bench with like bikes and instruments on it."""

    def __init__(self, bench: Any) -> None:
        self.bench = bench

    def loaded(self, rule: str = "concession") -> Any:
        made = load.loads(TEXT.replace("RULE", rule))
        assert made.procedure is not None, made.problems
        return made

    def start(self, frame: str = "FR-100", model: str = "mule", rule: str = "concession") -> Any:
        people = {"Ada Nwosu": ("technician",), "Cleo Abe": ("lead",)}
        bike = {"frame": frame, "model": model}
        return self.bench.start(self.loaded(rule), bike, people, "Ada Nwosu")

    def like_bikes(self, *volts: str) -> None:
        for at, typed in enumerate(volts):
            with self.start(f"FR-{at:03}") as session:
                self.submit(session, "pack", value=typed)

    def submit(self, session: Session, step: str, **typed: str) -> None:
        drafts = moves.submit(session.state, step, typed, "Ada Nwosu", session.now())
        session.record(drafts)

    def meter(self, serial: str, due: str, label: str = "bench meter") -> None:
        wanted = Wanted("multimeter", serial, label, RANGES, due)
        self.bench.book.enter(lambda now: (instrument_moves.add(now, wanted, "workshop"),))


@pytest.fixture
def garage(bench: Any) -> Garage:
    return Garage(bench)


@pytest.fixture
def shown(until: Any) -> Any:
    """Open a job on the screen and wait until it is painted."""

    async def show(pilot: Any, app: Any) -> JobScreen:
        await until(pilot, lambda: isinstance(app.screen, JobScreen) and app.screen._card)
        await app.workers.wait_for_complete()
        await pilot.pause()
        return app.screen  # type: ignore[no-any-return]

    return show


async def strike(pilot: Any, text: str, *keys: str) -> None:
    names = {".": "full_stop", " ": "space", "-": "minus"}
    await pilot.press(*(names.get(one, one) for one in text), *keys)
    await pilot.pause()


def screen_text(app: Any) -> str:
    lines = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in line).rstrip() for line in lines)


@SIZES
async def test_a_reading_stands_beside_those_of_like_bikes_and_its_instrument(
    garage: Garage, app_on: Any, shown: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    garage.meter("4711", "2099-12-31")
    garage.meter("4712", "2099-12-31", "spare meter")
    garage.like_bikes("54.1", "54.3", "53900 mV", "54.0", "54.6", "54.2")
    session = garage.start()
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=size) as pilot:
        screen = await shown(pilot, app)
        text = screen_text(app)
        assert "6 like bikes: median 54.15 V, spread 0.22 V; last 54.20, 54.60, 54.00." in text
        assert "With multimeter-1 bench meter, serial 4711, calibrated until 2099-12-31" in text
        await strike(pilot, "51.20")
        text = screen_text(app)
        assert "LOOK AGAIN: 13.3 spreads below the median of like bikes, 54.15 V." in text
        assert "multimeter-1 (4711) ±(0.5 % + 2 counts of 0.01) to 60 V · F8 another" in text
        snapshot(app, f"beside-far-{size[0]}x{size[1]}")
        await strike(pilot, "", "enter")  # it asks for a second look and holds nothing up
        answer = screen.session.state.steps["pack"].answer
        assert answer is not None
        assert answer.parts[""]["value"]["instrument"]["id"] == "multimeter-1"


async def test_one_key_takes_another_instrument_which_is_offered_from_then_on(
    garage: Garage, app_on: Any, shown: Any
) -> None:
    garage.meter("4711", "2099-12-31")
    garage.meter("4712", "2099-12-31")
    session = garage.start()
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=SMALL) as pilot:
        screen = await shown(pilot, app)
        await strike(pilot, "54.20", "f8")
        assert "multimeter-2 (4712)" in screen_text(app)
        await strike(pilot, "", "enter")
        cited = screen.session.state.steps["pack"].answer.parts[""]["value"]
        assert (cited["typed"], cited["instrument"]["serial"]) == ("54.20", "4712")
    with garage.start("FR-101") as other:
        first = other.workshop.instruments("multimeter", other.now().at)[0]
        assert first.id == "multimeter-2"


async def test_the_wrong_instrument_is_corrected_with_a_reason(
    garage: Garage, app_on: Any, shown: Any, until: Any
) -> None:
    garage.meter("4711", "2099-12-31")
    garage.meter("4712", "2099-12-31")
    session = garage.start()
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=SMALL) as pilot:
        screen = await shown(pilot, app)
        await strike(pilot, "54.20", "enter")
        await screen.go_to("pack")
        await pilot.pause()  # a key before the card is painted counts for nothing
        await strike(pilot, "", "f7")
        await until(pilot, lambda: isinstance(app.screen, Form))
        await pilot.press("equals_sign", "enter")
        await strike(pilot, "4713", "enter")
        await strike(pilot, "took the other", "enter")
        assert "none of that kind" in screen_text(app)
        app.screen.area._texts["instrument read with"] = "4712"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        given = screen.session.state.steps["pack"].answer.parts[""]["value"]
        assert (given["typed"], given["instrument"]["id"]) == ("54.20", "multimeter-2")


@SIZES
async def test_an_overdue_instrument_takes_a_leads_leave_as_the_procedure_says(
    garage: Garage, app_on: Any, shown: Any, snapshot: Any, until: Any, size: tuple[int, int]
) -> None:
    garage.meter("4711", "2020-12-31")
    session = garage.start()
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=size) as pilot:
        screen = await shown(pilot, app)
        text = " ".join(screen_text(app).split())
        assert "OVERDUE: multimeter-1 bench meter, serial 4711 was due" in text
        assert "It takes a lead's leave." in text
        await strike(pilot, "54.20")
        snapshot(app, f"beside-overdue-{size[0]}x{size[1]}")
        await strike(pilot, "", "enter")
        assert isinstance(app.screen, Form)
        snapshot(app, f"beside-leave-{size[0]}x{size[1]}")
        await strike(pilot, "Cleo Abe", "enter")
        await strike(pilot, "this pack", "enter")
        await strike(pilot, "2099-01-01", "enter")
        await strike(pilot, "the other is away", "enter")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        state = screen.session.state
        assert state.instrument_leaves["multimeter-1"].by == "Cleo Abe"
        assert state.steps["pack"].status is Status.PASSED
        assert state.steps["pack"].answer.parts[""]["value"]["typed"] == "54.20"


async def test_a_procedure_that_stops_on_it_takes_no_reading(
    garage: Garage, app_on: Any, shown: Any
) -> None:
    garage.meter("4711", "2020-12-31")
    session = garage.start(rule="stop")
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=SMALL) as pilot:
        screen = await shown(pilot, app)
        await strike(pilot, "54.20", "enter")
        text = " ".join(screen_text(app).split())
        assert "NOT TAKEN: multimeter-1 bench meter, serial 4711 was due" in text
        assert "54.20" in text
        assert screen.session.state.steps["pack"].answer is None


async def test_a_newcomer_without_instruments_or_earlier_jobs_sees_nothing_of_it(
    garage: Garage, app_on: Any, shown: Any
) -> None:
    session = garage.start()
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=SMALL) as pilot:
        screen = await shown(pilot, app)
        text = screen_text(app)
        assert "like bikes" not in text
        assert "multimeter-1" not in text
        await strike(pilot, "54.20", "f8", "enter")
        answer = screen.session.state.steps["pack"].answer
        assert answer.judged["checks"][0]["accuracy"]["stated_by"] == "procedure"


@SIZES
async def test_a_read_back_says_what_differs_from_the_last_visit(
    garage: Garage, app_on: Any, shown: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    with garage.start() as earlier:
        garage.submit(earlier, "pack", value="54.2")
        garage.submit(earlier, "found", way="reversed", limit="100")
        earlier.record((moves.abandon(earlier.state, "the rider came early", "Ada Nwosu"),))
    session = garage.start(" fr-100 ")
    garage.submit(session, "pack", value="54.2")
    garage.submit(session, "found", way="normal")
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=size) as pilot:
        screen = await shown(pilot, app)
        text = " ".join(screen_text(app).split())
        assert "1 differs, 1 not read yet." in text
        assert "left reversed" in text
        snapshot(app, f"last-visit-card-{size[0]}x{size[1]}")
        await screen.action_last_visit()
        await pilot.pause()
        assert isinstance(app.screen, VisitScreen)
        snapshot(app, f"last-visit-{size[0]}x{size[1]}")


async def test_without_a_last_visit_the_look_says_so(
    garage: Garage, app_on: Any, shown: Any
) -> None:
    session = garage.start()
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=SMALL) as pilot:
        screen = await shown(pilot, app)
        await screen.action_last_visit()
        await pilot.pause()
        assert "No earlier job of a bike with this frame number" in screen_text(app)


async def test_hostile_names_of_instruments_are_shown_as_text(
    garage: Garage, app_on: Any, shown: Any
) -> None:
    garage.meter("[bold red]1[/]", "2099-12-31", "[link=file:///x]meter[/link]")
    session = garage.start()
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=LARGE) as pilot:
        await shown(pilot, app)
        assert "[link=file:///x]meter[/link], serial [bold red]1[/]" in screen_text(app)


async def test_an_independent_witness_takes_another_instrument_and_needs_leave_for_it(
    garage: Garage, app_on: Any, shown: Any, until: Any
) -> None:
    garage.meter("4711", "2099-12-31")
    garage.meter("4712", "2020-12-31")
    held = TEXT.replace("RULE", "concession").replace(
        "        instrument: meter\n",
        '        instrument: meter\n        hold: witness\n        witness: {independent: true, '
        'within: "0.3[V]"}\n', 1,
    )  # fmt: skip
    people = {"Ada Nwosu": ("technician",), "Ben Ito": ("witness",), "Cleo Abe": ("lead",)}
    session = garage.bench.start(load.loads(held), {"frame": "FR-100"}, people, "Ada Nwosu")
    garage.submit(session, "pack", value="54.2")
    session.close()
    app = app_on(session.job)
    async with app.run_test(size=SMALL) as pilot:
        screen = await shown(pilot, app)
        await strike(pilot, "", "enter")
        await until(pilot, lambda: isinstance(app.screen, Form))
        for typed in ("Ben Ito", "54.30", "4712"):
            await strike(pilot, typed, "enter")
        await pilot.press("enter")
        await until(pilot, lambda: "Leave to read with this instrument" in screen_text(app))
        for typed in ("Cleo Abe", "this pack", "2099-01-01", "the other is away"):
            await strike(pilot, typed, "enter")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        confirmed = next(one for one in screen.session.recent(9) if one.kind == "hold_confirmed")
        assert confirmed.body["parts"][""]["value"]["instrument"]["id"] == "multimeter-2"
        assert confirmed.body["judged"]["checks"][0]["accuracy"]["stated_by"] == "register"
        assert screen.session.state.steps["pack"].status is Status.PASSED
