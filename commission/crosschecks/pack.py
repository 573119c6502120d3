"""The pack: its current, its sag, its cut-offs and the voltage that the controller bears."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.crosschecks.base import Asked, Compared, Severity, Side, Stated, cross_check
from commission.errors import CalculationError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.crosschecks.base import Statement

OVER_FULL: Final = 0.05
"""Volt a cell above full: the tolerance of a charging voltage (from memory)."""
_ARITHMETIC: Final = "Comparison of two declared values"


@cross_check(
    "pack-current",
    "Battery current limit within what the pack gives",
    needs=("battery_current_limit", "pack_current_max"),
    source=_ARITHMETIC,
)
def pack_current(asked: Asked) -> Iterator[Statement]:
    """Hold the limit against the pack's papers."""
    yield Compared(
        asked.side("battery_current_limit"), "A", high=asked.side("pack_current_max"),
        follows="The cells run hot and age; weak ones are driven under.",
        do="Lower the battery current limit, or correct the pack's figure from its papers.",
    )  # fmt: skip


@cross_check(
    "battery-management-current",
    "Battery current limit below where the battery management switches off",
    needs=("battery_current_limit", "bms_current_max"),
    source=_ARITHMETIC,
)
def battery_management_current(asked: Asked) -> Iterator[Statement]:
    """Hold the limit against the switch-off."""
    yield Compared(
        asked.side("battery_current_limit"), "A", high=asked.side("bms_current_max"),
        follows="The battery management switches everything off at full throttle, in mid-corner.",
        do="Lower the battery current limit.",
    )  # fmt: skip


@cross_check(
    "sag-cut-off",
    "Voltage under the full battery current above the low cut-off",
    needs=("battery_current_limit", "pack_resistance", "pack_nominal_voltage",
           "low_voltage_cutoff"),
    calculators=("pack-sag",),
    source="Ohm's law at the pack's nominal voltage: a full pack hides what a half-empty one shows",
)  # fmt: skip
def sag_cut_off(asked: Asked) -> Iterator[Statement]:
    """Load the half-charged pack: the full one always looks well."""
    yield Compared(
        _loaded(asked), "V", low=asked.side("low_voltage_cutoff"),
        follows="Sag alone reaches the cut-off with the pack half full: the drive ends in "
        "mid-corner, and the rest of the charge cannot be used at full throttle.",
        do="Lower the battery current limit, or find out why the pack's resistance is so high.",
    )  # fmt: skip


def _loaded(asked: Asked) -> Side:
    try:
        outputs = asked.compute(
            "pack-sag",
            open_voltage=asked.number("pack_nominal_voltage"),
            resistance=asked.number("pack_resistance"),
            current=asked.number("battery_current_limit"),
        )
        voltage = float(outputs["voltage"])
    except CalculationError:
        voltage = 0.0  # more is lost in the pack than there is
    origin = asked.origin("pack_nominal_voltage", "pack_resistance", "battery_current_limit")
    return Side("voltage at nominal charge under the battery current limit", voltage, origin)


@cross_check(
    "low-cut-off-cells",
    "Low cut-off fits the number of cells",
    needs=("low_voltage_cutoff", "series_cells", "cell_cutoff", "cell_nominal"),
    calculators=("pack-voltage",),
    source="Cell data sheets: cut-off below nominal, counted by cells in series",
)
def low_cut_off_cells(asked: Asked) -> Iterator[Statement]:
    """Hold the cut-off against the cells' cut-off and nominal voltage, times their number."""
    cells = asked.number("series_cells")
    outputs = asked.compute(
        "pack-voltage", series=cells, cutoff=asked.number("cell_cutoff"),
        nominal=asked.number("cell_nominal"),
        full=max(4.2, asked.number("cell_nominal") + 0.1),
    )  # fmt: skip
    least = Side("the cells' cut-off times their number", float(outputs["cutoff_voltage"]),
                 asked.origin("cell_cutoff", "series_cells"))  # fmt: skip
    most = Side("their nominal voltage times their number", float(outputs["nominal_voltage"]),
                asked.origin("cell_nominal", "series_cells"))  # fmt: skip
    yield Compared(
        asked.side("low_voltage_cutoff"), "V", low=least,
        follows="Cells are discharged below what their data sheet allows and are damaged.",
        do="Check the number of cells in series, then set the low cut-off from it.",
    )  # fmt: skip
    yield Compared(
        asked.side("low_voltage_cutoff"), "V", high=most,
        follows="The drive ends while the pack is still half full, as with a cut-off meant for "
        "more cells.",
        do="Check the number of cells in series, then set the low cut-off from it.",
    )  # fmt: skip


