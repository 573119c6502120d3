"""Battery limits: power against current, and what regeneration may push back."""

from __future__ import annotations

from commission.calculators.base import (
    ABSOLUTE_ZERO,
    NO_PERMISSION,
    Example,
    Input,
    Output,
    Outputs,
    calculator,
)  # fmt: skip
from commission.calculators.pack import current_at_power
from commission.errors import CalculationError

REGENERATION_CAUTION = (
    "Charging a cell below freezing or above its full voltage can plate lithium and end in fire, "
    "hours later: the cell's data sheet and the battery management system decide."
)


@calculator(
    name="battery-current-limit",
    version=2,
    topic="battery",
    title="Power limit and battery current limit",
    inputs=(
        Input("power", "kW", "power limit", optional=True, above=0, low=0.5, high=40),
        Input("current", "A", "battery current limit", optional=True, above=0, low=10, high=600),
        Input("cutoff_voltage", "V", "pack at cut-off, under load", above=0, low=20, high=110),
        Input("full_voltage", "V", "pack fully charged, no load", above=0, low=36, high=140),
        Input("resistance", "mΩ", "pack resistance, d.c.", at_least=0, high=300, default=0),
        Input("pack_current", "A", "what the pack may give continuously", optional=True, above=0,
              low=10, high=600),
    ),
    outputs=(
        Output("current_at_cutoff", "A", "battery current at cut-off (the worst)"),
        Output("current_at_full", "A", "battery current when full"),
        Output("power_at_cutoff", "kW", "power at cut-off"),
        Output("power_at_full", "kW", "power when full (the most there is)"),
        Output("within_pack", "", "the worst current is within the pack's", kind="truth",
               needs="pack_current"),
    ),
    formula="I = P / U: cut-off gives the worst current, a full pack the most power; when full, "
    "U = U_full − I·R",
    conventions=("battery current positive on discharge",
                 "cut-off is read at the loaded terminals, full at rest"),
    source="Power balance, P = U·I",
    traps=(
        "A power limit draws the most current from an empty pack, not from a full one.",
        ("A power level that needs more current than the limit allows is never reached: the limit "
        "lies in current and gearing."),
    ),
    cautions=(NO_PERMISSION,),
    one_of=(("power",), ("current",)),
    example=Example(
        {"current": "290 A", "cutoff_voltage": "60 V", "full_voltage": "84 V",
         "resistance": "15 mΩ"},
        {"power_at_cutoff": "17.40 kW", "power_at_full": "23.10 kW"},
    ),
)  # fmt: skip
def battery_current_limit(
    power: float | None,
    current: float | None,
    cutoff_voltage: float,
    full_voltage: float,
    resistance: float,
    pack_current: float | None,
) -> Outputs:
    """Turn a power limit into currents, or a current limit into powers, at both ends."""
    if cutoff_voltage >= full_voltage:
        raise CalculationError(
            f"battery-current-limit: cut-off {cutoff_voltage:g} V is not below full"
            f" {full_voltage:g} V.",
            "Give the voltages of the whole pack.",
        )
    if power is not None:
        at_cutoff = power / cutoff_voltage
        at_full = current_at_power(full_voltage, resistance, power)
    else:
        at_cutoff = at_full = current or 0.0
    loaded = full_voltage - at_full * resistance
    if loaded < cutoff_voltage:
        raise CalculationError(
            f"battery-current-limit: {at_full:.4g} A pulls even the full pack down to"
            f" {max(0.0, loaded):.4g} V, below cut-off {cutoff_voltage:g} V: it never flows.",
            f"At most {(full_voltage - cutoff_voltage) / resistance:.4g} A leave it above cut-off.",
        )
    outputs: Outputs = {
        "current_at_cutoff": at_cutoff,
        "current_at_full": at_full,
        "power_at_cutoff": at_cutoff * cutoff_voltage,
        "power_at_full": at_full * loaded,
    }
    if pack_current is not None:
        outputs["within_pack"] = at_cutoff <= pack_current
    return outputs


@calculator(
    name="charge-limit",
    topic="battery",
    title="Largest regenerative current: cells, temperature, charge",
    inputs=(
        Input("series", "cells", "cells in series", kind="integer", at_least=1, at_most=400,
              low=10, high=32),
        Input("parallel", "cells", "cells in parallel", kind="integer", at_least=1, at_most=1000,
              high=40),
        Input("cell_current", "A", "charge current of a cell at this temperature",
              "by its data sheet's table", at_least=0, low=0.2, high=20),
        Input("cell_full", "V", "full-charge voltage of a cell", above=0, at_most=5, low=3.6,
              high=4.2),
        Input("open_voltage", "V", "pack at rest, at this state of charge", above=0, low=20,
              high=140),
        Input("resistance", "mΩ", "pack resistance, d.c.", above=0, low=5, high=300),
        Input("temperature", "degC", "temperature of the coldest cell",
              "of the hottest one where the pack is warm", above=ABSOLUTE_ZERO,
              low=-30, high=60),
        Input("coldest", "degC", "lowest temperature for charging", above=ABSOLUTE_ZERO, default=0,
              low=0, high=15),
        Input("hottest", "degC", "highest temperature for charging", above=ABSOLUTE_ZERO,
              default=45, low=40, high=60),
    ),
    outputs=(
        Output("current", "A", "largest regenerative current"),
        Output("power", "W", "largest regenerative power at the terminals"),
        Output("cell_limited", "A", "by the cells' charge current"),
        Output("voltage_limited", "A", "by the voltage at this state of charge"),
        Output("limited_by", "", "what sets the limit", kind="text"),
    ),
    formula="I = min(n_p · I_cell, (n_s · u_full − U_oc) / R); zero outside the charging "
    "temperatures and for a full pack",
    conventions=("the current is the amount of charging current, not negative",),
    source="Data sheets' charging windows: 0 °C lowest in all seen, 45 to 60 °C highest (seen)",
    traps=(
        "Pack data often quote the charger's current, not the limit for brief pulses.",
        "Below 0 °C regeneration must be zero: every sheet seen says so for both chemistries.",
        "A full pack takes nothing: the first descent after charging is the worst case.",
    ),
    cautions=(NO_PERMISSION, REGENERATION_CAUTION),
    example=Example(
        {"series": "28", "parallel": "8", "cell_current": "6 A", "cell_full": "4.2 V",
         "open_voltage": "116.0 V", "resistance": "60 mΩ", "temperature": "20 degC"},
        {"current": "26.67 A", "cell_limited": "48 A"},
    ),
)  # fmt: skip
def charge_limit(  # noqa: PLR0913, PLR0917  one argument per declared input
    series: float,
    parallel: float,
    cell_current: float,
    cell_full: float,
    open_voltage: float,
    resistance: float,
    temperature: float,
    coldest: float,
    hottest: float,
) -> Outputs:
    """Take the smallest of the three limits and say which it was."""
    if coldest >= hottest:
        raise CalculationError(
            "charge-limit: the lowest charging temperature is not below the highest.",
            "Read both from the cell's data sheet.",
        )
    by_cells = parallel * cell_current
    by_voltage = max(0.0, (series * cell_full - open_voltage) / resistance)
    current, limited_by = min((by_cells, "cell current"), (by_voltage, "voltage"))
    if temperature < coldest:
        current, limited_by = 0.0, "too cold"
    elif temperature > hottest:
        current, limited_by = 0.0, "too hot"
    return {
        "current": current,
        "power": current * (open_voltage + current * resistance),
        "cell_limited": by_cells,
        "voltage_limited": by_voltage,
        "limited_by": limited_by,
    }
