"""The motor: phase current, over-speed, pole pairs and flux."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.crosschecks.base import Asked, Compared, Severity, Side, cross_check

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.crosschecks.base import Statement

_PHASE: Final = ("phase_current_limit", "phase_current_limit_peak")
_PEAK: Final = "Peak is √2 times rms: say which of the two each figure is."
_COLDEST: Final = 253.15
"""K; -20 °C where no coldest magnet is known."""
_FLUX_SHARE: Final = 0.15
"""Makers' constants differ from a motor's own by a tenth; a mistaken convention by 41 % or more."""


@cross_check(
    "phase-motor",
    "Phase current limit within what the motor bears",
    needs=(_PHASE, ("motor_phase_max", "motor_phase_max_peak")),
    source="Comparison of two declared values, both in A rms",
)
def phase_motor(asked: Asked) -> Iterator[Statement]:
    """Bring both to rms, then compare."""
    yield Compared(
        asked.rms("phase_current_limit"), "A_rms", high=asked.rms("motor_phase_max"),
        follows="The winding burns, or the magnets lose their strength for good.",
        do=f"Lower the phase current limit. {_PEAK}",
    )  # fmt: skip


@cross_check(
    "phase-controller",
    "Phase current limit within what the controller bears",
    needs=(_PHASE, ("controller_phase_max", "controller_phase_max_peak")),
    source="Comparison of two declared values, both in A rms",
)
def phase_controller(asked: Asked) -> Iterator[Statement]:
    """Bring both to rms, then compare."""
    yield Compared(
        asked.rms("phase_current_limit"), "A_rms", high=asked.rms("controller_phase_max"),
        follows="The controller limits early at best; its transistors fail at worst.",
        do=f"Lower the phase current limit. {_PEAK}",
    )  # fmt: skip


@cross_check(
    "over-speed",
    "Voltage of the over-run motor, cold magnet, within the controller's rating",
    needs=("motor_speed_constant", ("overrun_speed", "motor_speed_max"), "controller_voltage_max"),
    uses=("magnet_coldest", "field_weakening"),
    calculators=("overspeed-voltage",),
    source="Uncontrolled generation, as the calculator overspeed-voltage cites it; magnets at "
    "-20 °C where nothing else is known",
)
def over_speed(asked: Asked) -> Iterator[Statement]:
    """Run the motor downhill with the coldest magnet: its flux rises when it is cold."""
    role = "overrun_speed" if asked.has("overrun_speed") else "motor_speed_max"
    cold = asked.number("magnet_coldest") if asked.has("magnet_coldest") else _COLDEST
    outputs = asked.compute(
        "overspeed-voltage", kv=asked.number("motor_speed_constant"),
        motor_speed=asked.number(role), rating=asked.number("controller_voltage_max"),
        magnet_temperature=cold,
    )  # fmt: skip
    weakening = asked.has("field_weakening") and asked.truth("field_weakening")
    with_it = " Field weakening drives the motor there by itself." if weakening else ""
    speed = "at its highest speed" if role == "motor_speed_max" else "over-run downhill"
    voltage = Side(f"voltage of the motor {speed}, magnets at {cold - 273.15:.0f} °C",
                   float(outputs["voltage"]),
                   asked.origin("motor_speed_constant", role, "magnet_coldest"))  # fmt: skip
    yield Compared(
        voltage, "V", high=asked.side("controller_voltage_max"),
        follows="Downhill, or with the wheel in the air, the motor destroys the controller the "
        f"moment it stops switching.{with_it}",
        do="Gear the bike so that the motor stays slower, or fit a controller of a higher voltage; "
        "a speed limit in the software holds nothing downhill.",
    )  # fmt: skip


@cross_check(
    "pole-pairs",
    "Pole pairs set as the motor has them",
    needs=("pole_pairs", "motor_pole_pairs"),
    source="A count of magnets is the number of poles: twice the pairs",
)
def pole_pairs(asked: Asked) -> Iterator[Statement]:
    """They must be equal; twice as many are poles."""
    motor = asked.side("motor_pole_pairs")
    twice = asked.number("pole_pairs") == 2.0 * motor.value
    poles = " Twice as many: poles may have been counted, not pairs." if twice else ""
    yield Compared(
        asked.side("pole_pairs"), "pairs", low=motor, high=motor,
        follows="Every speed is wrong by the same factor, the speed limit with it, and the motor "
        f"may not run at all.{poles}",
        do="Count the electrical turns in one turn of the motor; correct the one that is wrong.",
    )  # fmt: skip


@cross_check(
    "electrical-frequency",
    "Electrical frequency within what the controller follows",
    needs=("pole_pairs", ("overrun_speed", "motor_speed_max"), "electrical_frequency_max"),
    calculators=("electrical-speed",),
    source="Definition of electrical speed, f = p·n/60",
)
def electrical_frequency(asked: Asked) -> Iterator[Statement]:
    """Turn the motor at its highest speed."""
    role = "overrun_speed" if asked.has("overrun_speed") else "motor_speed_max"
    outputs = asked.compute(
        "electrical-speed", pole_pairs=asked.number("pole_pairs"), motor_speed=asked.number(role)
    )
    frequency = Side("electrical frequency at the motor's highest speed",
                     float(outputs["electrical_frequency"]),
                     asked.origin("pole_pairs", role))  # fmt: skip
    yield Compared(
        frequency, "Hz", high=asked.side("electrical_frequency_max"),
        follows="The controller loses the rotor's position at speed and cuts out or jerks.",
        do="Gear the bike for a slower motor, or fit a controller that follows it.",
    )  # fmt: skip


@cross_check(
    "flux-linkage",
    "Flux linkage set agrees with speed constant and pole pairs",
    needs=("flux_linkage", "motor_speed_constant", "motor_pole_pairs"),
    calculators=("motor-constants",),
    source="ψ = Ke/(√3·p), as the calculator motor-constants cites it; 15 % are common practice, "
    "no source",
)
def flux_linkage(asked: Asked) -> Iterator[Statement]:
    """Compute the flux from the other two; a mistaken convention shows as a known factor."""
    outputs = asked.compute(
        "motor-constants", pole_pairs=asked.number("motor_pole_pairs"),
        kv=asked.number("motor_speed_constant"),
    )  # fmt: skip
    flux = float(outputs["flux_linkage"])
    origin = asked.origin("motor_speed_constant", "motor_pole_pairs")
    yield Compared(
        asked.side("flux_linkage"), "mWb",
        low=Side("computed less 15 %", flux * (1.0 - _FLUX_SHARE), origin),
        high=Side("computed and 15 %", flux * (1.0 + _FLUX_SHARE), origin),
        broken=Severity.LOOK_AGAIN,
        follows="Torque and field weakening are computed from a motor that is not this one."
        f"{_factor(asked.number('flux_linkage') / flux)}",
        do="Have the controller measure the motor again, or find the convention of the figure.",
    )  # fmt: skip


def _factor(ratio: float) -> str:
    """Return what a ratio to the computed flux tells, where it is a known one."""
    known = (
        (2.0**0.5, "peak taken for rms"), (0.5**0.5, "rms taken for peak"),
        (3.0**0.5, "line to line taken for one phase"), (3.0**-0.5, "one phase for line to line"),
        (2.0, "pairs taken for poles, or the other way round"),
        (0.5, "poles taken for pairs, or the other way round"),
    )  # fmt: skip
    tells = next((what for factor, what in known if abs(ratio / factor - 1.0) < 0.05), "")  # noqa: PLR2004  5 %
    return f" The factor of {ratio:.2f} is that of {tells}." if tells else ""
