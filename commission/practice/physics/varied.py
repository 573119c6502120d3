"""Sound bikes of varied build: a fair procedure releases every one of them.

Papers agree with what is true, instruments keep what they promise, and the controller still holds
the settings of another bike. Everything follows from the seed.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from commission.practice.build import Build, Controller, Storage
from commission.practice.physics import varied_chassis as chassis
from commission.practice.physics import varied_power as power
from commission.practice.physics.another_bike import settings_of_another_bike
from commission.practice.physics.demo import demo_build
from commission.practice.physics.papers import papers
from commission.practice.physics.workshop import INSTRUMENTS, meters

__all__ = ("demo_build", "sound_build")

_WITHIN = 0.9
"""No instrument uses up the whole of its promised percent."""


def sound_build(seed: int) -> Build:
    """Return the sound bike of this seed."""
    random = Random(f"sound bike {seed}")  # noqa: S311  for play, not for secrets
    build = _bike(random)
    build = replace(build, papers=papers(build))
    found = Storage(as_found=settings_of_another_bike(build, random))
    return replace(build, controller=replace(build.controller, storage=found))


def _bike(random: Random) -> Build:
    """Return a bike without papers, whose controller holds nothing yet."""
    ambient = 273.15 + random.randint(10, 60) / 2.0
    current = 5.0 * random.randint(8, 36)
    pack = power.pack(random, current, ambient)
    motor = power.motor(random, pack, current, ambient)
    owner = chassis.owner(random)
    serial = f"K-{random.randrange(10**6):06d}"
    controller = Controller(
        voltage_max=power.controller_voltage(pack, motor),
        phase_current_max=10.0 * round(0.1 * motor.peak_current * random.uniform(0.85, 1.4)),
        serial=serial,
        firmware=f"{random.randint(1, 4)}.{random.randint(0, 30):02d}",
    )
    return Build(
        pack=pack,
        wiring=power.wiring(random, pack, current),
        motor=motor,
        rotor=chassis.rotor(random),
        throttle=chassis.throttle(random),
        lever=chassis.lever(random),
        switches=chassis.switches(random),
        cooling=chassis.cooling(random),
        temperature=chassis.thermometry(random, ambient),
        driveline=chassis.driveline(random, power.no_load_speed(pack, motor), owner),
        controller=controller,
        owner=owner,
        meters=meters({kind: random.uniform(-_WITHIN, _WITHIN) for kind in INSTRUMENTS}),
        papers={},
        identity=chassis.identity(random, serial, pack, motor),
    )
