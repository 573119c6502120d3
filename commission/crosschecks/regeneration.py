"""Regeneration: charging without a charger, against what the cells and their protection take."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.crosschecks.base import Asked, Compared, Severity, Side, cross_check
from commission.crosschecks.pack import OVER_FULL

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.crosschecks.base import Statement

_BURNS = "Cells charged beyond their data sheet plate lithium and can burn hours later."


@cross_check(
    "regeneration-charge",
    "Regeneration within what the cells take now",
    needs=("regen_current_limit", "series_cells", "parallel_cells", "cell_charge_current",
           "cell_full", "pack_open_voltage", "pack_resistance", "cell_temperature"),
    calculators=("charge-limit",),
    version=3,
    source="Data sheets' charging windows, as the calculator charge-limit cites them",
)  # fmt: skip
def regeneration_charge(asked: Asked) -> Iterator[Statement]:
    """Take the smallest of the cells', the voltage's and the temperature's limit."""
    outputs = asked.compute(
        "charge-limit", series=asked.number("series_cells"),
        parallel=asked.number("parallel_cells"),
        cell_current=asked.amount("cell_charge_current").value,
        cell_full=asked.number("cell_full"), open_voltage=asked.number("pack_open_voltage"),
        resistance=asked.number("pack_resistance"), temperature=asked.number("cell_temperature"),
    )  # fmt: skip
    origin = asked.origin("parallel_cells", "cell_charge_current", "pack_open_voltage",
                          "cell_temperature")  # fmt: skip
    by = outputs["limited_by"]
    limit = Side(f"what the pack takes (limited by: {by})", float(outputs["current"]), origin)
    yield Compared(
        asked.amount("regen_current_limit"), "A", high=limit, follows=_BURNS,
        do="Lower the regeneration current limit to what the cells' data sheet allows at this "
        "temperature and charge.",
    )  # fmt: skip


@cross_check(
    "regeneration-full-pack",
    "Regeneration ends at a full pack",
    needs=("regen_current_limit", "series_cells", "cell_full", "pack_resistance",
           "high_voltage_cutoff"),
    calculators=("pack-voltage", "pack-sag"),
    version=3,
    source="A full pack takes about nothing; charging voltages are 4.20 ± 0.05 V (from memory)",
)  # fmt: skip
def regeneration_full_pack(asked: Asked) -> Iterator[Statement]:
    """Let the full pack be charged by the whole limit, up to where the high cut-off ends it."""
    cells, current = asked.number("series_cells"), asked.amount("regen_current_limit").value
    full = float(
        asked.compute(
            "pack-voltage", series=cells, full=asked.number("cell_full"), cutoff=2.0, nominal=3.2
        )["full_voltage"]
    )
    charged = asked.compute(
        "pack-sag", open_voltage=full, resistance=asked.number("pack_resistance"), current=-current
    )
    lifted = min(float(charged["voltage"]), max(full, asked.number("high_voltage_cutoff")))
    origin = asked.origin("regen_current_limit", "high_voltage_cutoff", "pack_resistance")
    yield Compared(
        Side("what regeneration lifts each cell of a full pack to", lifted / cells, origin), "V",
        high=Side("a full cell and 0.05 V", asked.number("cell_full") + OVER_FULL,
                  asked.origin("cell_full")),
        follows="The first descent after a full charge overcharges the pack: at a full pack "
        "regeneration has to be about zero.",
        do="Lower the high cut-off to just above the full pack, or the regeneration current limit.",
    )  # fmt: skip


@cross_check(
    "regeneration-battery-management",
    "Regeneration below where the battery management switches off",
    needs=("regen_current_limit", "bms_charge_max"),
    version=3,
    source="Comparison of two declared values",
)
def regeneration_battery_management(asked: Asked) -> Iterator[Statement]:
    """Hold the limit against the switch-off."""
    yield Compared(
        asked.amount("regen_current_limit"), "A", high=asked.amount("bms_charge_max"),
        follows="The battery management takes the pack away while it brakes the bike: the braking "
        "is gone, and the bus voltage rises without a pack to hold it.",
        do="Lower the regeneration current limit.",
    )  # fmt: skip


@cross_check(
    "drag-and-lever",
    "Drag when the throttle closes and braking by the lever are two settings",
    needs=("drag_current", "lever_regen_current"),
    uses=("regen_current_limit",),
    version=3,
    source="common practice, no source",
)
def drag_and_lever(asked: Asked) -> Iterator[Statement]:
    """Hold the two against each other, and each against the common limit."""
    yield Compared(
        asked.amount("drag_current"), "A", high=asked.amount("lever_regen_current"),
        broken=Severity.LOOK_AGAIN,
        follows="Letting go of the throttle brakes harder than pulling the lever: the two settings "
        "may have been taken for one.",
        do="Set each by itself: the drag first, with the lever at rest, then the lever.",
    )  # fmt: skip
    if asked.has("regen_current_limit"):
        for role in ("drag_current", "lever_regen_current"):
            yield Compared(
                asked.amount(role), "A", high=asked.amount("regen_current_limit"),
                broken=Severity.LOOK_AGAIN,
                follows="It is never reached: the limit is elsewhere, in the regeneration current "
                "limit.",
                do="Lower it to the limit; the limit follows from the cells.",
            )  # fmt: skip
