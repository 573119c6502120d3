"""Random sound packs, cables and motors that suit each other."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from commission.calculators.catalogue import compute
from commission.practice.build import Motor, Pack, Wiring
from commission.practice.physics import pack as packs
from commission.practice.physics.bus import loop_resistance
from commission.practice.physics.heat import HALF_POWER
from commission.practice.physics.papers import RPM, speed_constant

if TYPE_CHECKING:
    from random import Random

FUSES: Final = (60, 80, 100, 125, 150, 175, 200, 225, 250, 300)
"""A."""
FUSE_VOLTS: Final = (80, 100, 125, 150, 250)
AREAS: Final = (10, 16, 25, 35, 50, 70, 95)
"""mm²."""
CONTROLLER_VOLTS: Final = (72, 84, 96, 112, 130, 150, 180)
LOADING: Final = 0.75
"""Share of a fuse's rating that may flow continuously, as in the calculator `fuse-rating`."""
DENSITY: Final = 8e6
"""A/m² of copper that a flexible cable bears in free air (common practice, no source)."""


def pack(random: Random, current: float, ambient: float) -> Pack:
    """Return a pack for a continuous current in A."""
    lfp = random.random() < 0.25  # noqa: PLR2004  one bike in four
    parallel = random.randint(max(2, round(current / 20.0)), max(3, round(current / 9.0)))
    return Pack(
        series=random.randint(13, 28),
        parallel=parallel,
        cell_full=3.65 if lfp else random.choice((4.15, 4.20)),
        cell_empty=2.50 if lfp else 3.00,
        # A cell loses up to 0.22 V at the pack's continuous current.
        cell_resistance=random.uniform(0.08, 0.22) * parallel / current,
        cell_capacity=random.uniform(2.5, 5.0) * 3600.0,
        lead_resistance=random.uniform(1e-3, 4e-3),
        state_of_charge=random.uniform(0.4, 0.9),
        temperature=ambient + random.uniform(-1.0, 1.0),
        cell_charge_current=random.choice((1.0, 1.5, 2.0, 3.0, 4.0)),
        charge_temperature_low=273.15,
        charge_temperature_high=318.15,
        chemistry="lfp" if lfp else "nmc",
    )


def wiring(random: Random, own: Pack, current: float) -> Wiring:
    """Return cables, fuse and bus for a pack and its continuous current in A."""
    volts = packs.full_voltage(own)
    unsized = Wiring(
        loop_length=random.randint(24, 52) * 0.05,
        area=0.0,
        joint_resistance=random.uniform(0.1e-3, 0.4e-3),
        fuse_rating=next(float(each) for each in FUSES if LOADING * each >= current),
        fuse_voltage=next(float(each) for each in FUSE_VOLTS if each > volts),
        bus_capacitance=random.randint(6, 30) * 1e-4 * random.uniform(0.82, 0.90),
        bleed_resistance=random.choice((2.2e3, 3.3e3, 4.7e3, 6.8e3, 9.1e3, 12e3)),
        precharge_resistance=random.choice((47.0, 68.0, 100.0, 150.0, 220.0)),
        isolation_positive=random.uniform(2e6, 40e6),
        isolation_negative=random.uniform(2e6, 40e6),
        isolation_phases=random.uniform(20e6, 200e6),
        bonding_resistance=random.uniform(4e-3, 50e-3),
        mounting_torque=9.0 * random.uniform(0.98, 1.02),
        terminal_torque=10.0 * random.uniform(0.98, 1.02),
        topology=random.choice(("separate", "combined", "combined")),
    )
    warm = 343.15
    sizes = (replace(unsized, area=each * 1e-6) for each in AREAS)
    # Two thirds of the 2 % that a drop may be, and a fuse that the cable bears.
    return next(
        each
        for each in sizes
        if current * loop_resistance(each, warm) <= 0.0133 * volts
        and each.fuse_rating <= DENSITY * each.area
    )


def motor(random: Random, own: Pack, current: float, ambient: float) -> Motor:
    """Return a motor for a pack and its continuous current in A."""
    volts = packs.full_voltage(own)
    kv = round(random.uniform(3400.0, 6500.0) / volts)
    pairs = random.choice((3, 4, 5, 7, 8, 10, 11, 14))
    flux = 1.0 / (math.sqrt(3.0) * pairs * kv * RPM)
    rms = 10.0 * round(0.1 * current * random.uniform(2.0, 2.7))
    peak = math.sqrt(2.0) * rms
    # Copper loss at the largest current: up to three tenths of the pack's continuous power.
    phase = random.uniform(0.12, 0.30) * current * packs.open_voltage(own) / (1.5 * peak * peak)
    along = flux / (peak * random.uniform(1.1, 1.8))
    time = random.uniform(450.0, 900.0)
    rise = random.uniform(12.0, 25.0)
    half = 3.0 * phase * (HALF_POWER.current * rms) ** 2 * -math.expm1(-HALF_POWER.seconds / time)
    return Motor(
        resistance=phase,
        inductance_d=along,
        inductance_q=along * random.uniform(1.0, 1.6),
        flux=flux,
        pole_pairs=pairs,
        peak_current=rms,
        speed_max=100.0 * math.ceil(0.01 * kv * volts * random.uniform(1.02, 1.15)) * RPM,
        phase_order=random.choice((1, -1)),
        winding_temperature=ambient,
        magnet_temperature=ambient,
        thermal_resistance=rise / half,
        thermal_time=time,
    )


def no_load_speed(own: Pack, turning: Motor) -> float:
    """Return the highest motor speed that full pack and motor allow, rad/s."""
    return min(turning.speed_max, speed_constant(turning) * packs.full_voltage(own))


def controller_voltage(own: Pack, turning: Motor) -> float:
    """Return the rating in V of a controller that bears full pack and over-run motor."""
    run_over = {
        "kv": speed_constant(turning), "motor_speed": turning.speed_max, "rating": 1e3,
    }  # fmt: skip
    overspeed = float(compute("overspeed-voltage", run_over).outputs["voltage"])
    least = max(overspeed, packs.full_voltage(own) + own.series * 0.02)
    return float(next(each for each in CONTROLLER_VOLTS if each >= 1.02 * least))
