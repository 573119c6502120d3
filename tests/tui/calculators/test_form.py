"""The form: a result at every key, units changed on the fly, asked back, refused, kept, plotted."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

import pytest

from commission.calculators.catalogue import compute
from commission.tui.calculated import NO_PERMISSION
from commission.tui.calculators.form import CalculatorForm
from commission.tui.home.screen import Home

if TYPE_CHECKING:
    from pathlib import Path


async def test_the_result_follows_every_key(form_on: Any, shown: Any) -> None:
    async with form_on("wheel-speed") as hands:
        assert "No result yet. Type: turns of the motor" in shown(hands.app)
        await hands.type("ratio", "7.5")
        await hands.type("rollout", "2.07")
        assert "motor speed or road speed" in shown(hands.app)
        await hands.type("motor_speed", "500")
        # By hand: 500/60 turns a second, 2.07 m a turn, geared 7.5 times down.
        assert hands.answer("road_speed") == pytest.approx(500 / 60 / 7.5 * 2.07)
        await hands.pilot.press("0")
        assert hands.answer("road_speed") == pytest.approx(5000 / 60 / 7.5 * 2.07)
        assert "82.80" in shown(hands.app)
        assert NO_PERMISSION.removesuffix(".") in " ".join(shown(hands.app).split())


async def test_typing_into_an_alternative_empties_the_other(form_on: Any, shown: Any) -> None:
    async with form_on("wheel-speed") as hands:
        await hands.type("ratio", "7.5")
        await hands.type("rollout", "2.07")
        await hands.type("motor_speed", "5000")
        await hands.type("speed", "50")
        assert hands.form.sheet.entries["motor_speed"].is_empty
        assert "or this instead" in shown(hands.app)
        assert hands.form.result.refusal == ""
        assert hands.answer("road_speed") == pytest.approx(50 / 3.6)


async def test_a_key_changes_the_unit_and_no_value(form_on: Any, shown: Any) -> None:
    async with form_on("wheel-speed") as hands:
        await hands.type("ratio", "7.5")
        await hands.type("rollout", "2.07")
        await hands.type("speed", "35")
        before = hands.answer("wheel_turns")
        for text, unit in (("21.7", "mph"), ("9.7", "m/s"), ("35", "km/h")):
            await hands.pilot.press("f3")
            entry = hands.form.sheet.entries["speed"]
            assert (entry.unit, hands.form.in_hand.field.value) == (unit, entry.text)
            assert entry.text.startswith(text)
            assert hands.answer("wheel_turns") == before
            if unit == "mph":
                assert "typed 35 km/h" in shown(hands.app)
        await hands.go("road_speed", output=True)
        await hands.pilot.press("f3")
        assert "21.75" in shown(hands.app)
        assert hands.form.sheet.units["road_speed"] == "mph"


async def test_a_unit_typed_behind_the_number_is_taken(form_on: Any, shown: Any) -> None:
    async with form_on("wheel-speed") as hands:
        await hands.type("ratio", "7.5")
        await hands.type("rollout", "2.07")
        await hands.type("speed", "35 mph")
        # 1 mi = 1609.344 m exactly (BIPM, NIST SP 811, from memory).
        assert hands.answer("road_speed") == pytest.approx(35 * 1609.344 / 3600)
        await hands.pilot.press("enter")
        assert hands.form.sheet.entries["speed"].text == "35"
        assert hands.form.sheet.entries["speed"].unit == "mph"
        assert "56.33" in shown(hands.app)


async def test_a_result_asked_back_is_answered_and_taken(form_on: Any, shown: Any) -> None:
    async with form_on("precharge") as hands:
        await hands.type("voltage", "84")
        await hands.type("capacitance", "2000")
        await hands.type("time", "0.5", output=True)
        # First-order charging by hand: R = t / (C·ln 20) for 95 %.
        by_hand = 0.5 / (2e-3 * math.log(20.0))
        assert hands.form.result.solved == "resistance"
        assert hands.form.result.solution.value == pytest.approx(by_hand)
        assert "= 83.4521 gives it" in shown(hands.app)
        assert hands.answer("time") == pytest.approx(0.5)
        await hands.pilot.press("enter")
        assert hands.form.sheet.wanted == ""
        assert hands.form.sheet.entries["resistance"].text == "83.4521"
        assert hands.form.in_hand.of == "resistance"
        assert hands.answer("time") == pytest.approx(0.5, rel=1e-5)


async def test_another_input_can_be_solved_for(form_on: Any, shown: Any) -> None:
    async with form_on("precharge") as hands:
        await hands.pilot.press("f7")
        await hands.type("time", "0.3", output=True)
        # The time goes with τ = R·C; the voltage has no part in it, so it is passed over.
        assert hands.form.result.solved == "capacitance"
        await hands.pilot.press("f4")
        assert hands.form.result.solved == "resistance"
        assert hands.form.result.solution.value == pytest.approx(100.0 * 0.3 / 0.59915, rel=1e-4)
        assert "F4 solves for another input" in shown(hands.app)
        await hands.pilot.press("f4", "f4", "f4")
        assert hands.form.result.solved == "voltage"
        assert "does not depend on “pack fully charged”" in shown(hands.app)


async def test_what_has_no_single_answer_is_refused_with_a_reason(form_on: Any, shown: Any) -> None:
    async with form_on("pack-sag") as hands:
        await hands.type("open_voltage", "84")
        await hands.type("resistance", "50")
        await hands.type("loss", "500", output=True)
        while hands.form.result.solved != "current":
            await hands.pilot.press("f4")
        text = " ".join(shown(hands.app).split())
        assert "Not one answer: it is 500.0 W at -100 A and 100 A." in text
        assert hands.form.result.answers == {}


async def test_a_choice_goes_on_with_the_unit_key_or_by_its_first_letters(form_on: Any) -> None:
    async with form_on("silicon-sensor") as hands:
        await hands.type("resistance", "1000")
        await hands.go("family")
        await hands.pilot.press("f3")
        assert hands.form.sheet.entries["family"].text == "KTY81-1"
        assert hands.answer("sensor_temperature") == pytest.approx(298.15, abs=0.5)
        await hands.type("family", "kty84")
        by_name = compute("silicon-sensor", {"family": "KTY84", "resistance": 1000.0}).outputs
        assert hands.answer("sensor_temperature") == by_name["sensor_temperature"]


@pytest.mark.parametrize(
    ("typed", "beside", "below"),
    [
        ("-5", "! 0 or more mΩ", "It must be at least 0 mΩ"),
        ("3,5", "! not understood", "has a comma"),
        ("5 V", "! not understood", "cannot be turned into mΩ"),
        ("900", "? usual 5 to 300", "Not usual; usual is 5 to 300 mΩ"),
    ],
)
async def test_what_is_wrong_or_doubtful_is_said_beside_its_field(
    form_on: Any, shown: Any, typed: str, beside: str, below: str
) -> None:
    async with form_on("pack-sag") as hands:
        await hands.type("open_voltage", "84")
        await hands.type("current", "10")
        await hands.type("resistance", typed)
        line = next(line for line in shown(hands.app).splitlines() if "pack resistance" in line)
        assert beside in line
        assert below in " ".join(shown(hands.app).split())
        assert bool(hands.form.result.answers) == beside.startswith("?")


async def test_no_result_says_why_where_no_field_alone_is_wrong(form_on: Any, shown: Any) -> None:
    async with form_on("precharge") as hands:
        await hands.pilot.press("f7")
        await hands.type("load_current", "5")
        assert "No result: precharge: with 5 A drawn the voltage stops" in shown(hands.app)


async def test_the_plot_marks_the_present_point_and_follows(form_on: Any, shown: Any) -> None:
    async with form_on("pack-sag") as hands:
        await hands.pilot.press("f7", "f5")
        await hands.until(hands.pilot, lambda: "against battery current A" in shown(hands.app))
        first = shown(hands.app)
        assert first.count("●") == 2  # one in the legend
        await hands.type("power", "5")
        assert shown(hands.app) != first
        await hands.pilot.press("f5")
        await hands.until(
            hands.pilot, lambda: "power at the terminals kW against" in shown(hands.app)
        )
        await hands.pilot.press("f6")
        await hands.until(hands.pilot, lambda: "Formula" in shown(hands.app))


async def test_values_and_units_are_kept_for_the_next_time(form_on: Any, shown: Any) -> None:
    async with form_on("wheel-speed") as hands:
        await hands.type("ratio", "7.5")
        await hands.type("speed", "35")
        await hands.pilot.press("f3")
        await hands.pilot.press("f10")
        await hands.until(hands.pilot, lambda: isinstance(hands.app.screen, Home))
    async with form_on("wheel-speed") as hands:
        assert hands.form.sheet.entries["ratio"].text == "7.5"
        entry = hands.form.sheet.entries["speed"]
        assert (entry.text, entry.unit) == ("21.7", "mph")
        assert entry.si() == pytest.approx(35 / 3.6)
        assert "typed 35 km/h" in shown(hands.app)
        await hands.pilot.press("f8")
        assert all(entry.is_empty for entry in hands.form.sheet.entries.values())


async def test_quitting_the_app_keeps_them_too(form_on: Any) -> None:
    async with form_on("reduction") as hands:
        await hands.type("driving_teeth", "13")
    async with form_on("reduction") as hands:
        assert hands.form.sheet.entries["driving_teeth"].text == "13"


@pytest.mark.parametrize(
    "content",
    [
        b"", b"{", b"[]", b'{"version": 1}', b"\xff\xfe", b'{"version": 9, "calculators": {}}',
        b'{"version": 1, "calculators": {"wheel-speed": {"inputs": {"ratio": 5}}}}',
        b'{"version": 1, "calculators": {"wheel-speed": {"inputs": {"ratio": [1, 2, 3]}}}}',
        b"[" * 100_000,
    ],
)  # fmt: skip
async def test_a_bad_file_of_last_values_is_passed_over_with_a_notice(
    form_on: Any, shown: Any, tmp_path: Path, content: bytes
) -> None:
    (tmp_path / "bench").mkdir(exist_ok=True)
    path = tmp_path / "bench" / "calculators.json"
    path.write_bytes(content)
    async with form_on("wheel-speed", size=(100, 30)) as hands:
        await hands.until(hands.pilot, lambda: "are passed over" in shown(hands.app))
        await hands.type("ratio", "7")
    assert json.loads(path.read_text())["calculators"]["wheel-speed"]["inputs"]["ratio"][0] == "7"


async def test_kept_values_that_do_not_fit_are_shown_and_refused(
    form_on: Any, shown: Any, tmp_path: Path
) -> None:
    (tmp_path / "bench").mkdir(exist_ok=True)
    inputs = {
        "ratio": ["\x1b[31m[/b]7", "furlong", "ells"], "speed": ["5", "km/h", "mph"],
        "motor_speed": ["9", "r/min", "r/min"], "gone": ["1", "V", "V"],
    }  # fmt: skip
    data = {"version": 1, "calculators": {"wheel-speed": {"inputs": inputs,
            "outputs": {"road_speed": "fathom", "nothing": "V"}}}}  # fmt: skip
    (tmp_path / "bench" / "calculators.json").write_text(json.dumps(data))
    async with form_on("wheel-speed") as hands:
        assert "\x1b" not in shown(hands.app)
        assert "?[31m[/b]7" in shown(hands.app)
        assert hands.form.sheet.entries["ratio"].unit == ""
        assert hands.form.sheet.units["road_speed"] == "km/h"
        assert hands.form.result.remarks["ratio"].kind == "refused"
        given = [not hands.form.sheet.entries[name].is_empty for name in ("speed", "motor_speed")]
        assert sorted(given) == [False, True]


async def test_hostile_text_is_shown_as_it_is_and_refused(form_on: Any, shown: Any) -> None:
    async with form_on("pack-sag") as hands:
        await hands.go("resistance")
        field = hands.form.in_hand.field
        field.value = "\x1b[2J[bold]\u202e5"
        await hands.until(hands.pilot, lambda: "?[2J[bold]?5" in shown(hands.app))
        assert "\x1b" not in shown(hands.app)
        assert hands.form.result.remarks["resistance"].kind == "refused"


async def test_the_result_is_copied_with_what_it_rests_on(form_on: Any) -> None:
    async with form_on("pack-sag") as hands:
        await hands.pilot.press("f2")
        assert hands.app.clipboard == ""
        await hands.pilot.press("f7", "f2")
        lines = hands.app.clipboard.splitlines()
        assert "pack resistance, d.c.: 50 mΩ" in lines
        assert "terminal voltage under load = 62.38 V" in lines
        assert lines[-1] == NO_PERMISSION


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
@pytest.mark.parametrize(
    ("picture", "name", "keys"),
    [
        ("formula", "wheel-speed", ()),
        ("plot", "pack-sag", ("f5",)),
        ("load", "top-speed", ("f5", "f5")),
        ("weakening", "field-weakening", ("f5",)),
    ],
)
async def test_the_form_looks_as_it_did(
    form_on: Any, snapshot: Any, size: tuple[int, int], picture: str, name: str,
    keys: tuple[str, ...],
) -> None:  # fmt: skip
    async with form_on(name, size=size) as hands:
        await hands.pilot.press("f7", *keys)
        await hands.pilot.pause()
        text = snapshot(hands.app, f"calculator-{picture}-{size[0]}x{size[1]}")
        assert "Result" in text
        assert " ".join(text.split()).count("A result is not a permission") >= 1


async def test_the_result_is_seen_where_the_rows_of_results_are_not(
    form_on: Any, shown: Any
) -> None:
    async with form_on("charge-limit") as hands:
        await hands.pilot.press("f7")
        assert "= 26.67 A largest regenerative current" in shown(hands.app)
        # 28 · 4.2 V − 117 V over 60 mΩ: it follows every key.
        await hands.type("open_voltage", "117")
        assert "= 10.00 A largest regenerative current" in shown(hands.app)
        await hands.pilot.press("f8")
        await hands.pilot.pause()
        assert "─No result yet. Type: cells in series;" in shown(hands.app)


async def test_the_example_asked_for_before_units_are_known_comes_once_they_are(
    form_on: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with form_on("precharge") as hands:
        form = CalculatorForm("pack-voltage")
        known = form.Ready(None, "")
        monkeypatch.setattr(form, "_prepare", lambda: None)
        hands.app.push_screen(form)
        await hands.until(hands.pilot, lambda: hands.app.screen is form and form.is_mounted)
        await hands.pilot.press("f7")
        assert form.sheet.entries["series"].is_empty
        form.post_message(known)
        await hands.until(hands.pilot, lambda: bool(form.result.answers))
        assert form.sheet.entries["series"].text == form.sheet.calculator.example.inputs["series"]


async def test_the_label_of_the_field_in_hand_stands_out_from_the_first(form_on: Any) -> None:
    async with form_on("pack-voltage") as hands:
        seen = []
        for key in ("", "down", "up"):
            await hands.pilot.press(*((key,) if key else ()))
            await hands.pilot.pause()
            labels = hands.form.query(".label")
            seen.append([at for at, one in enumerate(labels) if one.text_style.bold])
        assert seen == [[0], [1], [0]]


async def test_a_long_choice_is_read_whole(form_on: Any, shown: Any) -> None:
    async with form_on("isolation-resistance") as hands:
        await hands.pilot.press("f7", "down", "f3")
        assert "▌combined-protected" in shown(hands.app)
