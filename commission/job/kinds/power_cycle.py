"""Off, long enough, discharged, on; then everything is read back and seen again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

from commission.job import cycling
from commission.job.ask import Ask, Asking, Wait
from commission.job.closeness import is_same, shown, value_of
from commission.job.judge import Check, Judgement, check, conclude
from commission.job.judge_limits import Shown
from commission.job.kinds.cells import asked, cell, check_same, next_piece, read
from commission.job.kinds.choices import check_seen, observation
from commission.job.kinds.handler import Handler, Look, refuse
from commission.job.kinds.timing import number_asked, waiting

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.job.state import Given, StepState
    from commission.procedure.model import Observe


class PowerCycle(Handler):
    """Asks `k:off`, `k:bus` (until below the threshold), `k:on`, `k:read-n`, `k:observe`."""

    in_pieces = True

    def part(self, look: Look) -> str:
        """See `Handler.part`."""
        cycle = min(cycling.cycle_in_hand(look.state, look.step, _stands(look)), look.step.cycles)
        if f"{cycle}:off" not in look.parts:
            return f"{cycle}:off"
        if f"{cycle}:on" not in look.parts:
            return f"{cycle}:{'on' if _is_discharged(look, cycle) else 'bus'}"
        names, start = cycling.covered(look.state, look.step), f"{cycle}:read-"
        if not set(names) <= cycling.read_in(_stands(look), cycle):
            return next_piece(look, names, start)
        return f"{cycle}:observe"

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:
        """See `Handler.asks`."""
        what = part.partition(":")[2]
        if what == "bus":
            criterion = f"below {Shown('V').text(_threshold(look))}"
            probe = look.step.probe or ""
            return (Ask("value", "Bus voltage", "quantity", "V", (), criterion, probe=probe),)
        if what in {"off", "on"}:
            return (Ask("value", f"Power is {what}", "done", probe=f"power:{what}"),)
        if what == "observe":
            return tuple(
                observation(_step(look, name), look.values, name)
                for name in cycling.observed(look.state, look.step)
            )
        start = f"{part.partition(':')[0]}:read-"
        names = asked(look, part, cycling.covered(look.state, look.step), start)
        return tuple(cell(look, name, _criterion(look, name)) for name in names)

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`."""
        what = part.partition(":")[2].partition("-")[0]
        cycle = cycling.cycle_of(part)
        say = f"Cycle {cycle} of {look.step.cycles}: {_say(look, cycle, what)}"
        asks = self.asks(look, part)
        asks = tuple(
            replace(one, label=f"{_step(look, one.name).title}: seen") if what == "observe" else one
            for one in asks
        )
        wait = _off_wait(look, cycle) if what in {"bus", "on"} else None
        done, total = _progress(look)
        return Asking(
            look.step.id, part, say, asks, some=what == "read", wait=wait, done=done, total=total
        )

    def read_with_instrument(self, look: Look, part: str) -> frozenset[str]:
        """See `Handler.read_with_instrument`: the bus voltage."""
        return frozenset({"value"} if look.equipment and part.endswith(":bus") else ())

    def ready(self, look: Look, part: str) -> None:
        """See `Handler.ready`: the off period cannot be cut short."""
        what, wait = part.partition(":")[2], _off_wait(look, cycling.cycle_of(part))
        if what in {"bus", "on"} and wait is not None and wait.remaining > 0:
            passed = wait.seconds - wait.remaining
            raise refuse(
                f"The power has been off for {passed:.0f} s of {wait.seconds:.0f} s.",
                f"Wait another {wait.remaining:.0f} s.",
            )

    def conclude(self, look: Look) -> Judgement | None:
        """See `Handler.conclude`: after the last cycle, or after one in which something failed."""
        checks: list[Check] = []
        for cycle in range(1, look.step.cycles + 1):
            if not cycling.is_complete(look.state, look.step, _stands(look), cycle):
                return None
            checks += _checks(look, cycle)
            if any(one.verdict == "fail" for one in checks):
                break
        return conclude(checks, _held(look), passed=_held(look))


@dataclass(frozen=True, slots=True)
class _Reference:
    """What a setting is to be after a power cycle."""

    given: Given
    word: str


def _checks(look: Look, cycle: int) -> Iterator[Check]:
    if look.step.below is not None:
        yield _check_cold(look, cycle)
    for name, got in read(look.parts, f"{cycle}:read-").items():
        yield _check(look, name, got, cycle)
    seen: Mapping[str, Given] = look.parts.get(f"{cycle}:observe", {})
    for name, one in seen.items():
        made = check_seen(_step(look, name), one, look.values)
        because = f"Cycle {cycle}, {_step(look, name).title}: {made.because}"
        yield Check({**made.record, "cycle": cycle}, made.verdict, because)


