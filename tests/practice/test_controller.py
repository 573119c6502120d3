"""What becomes of a setting between the screen and the store, one storage behaviour at a time."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.practice.build import SettingValue, Storage
from commission.practice.controller import Controller

ROUTE = "another page"


def controller(**behaviour: Any) -> Controller:
    """Return a controller as found with three settings."""
    found: dict[str, SettingValue] = {"direction": "normal", "speed": 10.0, "cut": False}
    return Controller(Storage(as_found=found, **behaviour))


def written(held: Controller, role: str, value: Any, route: str = "") -> Controller:
    """Write one setting and return the controller."""
    held.enter(role, value)
    held.save(route)
    held.fetch()
    return held


def after(held: Controller, *, cold: bool) -> Any:
    """Return what is read after a key or a cold cycle with the program connected afresh."""
    held.power_lost(cold=cold)
    held.connect()
    return held.read("direction")


def test_what_is_entered_is_nothing_before_it_is_saved() -> None:
    held = controller()
    held.enter("direction", "reversed")
    assert held.read("direction") == "reversed"
    assert held.obeyed("direction") == "normal"
    held.connect()
    assert held.read("direction") == "normal"


@pytest.mark.parametrize("cold", [False, True])
def test_a_sound_controller_keeps_what_was_saved(*, cold: bool) -> None:
    held = written(controller(), "direction", "reversed")
    assert held.obeyed("direction") == "reversed"
    assert after(held, cold=cold) == "reversed"


@pytest.mark.parametrize(
    ("behaviour", "route", "in_session", "after_key", "after_cold"),
    [
        ({}, "", "reversed", "reversed", "reversed"),
        ({"never_stored": {"direction"}}, "", "reversed", "normal", "normal"),
        ({"never_stored": {"direction"}}, ROUTE, "reversed", "normal", "normal"),
        ({"lost_when_cold": {"direction"}}, "", "reversed", "reversed", "normal"),
        ({"lost_when_cold": {"direction"}}, ROUTE, "reversed", "reversed", "normal"),
        ({"route_matters": {"direction"}}, "", "reversed", "normal", "normal"),
        ({"route_matters": {"direction"}}, ROUTE, "reversed", "reversed", "reversed"),
        (
            {"route_matters": {"direction"}, "lost_when_cold": {"direction"}},
            "", "reversed", "reversed", "normal",
        ),
        (
            {"route_matters": {"direction"}, "lost_when_cold": {"direction"}},
            ROUTE, "reversed", "reversed", "reversed",
        ),
        ({"ignores": {"direction"}}, "", "reversed", "normal", "normal"),
    ],
)  # fmt: skip
def test_each_way_of_storing(
    behaviour: dict[str, Any], route: str, in_session: str, after_key: str, after_cold: str
) -> None:
    behaviour = {name: frozenset(roles) for name, roles in behaviour.items()}
    held = written(controller(**behaviour), "direction", "reversed", route)
    assert held.read("direction") == in_session
    assert after(held, cold=False) == after_key
    assert after(held, cold=True) == after_cold


def test_an_ignored_write_shows_until_the_program_is_connected_afresh() -> None:
    held = written(controller(ignores=frozenset({"direction"})), "direction", "reversed")
    assert held.read("direction") == "reversed"
    assert held.obeyed("direction") == "normal"
    held.connect()
    assert held.read("direction") == "normal"


def test_a_lost_setting_falls_back_to_its_default_where_it_has_one() -> None:
    held = controller(never_stored=frozenset({"speed"}), defaults={"speed": 99.0})
    written(held, "speed", 5.0)
    held.power_lost(cold=False)
    assert held.obeyed("speed") == 99.0


def test_one_setting_changes_another() -> None:
    held = written(
        controller(changes_others={"direction": ("speed", 3.0)}), "direction", "reversed"
    )
    assert held.read("speed") == 3.0


def test_a_clamp_cuts_off_without_a_word_and_is_read_back() -> None:
    held = written(controller(clamps={"speed": 8.0}), "speed", 12.0)
    assert held.read("speed") == 8.0


def test_a_stored_number_drifts_in_the_cold_only() -> None:
    held = written(controller(drifts={"speed": 0.9}), "speed", 10.0)
    held.power_lost(cold=False)
    assert held.obeyed("speed") == 10.0
    held.power_lost(cold=True)
    assert held.obeyed("speed") == pytest.approx(9.0)


def test_a_setting_can_be_held_and_not_obeyed() -> None:
    held = written(controller(not_obeyed=frozenset({"cut"})), "cut", value=True)
    assert held.read("cut") is True
    assert held.obeyed("cut") is False


def test_a_stale_screen_shows_its_file_until_connected_afresh() -> None:
    held = controller(stale_screen=True, last_file={"direction": "reversed"}, clamps={"speed": 8.0})
    held.fetch()
    assert held.read("direction") == "reversed"
    written(held, "speed", 12.0)
    assert held.read("speed") == 12.0
    held.connect()
    assert (held.read("direction"), held.read("speed")) == ("normal", 8.0)


def test_an_update_leaves_the_factory_settings() -> None:
    held = written(controller(factory={"speed": 77.0}), "direction", "reversed")
    held.reset("2")
    held.connect()
    assert (held.read("direction"), held.read("speed")) == ("normal", 77.0)


@given(st.lists(st.tuples(st.sampled_from(["enter", "save", "key", "cold", "connect", "fetch"]),
                          st.floats(0, 100)), max_size=12))  # fmt: skip
def test_after_a_fresh_connection_the_screen_is_what_the_controller_works_with(
    doings: list[tuple[str, float]],
) -> None:
    held = controller(never_stored=frozenset({"speed"}))
    for doing, number in doings:
        if doing == "enter":
            held.enter("speed", number)
        elif doing in ("key", "cold"):
            held.power_lost(cold=doing == "cold")
        else:
            getattr(held, doing)()
    held.connect()
    assert held.screen == held.working
    held.power_lost(cold=False)
    assert held.working["speed"] == 10.0
