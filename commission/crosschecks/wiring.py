"""Fuse and cable: what the battery current and a short circuit do to them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.crosschecks.base import Asked, Compared, Severity, Side, cross_check

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.crosschecks.base import Statement

HEAT: Final = 12.0
"""Watt a metre of conductor; single flexible cores in free air at 30 °C carry, at 70 °C, the
current that heats them by 12 to 18 W/m (from memory, DIN VDE 0298-4)."""
_MM2: Final = 1e-6


@cross_check(
    "fuse-current",
    "Battery current limit within what the fuse carries",
    needs=("battery_current_limit", "fuse_rating", "pack_full_voltage", "fuse_voltage"),
    calculators=("fuse-rating",),
    source="75 % rule at 25 °C, as the calculator fuse-rating cites it",
)
def fuse_current(asked: Asked) -> Iterator[Statement]:
    """Derate the fuse, then hold its rating and its voltage against what the bike asks."""
    outputs = asked.compute(
        "fuse-rating", current=asked.number("battery_current_limit"),
        full_voltage=asked.number("pack_full_voltage"), fuse_voltage=asked.number("fuse_voltage"),
    )  # fmt: skip
    least = Side("the least rating for the battery current limit", float(outputs["least_rating"]),
                 asked.origin("battery_current_limit"))  # fmt: skip
    yield Compared(
        asked.side("fuse_rating"), "A", low=least,
        follows="The fuse ages and opens at full throttle, without a short circuit.",
        do="Lower the battery current limit to three quarters of the fuse, or fit a larger fuse "
        "where the cable carries it.",
    )  # fmt: skip
    yield Compared(
        asked.side("fuse_voltage"), "V", low=asked.side("pack_full_voltage"),
        follows="The fuse may not put out its own arc; a rating for a.c. says nothing of d.c.",
        do="Fit a fuse with a d.c. rating above the full pack.",
    )  # fmt: skip


@cross_check(
    "fuse-cable",
    "The fuse protects the cable",
    needs=("fuse_rating", "cable_current_max"),
    source="A fuse protects the cable behind it (IEC 60364-4-43, from memory)",
)
def fuse_cable(asked: Asked) -> Iterator[Statement]:
    """Hold the fuse against the cable's own rating."""
    yield Compared(
        asked.side("fuse_rating"), "A", high=asked.side("cable_current_max"),
        follows="The cable burns before the fuse opens.",
        do="Fit a smaller fuse or a thicker cable.",
    )  # fmt: skip


@cross_check(
    "cable-current",
    "Battery current limit within what the cable carries",
    needs=("battery_current_limit", "cable_current_max"),
    source="Comparison of two declared values",
)
def cable_current(asked: Asked) -> Iterator[Statement]:
    """Hold the limit against the cable's own rating."""
    yield Compared(
        asked.side("battery_current_limit"), "A", high=asked.side("cable_current_max"),
        follows="The cable's insulation softens at long full throttle.",
        do="Lower the battery current limit or fit a thicker cable.",
    )  # fmt: skip


@cross_check(
    "cable-heat",
    "Heat of the battery cable at the full battery current",
    needs=("battery_current_limit", "cable_area", "cable_loop_length"),
    calculators=("voltage-drop",),
    source="Heat of single flexible cores in free air at 70 °C, 12 W/m and more (from memory, "
    "DIN VDE 0298-4)",
)
def cable_heat(asked: Asked) -> Iterator[Statement]:
    """Spread the cable's loss over its length."""
    length = asked.number("cable_loop_length")
    outputs = asked.compute(
        "voltage-drop", current=asked.number("battery_current_limit"), loop_length=length,
        area=asked.text("cable_area"),
    )  # fmt: skip
    origin = asked.origin("battery_current_limit", "cable_area", "cable_loop_length")
    yield Compared(
        Side("heat of the battery cable", float(outputs["loss"]) / length, origin), "W/m",
        high=Side("what a single cable in free air gives off at 70 °C", HEAT),
        broken=Severity.LOOK_AGAIN,
        follows="The cable becomes too hot to touch at long full throttle; bundled or covered, it "
        "becomes hotter still.",
        do="Look up what the cable's maker allows; lower the battery current limit or fit a "
        "thicker cable.",
    )  # fmt: skip


@cross_check(
    "cable-short-circuit",
    "The cable withstands a short circuit until the fuse has cleared it",
    needs=("pack_full_voltage", "pack_resistance", "cable_area", "fuse_clearing_time"),
    calculators=("voltage-class", "cable-short-circuit"),
    source="IEC 60364-5-54, as the calculator cable-short-circuit cites it",
)
def cable_short_circuit(asked: Asked) -> Iterator[Statement]:
    """Take the pack's own short-circuit current for as long as the fuse needs."""
    current = _short_circuit(asked)
    outputs = asked.compute(
        "cable-short-circuit", current=current, time=asked.number("fuse_clearing_time")
    )
    area = Side("cross-section of the battery cables", float(asked.text("cable_area")) * _MM2,
                asked.origin("cable_area"))  # fmt: skip
    origin = asked.origin("pack_full_voltage", "pack_resistance", "fuse_clearing_time")
    yield Compared(
        area, "mm2",
        low=Side(f"what {current:.0f} A need until the fuse has cleared",
                 float(outputs["least_area"]), origin),
        follows="The cable's insulation burns in a short circuit, although the fuse opens.",
        do="Fit a faster fuse or a thicker cable.",
    )  # fmt: skip


@cross_check(
    "fuse-breaking",
    "The fuse can break the pack's short-circuit current",
    needs=("pack_full_voltage", "pack_resistance", "fuse_breaking_current"),
    calculators=("voltage-class",),
    source="IEC 60269-1: breaking capacity above the prospective current (from memory)",
)
def fuse_breaking(asked: Asked) -> Iterator[Statement]:
    """Hold the short-circuit current against the breaking capacity."""
    origin = asked.origin("pack_full_voltage", "pack_resistance")
    yield Compared(
        Side("short-circuit current of the full pack", _short_circuit(asked), origin), "A",
        high=asked.side("fuse_breaking_current"),
        follows="The fuse bursts and the arc goes on.",
        do="Fit a fuse with a higher breaking capacity at d.c.",
    )  # fmt: skip


def _short_circuit(asked: Asked) -> float:
    outputs = asked.compute(
        "voltage-class", voltage=asked.number("pack_full_voltage"),
        resistance=asked.number("pack_resistance"),
    )  # fmt: skip
    return float(outputs["short_circuit_current"])