def _check_cold(look: Look, cycle: int) -> Check:
    """Return the check that the bus was discharged: a bus reading may be corrected later."""
    cold = _is_discharged(look, cycle)
    record = {
        "check": "true", "of": "bus", "got": cold, "cycle": cycle,
        "value": _bus(look, cycle), "below": _threshold(look),
    }  # fmt: skip
    verb = "was" if cold else "was not"
    return check(record, f"The bus {verb} seen discharged while the power was off, cycle {cycle}.")


def _check(look: Look, name: str, got: Given, cycle: int) -> Check:
    setting = look.state.plan.settings[name]
    reference = _reference(look, name)
    label, has = setting.label, f"it reads {shown(got)}"
    if reference is None:
        because = f"{label} was neither written nor read before; {has}."
    elif is_same(setting, reference.given, got, look.values):
        because = f"{label} held in cycle {cycle}: {has}."
    elif _was_so(look, name, got):
        because = (
            f"{label} reverted in cycle {cycle}: {has}, as before it was written; "
            f"{reference.word} was {shown(reference.given)}."
        )
    else:
        because = (
            f"{label} drifted in cycle {cycle}: {has}; "
            f"{reference.word} was {shown(reference.given)}."
        )
    wanted = None if reference is None else reference.given
    return check_same(setting, wanted, got, look.values, because, cycle=cycle)


def _was_so(look: Look, name: str, got: Given) -> bool:
    """Return whether a setting had this value before it was last written."""
    stands = look.state.settings.get(name)
    if stands is None or stands.written is None:
        return False
    return any(
        one is not None and is_same(look.state.plan.settings[name], one.given, got, look.values)
        for one in (stands.found, *stands.earlier)
    )


def _reference(look: Look, name: str) -> _Reference | None:
    stands = look.state.settings.get(name)
    if stands is not None and stands.written is not None:
        return _Reference(stands.written.given, "written")
    if stands is not None and stands.found is not None:
        return _Reference(stands.found.given, "found")
    return None


def _criterion(look: Look, name: str) -> str:
    reference = _reference(look, name)
    return "" if reference is None else f"{shown(reference.given)}, as {reference.word}"


def _held(look: Look) -> str:
    step = look.step
    count = len(cycling.covered(look.state, step))
    seen = len(cycling.observed(look.state, step))
    word = "cold" if step.cycle == "cold" else "key"
    again = f", {seen} observed again as expected" if seen else ""
    return f"After {step.cycles} {word} cycles {count} settings held{again}."


def _is_discharged(look: Look, cycle: int) -> bool:
    if look.step.below is None:
        return True
    voltage = _bus(look, cycle)
    return voltage is not None and voltage < _threshold(look)


def _bus(look: Look, cycle: int) -> float | None:
    cells = look.parts.get(f"{cycle}:bus")
    value = None if cells is None else value_of(cells["value"])
    return float(value) if isinstance(value, float | int) else None


def _threshold(look: Look) -> float:
    return number_asked(look, look.step.below, "The bus voltage threshold")


def _off_wait(look: Look, cycle: int) -> Wait | None:
    if f"{cycle}:on" in look.parts:
        return None
    return waiting(look, f"{cycle}:off", look.step.off_for, "The off period")


def _say(look: Look, cycle: int, what: str) -> str:
    if what == "off":
        return (
            "switch the key off, then confirm."
            if look.step.cycle == "key"
            else ("switch off and separate the pack, then confirm.")
        )
    if what == "bus":
        before = _bus(look, cycle)
        again = "" if before is None else f" It was {Shown('V').text(before)}: not yet low enough."
        return f"leave the power off, then read the bus voltage.{again}"
    if what == "on":
        return "switch on again, then confirm."
    if what == "observe":
        return "observe again how the bike behaves."
    return "read each setting in the controller and enter it as it stands there."


def _progress(look: Look) -> tuple[int, int]:
    step = look.step
    cells = len(cycling.covered(look.state, step))
    seen = bool(cycling.observed(look.state, step))
    each = 2 + (step.below is not None) + cells + seen
    given = sum(
        len(piece) if ":read-" in part else 1
        for part, piece in look.parts.items()
        if not part.endswith(":bus") or _is_discharged(look, cycling.cycle_of(part))
    )
    return given, each * step.cycles


def _stands(look: Look) -> StepState:
    return replace(look.step_state, parts=look.parts)


def _step(look: Look, name: str) -> Observe:
    return cast("Observe", look.state.plan.planned(name).step)
