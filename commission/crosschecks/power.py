"""Power levels that the pack or the gearing can never reach."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.crosschecks.base import Asked, Compared, Severity, Side, cross_check

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.crosschecks.base import Statement


@cross_check(
    "power-level-pack",
    "The highest power level within what the battery current gives",
    needs=("power_level", "battery_current_limit", "pack_full_voltage", "pack_cutoff_voltage",
           "pack_resistance"),
    calculators=("battery-current-limit",),
    source="Power balance, P = U·I at the full pack under load",
)  # fmt: skip
def power_level_pack(asked: Asked) -> Iterator[Statement]:
    """Take the most there is: the full pack, under the whole battery current."""
    outputs = asked.compute(
        "battery-current-limit", current=asked.number("battery_current_limit"),
        cutoff_voltage=asked.number("pack_cutoff_voltage"),
        full_voltage=asked.number("pack_full_voltage"),
        resistance=asked.number("pack_resistance"),
    )  # fmt: skip
    origin = asked.origin("battery_current_limit", "pack_full_voltage", "pack_resistance")
    most = Side("the most at the full pack's terminals under load",
                float(outputs["power_at_full"]), origin)  # fmt: skip
    yield Compared(
        asked.side("power_level"), "kW", high=most, broken=Severity.LOOK_AGAIN,
        follows="This power level is never reached: the limit is elsewhere, in the battery "
        "current. Raising the level changes nothing.",
        do="Take the power from what pack, fuse and cable give; tell the owner the number that "
        "counts.",
    )  # fmt: skip


@cross_check(
    "power-level-gearing",
    "The highest power level within what phase current and gearing give",
    needs=("power_level", ("phase_current_limit", "phase_current_limit_peak"),
           "motor_speed_constant", "motor_pole_pairs", "speed_limit", "gear_ratio_counted",
           "rollout"),
    uses=("phase_resistance",),
    calculators=("motor-constants", "wheel-speed", "copper-loss"),
    source="Torque per ampere times motor speed at the speed limit, and the copper's heat",
)  # fmt: skip
def power_level_gearing(asked: Asked) -> Iterator[Statement]:
    """Take the whole torque at the highest speed that the speed limit lets the motor turn."""
    phase = asked.rms("phase_current_limit")
    constants = asked.compute(
        "motor-constants", pole_pairs=asked.number("motor_pole_pairs"),
        kv=asked.number("motor_speed_constant"),
    )  # fmt: skip
    turned = asked.compute(
        "wheel-speed", speed=asked.number("speed_limit"), ratio=asked.number("gear_ratio_counted"),
        rollout=asked.number("rollout"),
    )  # fmt: skip
    power = float(constants["kt_per_rms"]) * phase.value * float(turned["motor_turns"])
    if asked.has("phase_resistance"):
        heat = asked.compute(
            "copper-loss", current=phase.value, phase_resistance=asked.number("phase_resistance")
        )
        power += float(heat["loss"])
    origin = asked.origin("phase_current_limit", "phase_current_limit_peak", "speed_limit",
                          "gear_ratio_counted")  # fmt: skip
    yield Compared(
        asked.side("power_level"), "kW",
        high=Side("the most at the speed limit with the whole phase current", power, origin),
        broken=Severity.LOOK_AGAIN,
        follows="This power level is never reached: the limit is elsewhere, in the phase current "
        "and the gearing.",
        do="Tell the owner the number that counts; another gearing changes it, the level does not.",
    )  # fmt: skip
