"""Where an instrument can be put on a bike, and what is true there."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.practice.physics import bus, levers, pack, sensors

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.bike import Bike

PLACES: Final[Mapping[str, Callable[[Bike], float]]] = {
    "pack": lambda bike: pack.contact_voltage(bike.build.pack),
    "bus": lambda bike: bike.bus_voltage,
    "positive to frame": lambda bike: bus.to_frame(bike.build.wiring, bike.bus_voltage, "positive"),
    "negative to frame": lambda bike: bus.to_frame(bike.build.wiring, bike.bus_voltage, "negative"),
    "known source": lambda bike: bike.source,
    "isolation positive": lambda bike: bus.isolation(bike.build.wiring, "positive"),
    "isolation negative": lambda bike: bus.isolation(bike.build.wiring, "negative"),
    "bonding": lambda bike: bike.build.wiring.bonding_resistance,
    "mounting torque": lambda bike: bike.build.wiring.mounting_torque,
    "terminal torque": lambda bike: bike.build.wiring.terminal_torque,
    "throttle signal": lambda bike: levers.voltage(
        bike.build.throttle, bike.hands.throttle, plugged=bike.hands.plugged
    ),
    "lever signal": lambda bike: (
        0.0 if bike.build.lever is None else levers.voltage(bike.build.lever, bike.hands.lever)
    ),
    "motor sensor": lambda bike: sensors.motor_sensor(
        bike.build.temperature, bike.build.temperature.ambient
    ),
    "room": lambda bike: bike.build.temperature.ambient,
    "cables": lambda bike: bike.build.wiring.loop_length,
    "one turn of the wheel": lambda bike: bike.build.driveline.rollout,
}
"""Where an instrument can be put, and the truth there, SI."""
