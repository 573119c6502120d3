"""A direction that the usual page never stores: found after a key cycle, and mended by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.job.ledger import ledger
from commission.job.state import Status
from commission.job.witnessing import is_independent
from commission.tui.job.calculating import CalculatedArea
from commission.tui.job.cells import CellsArea
from commission.tui.job.choices import ChoiceArea
from commission.tui.job.filing import FileArea
from commission.tui.job.gate import GateArea
from commission.tui.job.waiting import WaitArea, WaitFieldsArea

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    Way = Callable[[Any], Awaitable[None]]

MOST_TURNS = 90


async def fact(person: Any) -> None:
    await person.do("papers")
    await person.type(person.reads(person.step).split()[0])


async def look(person: Any) -> None:
    probe = person.job.mode.planned.step.probe
    await person.do("looks", probe)
    told = dict(line.split(": ", 1) for line in person.panel.top.said.split("; "))
    for ask in person.job.mode.asking.asks:
        await person.type(told[ask.label])


async def program_told(person: Any) -> None:
    """Type what the program says of itself and of the controller."""
    await person.do("bike")
    if person.reads("key") == "off":
        await person.do("key")
    await person.do("program", "connect")
    serial, version = person.reads("about").split(", ")
    told = {"serial": serial, "version": version, "program": person.reads("name")}
    for ask in person.job.mode.asking.asks:
        await person.type(told[ask.name])


async def file(person: Any) -> None:
    await person.do("program", "connect", "export")
    await person.at_card()
    assert person.job.area.input.value.endswith("settings.csv")
    await person.press("enter", "enter")


async def cells(person: Any) -> None:
    """Read by a list what is only read; type into program and card what is written."""
    kind = person.job.mode.planned.kind
    if kind != "write":
        await person.import_list()
        return
    await person.do("program", "connect")
    wanted = person.needed
    await person.do("direction")
    await person.press(*wanted, "enter")
    page = "other" if person.job.mode.planned.step.route else "save"
    await person.do(page)
    await person.type(person.reads("direction"))


async def choice(person: Any) -> None:
    probe = person.job.mode.planned.step.probe or ""
    options = tuple(person.job.area.options)
    if "turns forward" in options:
        await person.choose(await person.spin())
    elif probe == "motor.sense":
        person.needed = await needed(person)
        await person.choose(person.needed)
    elif probe == "bike.startup_mode":
        await person.choose(person.mode())
    elif probe == "wheel.free":
        await person.do("bike", "roll")
        freely = "freely" in person.panel.top.said
        await person.choose(next(one for one in options if ("free" in one) is freely))
    else:
        await person.choose(next((one for one in options if one.startswith("no")), options[0]))


async def needed(person: Any) -> str:
    """Roll the wheel forward and say which setting of the direction counts that as forward."""
    await person.do("bike", "roll")
    right = "counts up" in person.panel.top.said
    await person.do("program", "connect")
    now = person.reads("direction")
    other = "normal" if now == "reversed" else "reversed"
    return now if right else other


async def gate(person: Any) -> None:
    """Do at the bench what the card asks to be done, then confirm it."""
    if isinstance(person.job.area, WaitArea) and person.job.area.timer.remaining > 0:
        await person.do("bike", "wait")
    if person.job.mode.kind == "answer":
        probe = person.job.mode.planned.step.probe or ""
        part = person.job.mode.asking.part
        if probe == "bike.on_stand":
            await person.do("bike", "stand")
        elif probe in ("power.off", "power.on") or part.endswith(":on"):
            await person.do("bike")
            if person.reads("pack") == "open":
                await person.do("pack")
            await person.do("key")
        elif part.endswith(":off"):
            await person.do("bike", "key")
            if person.job.mode.planned.step.cycle == "cold":
                await person.do("pack")
    await person.confirm()


async def bus(person: Any) -> None:
    await person.do("bike", "wait")
    while person.panel.top.instruments.spot.place != "bus":
        await person.go_to("spot")
        await person.press("right")
    await person.do("spot")
    await person.type(person.sees("Meter").split()[0])


async def hold(person: Any) -> None:
    planned = person.job.session.state.plan.planned(person.step)
    said = await person.spin() if is_independent(planned) else "y"
    await person.at_card()
    await person.press("enter", *"Jon Aster", "enter", *said, "enter", "enter")


async def turn(person: Any) -> None:
    state, step = person.job.session.state, person.step
    if state.steps[step].status is Status.HOLD:
        await hold(person)
        return
    planned = person.job.mode.planned
    if planned.kind == "sign_off":
        lead = planned.step.role == "lead"
        await person.sign(planned.step.meaning, "Mara Quill" if lead else "Rika Holt")
        return
    for kind, way in WAYS.items():
        if isinstance(person.job.area, kind):
            await way(person)
            return
    way = by_fields(planned)
    await way(person)


WAYS: Final[dict[type, Way]] = {
    FileArea: file, CellsArea: cells, ChoiceArea: choice, CalculatedArea: gate, GateArea: gate,
    WaitFieldsArea: bus,
}  # fmt: skip


def by_fields(planned: Any) -> Way:
    """Return how what is typed is found."""
    if planned.kind == "fact":
        return fact
    if planned.kind == "power_cycle":
        return bus
    return program_told if planned.step.probe == "controller.session" else look


async def test_a_direction_that_the_usual_page_never_stores_is_found_and_mended_by_hand(
    practising: Any, until: Any
) -> None:
    async with practising("direction-reverts", "direction-needs-other-route") as person:
        for _ in range(MOST_TURNS):
            if not person.step or person.job.session.state.stopped:
                break
            await turn(person)
        state = person.job.session.state
        assert state.outcome == "released", (person.step, state.stopped)
        (line,) = (one for one in ledger(state) if one.setting == "direction")
        assert line.fate.value == "held"
        await person.at_card()
        await person.press("f10")
        await until(person.pilot, lambda: person.app.reviews, "the review")
    review = person.app.reviews[0]
    assert review.verdict == "FOUND AND MENDED"
    assert any(
        "reverted in cycle 1" in line and line.endswith("You CAUGHT it.")
        for part in review.paragraphs
        for line in part.lines
    )