@cross_check(
    "high-cut-off-cells",
    "High cut-off fits the number of cells",
    needs=("high_voltage_cutoff", "series_cells", "cell_full"),
    calculators=("pack-voltage",),
    source="Charging voltages of cell data sheets, 4.20 ± 0.05 V (from memory)",
)
def high_cut_off_cells(asked: Asked) -> Iterator[Statement]:
    """Hold the cut-off against a full pack, and a full pack with the cells' tolerance."""
    outputs = asked.compute(
        "pack-voltage", series=asked.number("series_cells"), full=asked.number("cell_full"),
        cutoff=2.0, nominal=3.2,
    )  # fmt: skip
    full = float(outputs["full_voltage"])
    origin = asked.origin("cell_full", "series_cells")
    yield Compared(
        asked.side("high_voltage_cutoff"), "V", low=Side("the full pack", full, origin),
        follows="The controller refuses a full pack, as with a cut-off meant for fewer cells.",
        do="Check the number of cells in series, then set the high cut-off from it.",
    )  # fmt: skip
    over = full + asked.number("series_cells") * OVER_FULL
    yield Compared(
        asked.side("high_voltage_cutoff"), "V",
        high=Side("the full pack and 0.05 V more a cell", over, origin),
        follows="Regeneration may charge cells far above full: they can burn hours later.",
        do="Check the number of cells in series, then set the high cut-off from it.",
    )  # fmt: skip


@cross_check(
    "cut-offs-battery-management",
    "The controller's cut-offs inside those of the battery management",
    needs=("low_voltage_cutoff", "high_voltage_cutoff", "bms_low_cutoff", "bms_high_cutoff"),
    source="The controller limits, the battery management protects: common practice, no source",
)
def cut_offs_battery_management(asked: Asked) -> Iterator[Statement]:
    """The controller has to end drive and regeneration before the pack is taken away."""
    yield Compared(
        asked.side("low_voltage_cutoff"), "V", low=asked.side("bms_low_cutoff"),
        follows="The pack is switched off under load before the controller eases its current.",
        do="Raise the low cut-off above that of the battery management.",
    )  # fmt: skip
    yield Compared(
        asked.side("high_voltage_cutoff"), "V", high=asked.side("bms_high_cutoff"),
        follows="The pack is taken away while it brakes the bike: the braking is gone, and the "
        "bus voltage rises without a pack to hold it.",
        do="Lower the high cut-off below that of the battery management.",
    )  # fmt: skip


@cross_check(
    "controller-voltage",
    "Full pack and high cut-off within what the controller bears",
    needs=("pack_full_voltage", "controller_voltage_max"),
    uses=("high_voltage_cutoff",),
    source="Highest voltage decides, never the nominal one (ISO 6469-3 classes by it, from memory)",
)
def controller_voltage(asked: Asked) -> Iterator[Statement]:
    """Hold the highest voltages against the rating."""
    for role in ("pack_full_voltage", "high_voltage_cutoff"):
        if asked.has(role):
            yield Compared(
                asked.side(role), "V", high=asked.side("controller_voltage_max"),
                follows="The controller is destroyed by the first full charge or the first "
                "descent, whatever its nominal voltage says.",
                do="Fit a controller of a higher voltage; nominal voltages are no measure.",
            )  # fmt: skip


@cross_check(
    "voltage-class",
    "Worked on by the rules of its voltage class",
    needs=("pack_full_voltage", "pack_resistance", "voltage_class_worked_by"),
    calculators=("voltage-class",),
    source="ISO 6469-3, UN R136: class B above 60 V d.c. (from memory)",
)
def voltage_class(asked: Asked) -> Iterator[Statement]:
    """Class the full pack; working by the stricter rules is never wrong."""
    outputs = asked.compute(
        "voltage-class", voltage=asked.number("pack_full_voltage"),
        resistance=asked.number("pack_resistance"),
    )  # fmt: skip
    found, rules = str(outputs["voltage_class"]), asked.text("voltage_class_worked_by")
    full = f"{asked.number('pack_full_voltage'):.4g} V"
    yield Stated(
        rules >= found,
        f"The full pack has {full} ({asked.origin('pack_full_voltage')}): voltage class {found}; "
        f"it is worked on by the rules of class {rules} "
        f"({asked.origin('voltage_class_worked_by')}).",
        follows="Above 60 V d.c. a shock can kill, and rules for class A do not guard against it.",
        do="Work by the rules of class B; local codes and licensed practice come first.",
    )  # fmt: skip


@cross_check(
    "battery-limit-reached",
    "Battery current limit within what the phase current can draw",
    needs=("battery_current_limit", ("phase_current_limit", "phase_current_limit_peak"),
           "pack_full_voltage"),
    calculators=("battery-current",),
    source="Power balance at full modulation 1/√3 and power factor 1: I = 1.5·m·I_pk",
)  # fmt: skip
def battery_limit_reached(asked: Asked) -> Iterator[Statement]:
    """Draw the whole phase current at full voltage: no more can come from the battery."""
    phase = asked.rms("phase_current_limit")
    outputs = asked.compute(
        "battery-current", voltage=asked.number("pack_full_voltage"),
        phase_current=2.0**0.5 * phase.value, modulation=3.0**-0.5, power_factor=1.0,
    )  # fmt: skip
    yield Compared(
        asked.side("battery_current_limit"), "A",
        high=Side("the most that the phase current limit can draw",
                  float(outputs["battery_current"]), phase.origin),
        broken=Severity.LOOK_AGAIN,
        follows="The battery current limit is never reached: the limit is elsewhere, in the phase "
        "current. It protects neither pack nor fuse nor cable.",
        do="Set the battery current limit by what pack, fuse and cable bear.",
    )  # fmt: skip
