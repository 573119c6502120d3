"""The vocabulary and the bike agree, and single steps are answered as the bike is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.practice.probes import ANSWERS, probe_of
from commission.procedure.vocabulary import PROBES, option_for, outcome_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.practice.run import Run

LED: frozenset[str] = frozenset({"power.key", "power.cold"})
"""What whoever leads does himself: switching for a power cycle, beside settings and files."""


def test_every_probe_of_the_vocabulary_has_an_answer_and_every_answer_a_probe() -> None:
    answered = {name for name, each in PROBES.items() if each.sort not in ("settings", "file")}
    assert answered - LED == set(ANSWERS)


def test_no_outcome_is_hidden_by_an_earlier_one() -> None:
    for probe in PROBES.values():
        for outcome in probe.outcomes:
            meant = {outcome_of(probe.outcomes, word) for word in outcome.words}
            assert outcome in meant, (probe.name, outcome.name)


@pytest.mark.parametrize(
    ("probe", "option", "outcome"),
    [
        ("wheel.direction", "turns forward", "forward"),
        ("wheel.direction", "It turns BACKWARD", "backward"),
        ("wheel.direction", "does not turn", "does not turn"),
        ("cooling.running", "runs the wrong way or dry", "wrong way"),
        ("cooling.running", "moves air or coolant the right way", "right way"),
        ("throttle.unplugged", "drive stays ready", "ready"),
        ("throttle.unplugged", "drive is refused with a fault", "refused"),
        ("bike.use", "closed ground", "closed"),
        ("bike.use", "off-road only", "closed"),
        ("bike.use", "road class up to 45 km/h", "road"),
        ("interlock.brake", "drive goes on", "goes on"),
        ("wheel.free", "something else", None),
        ("wheel.free", "does not turn freely", None),
        ("motor.run", "not smooth", None),
        ("throttle.unplugged", "drive stays ready, no fault", "ready"),
        ("throttle.unplugged", "goes on without a fault", "turns"),
        ("temperature.motor.fitted", "no sensor", "not fitted"),
    ],
)
def test_an_option_is_understood_by_its_words(probe: str, option: str, outcome: str | None) -> None:
    found = outcome_of(PROBES[probe].outcomes, option)
    assert (None if found is None else found.name) == outcome


def test_what_has_no_option_goes_to_the_likeliest_one_and_never_to_a_good_one() -> None:
    outcomes = PROBES["motor.run"].outcomes
    assert option_for(outcomes, "jerks", ("smooth", "knocks")) == "knocks"
    assert option_for(outcomes, "jerks", ("smooth", "evenly")) is None


@pytest.mark.parametrize(
    ("probe", "asked", "name"),
    [
        ("gearing", "driven_teeth", "gearing.driven_teeth"),
        ("bus.voltage", "value", "bus.voltage"),
        ("bike.identity.frame", "frame", "bike.identity"),
        ("sensor.angle.angle_2", "angle_2", "sensor.angle"),
        ("temperature.motor.sensor", "uncertainty", None),
        ("", "value", None),
    ],
)
def test_what_a_step_asks_finds_its_probe(probe: str, asked: str, name: str | None) -> None:
    assert probe_of(probe, asked) == name


def measure(probe: str, unit: str, more: str = "") -> str:
    return f"- {{id: read, kind: measure, title: Read it, unit: {unit}, probe: {probe}{more}}}"


def observe(probe: str, *options: str) -> str:
    listed = ", ".join(options)
    return (
        f"- {{id: read, kind: observe, title: Look at it, options: [{listed}], "
        f"expected: \"'{options[0]}'\", probe: {probe}}}"
    )


def typed(run: Run) -> Any:
    answer = run.state.steps["read"].answer
    assert answer is not None, run.ended
    given = answer.parts[""]["value"]
    return given["typed"] if isinstance(given, dict) else given


@pytest.mark.parametrize(
    ("probe", "unit", "low", "high"),
    [
        ("pack.voltage", "V", 66.0, 66.6),
        ("bus.voltage", "mV", 66000, 66600),
        ("fuse.rating", "A", 150, 150),
        ("bonding.case", "mΩ", 22.0, 22.8),
        ("isolation.positive", "MΩ", 5.0, 12.0),
        ("motor.pole_pairs", "pairs", 7, 7),
        ("gearing.ratio", '""', 7.8, 7.8),
        ("lever.full", "V", 3.85, 3.95),
        ("throttle.voltage.released", "V", 0.82, 0.86),
        ("throttle.voltage.returned", "V", 0.82, 0.86),
        ("temperature.ambient", "degC", 19.0, 20.0),
        ("temperature.motor", "degC", 18, 21),
        ("temperature.controller", "degC", 22, 27),
        ("ride.speed", "km/h", 54.0, 56.0),
        ("ride.display_speed", "km/h", 54, 56),
        ("ride.half_power", "degC", 25, 90),
        ("torque.axle", "Nm", 55, 65),
        ("chain.slack", "mm", 28, 32),
    ],
)  # fmt: skip
def test_a_sound_bike_reads_as_it_is(
    small: Callable[..., Run], probe: str, unit: str, low: float, high: float
) -> None:
    assert low <= float(typed(small(measure(probe, unit)))) <= high


@pytest.mark.parametrize(
    ("probe", "options", "changes", "index"),
    [
        ("wheel.direction", ("turns forward", "turns backward", "does not turn"), {}, 0),
        ("wheel.direction", ("turns forward", "turns backward", "does not turn"),
         {"controller__storage__as_found__direction": "'normal'"}, 1),
        ("wheel.direction", ("turns forward", "turns backward", "does not turn"),
         {"controller__storage__as_found__throttle_fault_low": 2.0}, 2),
        ("motor.run", ("smooth", "rough", "jerks", "does not turn"), {}, 0),
        ("motor.run", ("smooth", "rough", "jerks", "does not turn"),
         {"controller__storage__as_found__sensor_angle_1": "now + 80[deg]"}, 1),
        ("wheel.at_rest", ("stays still", "turns"), {}, 0),
        ("wheel.at_rest", ("stays still", "turns"), {"controller__creeps": 0.1}, 1),
        ("wheel.free", ("turns freely", "drags"), {"driveline__drags": True}, 1),
        ("interlock.brake", ("drive cuts out", "drive goes on"), {}, 0),
        ("interlock.brake", ("drive cuts out", "drive goes on"),
         {"switches__brake_works": False}, 1),
        ("interlock.stand", ("drive cuts out", "drive goes on"),
         {"controller__storage__not_obeyed": ("stand_switch",),
          "controller__storage__as_found__stand_switch": False}, 1),
        ("cooling.running", ("right way", "wrong way", "stands still"), {}, 0),
        ("cooling.running", ("right way", "wrong way", "stands still"),
         {"cooling__runs_backward": True}, 1),
        ("cooling.running", ("right way", "wrong way", "stands still"),
         {"cooling__fan_works": False}, 2),
        ("cooling.path", ("clear", "blocked by cables"), {"cooling__path_clear": False}, 1),
        ("throttle.unplugged", ("refused with a fault", "stays ready", "turns"), {}, 0),
        ("throttle.unplugged", ("refused with a fault", "stays ready", "turns"),
         {"controller__throttle_fault_detected": False}, 1),
        ("ride.walking_pace", ("runs true", "surges", "cuts out", "rolls backward"), {}, 0),
        ("ride.walking_pace", ("runs true", "surges", "cuts out", "rolls backward"),
         {"controller__storage__as_found__tilt_sensor": True}, 2),
        ("bike.startup_mode", ("low", "normal", "high"), {}, 0),
        ("bike.startup_mode", ("low", "normal", "high"),
         {"controller__storage__as_found__startup_mode": "'high'"}, 2),
        ("motor.speed_sign", ("positive", "negative", "none"), {}, 0),
        ("power.off_seen", ("goes dark", "stays lit"), {"switches__key_works": False}, 1),
        ("rotor.mounting", ("firm", "moves"), {"rotor__loose": 9.0}, 1),
    ],
)  # fmt: skip
def test_what_is_seen_follows_the_build(
    small: Callable[..., Run], probe: str, options: tuple[str, ...], changes: Any, index: int
) -> None:
    assert typed(small(observe(probe, *options), **changes)) == options[index]


def test_an_unknown_probe_ends_stuck_and_says_where_and_what_is_near(
    small: Callable[..., Run],
) -> None:
    ended = small(measure("bus.voltag", "V")).ended
    assert (ended.how, ended.step) == ("stuck", "read")
    assert "'bus.voltag'" in ended.why
    assert "Did you mean bus.voltage?" in ended.why


def test_a_step_without_a_probe_is_never_guessed(small: Callable[..., Run]) -> None:
    ended = small("- {id: read, kind: measure, title: Read it, unit: V}").ended
    assert ended.how == "stuck"


def test_options_that_nothing_matches_end_stuck(small: Callable[..., Run]) -> None:
    ended = small(observe("wheel.free", "lovely", "awful")).ended
    assert (ended.how, ended.step) == ("stuck", "read")
    assert "free" in ended.why


def test_nothing_is_seen_to_stop_a_wheel_that_does_not_turn(small: Callable[..., Run]) -> None:
    run = small(
        observe("interlock.brake", "drive cuts out", "drive goes on"),
        controller__storage__as_found__throttle_fault_low=2.0,
    )
    assert run.ended.how == "stopped"
    assert "does not turn" in run.ended.why


def test_a_workshops_own_names_are_understood_by_their_probes(small: Callable[..., Run]) -> None:
    head = """\
facts:
  - {id: zellen, label: cells, type: integer, probe: fact.series_cells}
settings:
  - {id: drehsinn, label: sense, type: choice, choices: [standard, inverted],
     probe: setting.direction, intended: "'inverted'"}
  - {id: flux, label: another one, type: quantity, unit: V, range: ["1[V]", "3[V]"]}
"""
    run = small(
        """
- {id: found, kind: read_back, title: Read all, settings: all, probe: setting}
- {id: set, kind: write, title: Write it, settings: [drehsinn], probe: setting}
- {id: cycle, kind: power_cycle, cycle: key, title: Switch it, off_for: "10[s]"}
""",
        head,
        controller__storage__as_found__direction="'normal'",
    )
    assert run.ended.how == "finished", run.ended
    assert run.state.settings["drehsinn"].found.given == "standard"  # type: ignore[union-attr]
    assert run.state.settings["drehsinn"].left[-1].given == "inverted"
    assert run.state.settings["flux"].found.given == {"typed": "2", "unit": "V"}  # type: ignore[union-attr]
    assert run.bike.controller.obeyed("direction") == "reversed"
