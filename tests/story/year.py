"""Half a year of the workshop: forty jobs, and what was planted among them for an audit to find."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from commission.job import moves
from commission.job.entry import Draft
from commission.procedure import load
from commission.record.bench import Bench
from commission.record.syncing import sync
from commission.register import instrument_moves

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from commission.job.state import JobState

    Alter = Callable[[JobState, Draft], Iterable[Draft]]

hands: Any = sys.modules["story_hands"]
HOUSE_RULE: Final = """
procedure: softer-start
revision: 1
title: A softer start
purpose: A house rule that nobody approved, without a power cycle at its end.
settings:
  - {id: startup_mode, label: mode after switching on, type: choice,
     choices: [low, normal, high], intended: "'low'"}
stages:
  - id: only
    title: Only stage
    steps:
      - {id: found, kind: read_back, title: Read the mode as found, settings: all}
      - {id: set, kind: write, title: Set the mode, settings: all}
      - {id: told, kind: confirm, title: Tell the owner how it starts now,
         when: "startup_mode.written == 'low'"}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""
FAULTS: Final = ("throttle-rests-high", "phases-exchanged", "speed-limit-not-stored",
                 "primary-ratio-overstated")  # fmt: skip
TOO_FAST: Final = {"speed_reached": "95"}


def worked(shop: Any) -> None:
    """Let the workshop work from March to July."""
    _honest(shop)
    _careless(shop)
    _on_faulty_bikes(shop)
    _planted(shop)
    _with_instruments(shop)


def gearing() -> Any:
    """Return the procedure that most jobs follow."""
    return hands.shipped_procedure("gearing-change")


def _honest(shop: Any) -> None:
    witnesses = ("Noor Vale", "Pim Okoro", "Mara Quill")
    for number in range(8):
        work = hands.Work(gearing(), "Rika Holt", witnesses[number % 3])
        shop.honest.append(shop.work(work))
    for slug in ("quick-persistence", "quick-persistence", "direction-reverts"):
        shop.honest.append(shop.work(hands.Work(hands.shipped_procedure(slug), "Rika Holt")))
    shop.honest.append(shop.work(hands.Work(hands.shipped_procedure("controller-exchange"))))


def _careless(shop: Any) -> None:
    """Jon measures little, waits little, and always has the same witness."""
    exchange = hands.shipped_procedure("controller-exchange")
    ways = [(gearing(), "one-witness")] * 4 + [(gearing(), "confirms")] * 3
    ways += [(exchange, "copies")] * 7
    for procedure, hand in ways:
        shop.careless.append(shop.work(jons(procedure, hand)))
    shop.careless.append(shop.work(jons(exchange, "back-fills")))
    for _ in range(2):  # the readings of one bike typed for two
        shop.careless.append(shop.work(jons(exchange, "repeats", seed=500)))


def jons(procedure: Any, hand: str, **more: Any) -> Any:
    """Return a job of Jon's as he works that day."""
    return hands.Work(procedure, "Jon Aster", "Noor Vale", hands.HAND[hand], **more)


def _on_faulty_bikes(shop: Any) -> None:
    for fault in FAULTS:
        job = shop.work(hands.Work(gearing(), "Rika Holt", "Pim Okoro", fault=fault))
        shop.faulty[job] = shop.bench.look(job).outcome


def _planted(shop: Any) -> None:
    def plant(check: str, procedure: Any = None, **more: Any) -> str:
        work = hands.Work(procedure or gearing(), "Rika Holt", "Pim Okoro", **more)
        shop.planted[check] = shop.work(work)
        return str(shop.planted[check])

    loosened = load.loads(gearing().text.replace("declared_use == ", "declared_use != "))
    plant("procedure", loosened)
    plant("roles", alter=once("answered", _promoted))
    plant("steps", load.loads(HOUSE_RULE), alter=_left_out)
    shop.planted["persistence"] = shop.planted["steps"]
    plant("judged-again", alter=once("answered", bounds(value=1e9)))
    plant("judged-from-readings", alter=once("answered", bounds(high=1e9)))
    plant("concession", typed=TOO_FAST)
    plant("clock-jump", alter=once("acknowledged", _set_back(shop)))
    _from_an_unregistered_bench(shop)


def _from_an_unregistered_bench(shop: Any) -> None:
    """A job at a bench that knew nobody; later both were brought level."""
    folder = shop.bench.places.store.parent / "annex"
    folder.mkdir()
    with Bench.open(folder / "bench.db", "annex", clocks=shop.calendar.clocks()) as annex:
        work = hands.Work(gearing(), "Rika Holt", "Pim Okoro")
        shop.planted["unsigned"] = shop.work(work, annex)
        shop.fates = list(sync(shop.bench.store, annex.store, shop.bench.hold))


def _with_instruments(shop: Any) -> None:
    shop.calendar.day = 95  # June: the tape's calibration ran out with May
    good, bad = "Click at 40.1 N·m of 40", "Click at 47 N·m of 40"
    shop.calendar.bike = None
    shop.enter(instrument_moves.check, "torque-wrench-1", good, good=True)
    shop.planted["instruments"] = shop.work(hands.Work(gearing(), witness="Pim Okoro"))
    shop.planted["instrument-suspect"] = shop.planted["instruments"]
    shop.calendar.day += 1
    shop.calendar.bike = None
    shop.enter(instrument_moves.check, "torque-wrench-1", bad, good=False)


def once(kind: str, change: Callable[[JobState, Draft], Iterable[Draft] | None]) -> Alter:
    """Return what changes the first draft of a kind that `change` can change."""
    done: list[Draft] = []

    def alter(state: JobState, draft: Draft) -> Iterable[Draft]:
        made = change(state, draft) if draft.kind == kind and not done else None
        if made is None:
            return (draft,)
        done.extend(made)
        return tuple(done)

    return alter


def bounds(**other: float) -> Callable[[JobState, Draft], Iterable[Draft] | None]:
    """Return what puts other figures into the comparison with limits that a verdict rests on."""

    def change(_: JobState, draft: Draft) -> Iterable[Draft] | None:
        judged = dict(draft.body["judged"])
        checks = list(judged["checks"])
        if not checks or checks[0]["check"] != "bounds":
            return None
        checks[0] = {**checks[0], **other}
        return (replace(draft, body={**draft.body, "judged": {**judged, "checks": checks}}),)

    return change


def _promoted(state: JobState, draft: Draft) -> Iterator[Draft]:
    """Somebody takes part as what the register never made him."""
    yield moves.join(state, "Ada Nwosu", ("technician",), draft.by, "ada-nwosu")
    yield draft


def _left_out(_: JobState, draft: Draft) -> Iterable[Draft]:
    if draft.step != "told" or draft.kind != "answered":
        return (draft,)
    reason = "not needed here"
    return (Draft("not_applicable", draft.by, draft.step, draft.attempt, {"reason": reason}),)


def _set_back(shop: Any) -> Callable[[JobState, Draft], Iterable[Draft]]:
    def change(_: JobState, draft: Draft) -> Iterable[Draft]:
        shop.calendar.wrong_s = -3600.0
        return (draft,)

    return change
