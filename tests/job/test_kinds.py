"""How each step kind asks, takes and judges; every draft is put to `advance`."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest

from commission.calculators import catalogue
from commission.errors import RefusedError
from commission.job import moves
from commission.job.judge import judge_again
from commission.job.kinds import HANDLERS
from commission.job.pieces import IN_PIECES
from commission.job.state import Status
from commission.job.statistics import circular_summary
from commission.job.values import values
from commission.procedure.model import KINDS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.state import Answer

SETTINGS: list[dict[str, Any]] = [
    {"id": "amps", "label": "Phase current", "type": "quantity", "unit": "A",
     "equal_within": "2[%]", "intended": "100[A]"},
    {"id": "way", "label": "Direction", "type": "choice", "choices": ["normal", "reversed"],
     "intended": "reversed"},
]  # fmt: skip
FOUND = {"kind": "read_back", "id": "found", "settings": "all"}
WRITE = {"kind": "write", "id": "set", "settings": ["amps", "way"]}
WHEEL = {"kind": "observe", "id": "wheel", "options": ["ahead", "back"], "expected": "ahead"}
CYCLE: dict[str, Any] = {
    "kind": "power_cycle", "id": "proof", "cycle": "key", "cycles": 2, "off_for": "10[s]",
}  # fmt: skip


class Job:
    """A job driven through moves by one technician."""

    def __init__(self, told: Any) -> None:
        self.told = told

    def give(self, step: str, **given: Any) -> str:
        """Give one piece and return its part's name."""
        part = str(self.asking(step).part)
        for draft in moves.submit(self.told.state, step, given, "Ada", self.told.now()):
            self.told.tell(draft.kind, draft.step, draft.body, draft.by, draft.attempt)
        return part

    def refused(self, step: str, **given: Any) -> str:
        with pytest.raises(RefusedError) as caught:
            moves.submit(self.told.state, step, given, "Ada", self.told.now())
        return caught.value.diagnostics()

    def correct(self, step: str, parts: Mapping[str, Mapping[str, str]]) -> Answer:
        drafts = moves.correct(self.told.state, step, parts, "misread", "Ada", self.told.now())
        for draft in drafts:
            self.told.tell(draft.kind, draft.step, draft.body, draft.by, draft.attempt)
        return self.answer(step)

    def asking(self, step: str) -> Any:
        return moves.asking(self.told.state, step, self.told.now())

    def answer(self, step: str) -> Answer:
        answer = self.told.step(step).answer
        assert answer is not None
        assert judge_again(answer.judged) == answer.verdict
        return answer  # type: ignore[no-any-return]

    def prepared(self) -> Job:
        """Read and write the settings."""
        self.give("found", amps="80", way="normal")
        self.give("set", amps="100", way="reversed")
        return self

    def cycle(self, **cells: str) -> None:
        """Go through one key cycle of `proof`."""
        self.give("proof", value="done")
        self.told.wait(10)
        self.give("proof", value="done")
        self.give("proof", **cells)


@pytest.fixture
def job(told: Callable[..., Any]) -> Callable[..., Job]:
    return lambda *steps, **head: Job(told(*steps, **head))


def test_every_kind_has_a_handler_that_agrees_about_pieces() -> None:
    assert set(HANDLERS) == {*KINDS, "fact"}
    assert {kind for kind, handler in HANDLERS.items() if handler.in_pieces} == IN_PIECES


def test_a_reading_near_its_limit_is_marginal_by_its_instrument(job: Callable[..., Job]) -> None:
    meter = {"id": "meter", "label": "Meter", "kind": "multimeter", "percent": 0.5, "counts": 2}
    pack = {"kind": "measure", "id": "pack", "unit": "V", "limits": {"max": "58.8[V]"}}
    plain, sure = job(pack), job({**pack, "instrument": "meter"}, equipment=[meter])
    plain.give("pack", value="58.6")
    sure.give("pack", value="58.6")
    assert plain.told.status("pack") is Status.PASSED
    assert sure.told.status("pack") is Status.MARGINAL
    assert "uncertainty" in sure.answer("pack").because


def test_identification_is_judged_by_form_and_expectation(job: Callable[..., Job]) -> None:
    step = {"kind": "identify", "id": "unit", "fields": [
        {"id": "serial", "label": "Serial", "pattern": r"[A-Z]{2}\d{4}"},
        {"id": "version", "label": "Version", "expected": "'2.1'"},
    ]}  # fmt: skip
    one = job({**step, "on_fail": {"retry": 5}})
    assert [ask.criterion for ask in one.asking("unit").asks] == [r"form [A-Z]{2}\d{4}", "2.1"]
    one.give("unit", serial="AB123", version="2.1")
    assert one.answer("unit").because == r"Serial AB123 does not have the form [A-Z]{2}\d{4}."
    one.give("unit", serial="AB1234", version="2.0")
    assert one.answer("unit").because == "Version is 2.0; expected: 2.1."
    one.give("unit", serial="AB1234", version="2.1")
    assert one.told.status("unit") is Status.PASSED
    assert values(one.told.state)["unit.serial"] == "AB1234"


def test_settings_are_read_in_any_pieces(job: Callable[..., Job]) -> None:
    one = job(FOUND, settings=SETTINGS)
    asking = one.asking("found")
    assert (asking.some, asking.done, asking.total) == (True, 0, 2)
    assert [ask.offered for ask in asking.asks] == ["", ""]
    assert one.give("found", way="NORMAL") == "cells-1"
    assert [ask.name for ask in one.asking("found").asks] == ["amps"]
    assert "Nothing was entered" in one.refused("found", amps=" ")
    assert "not asked here" in one.refused("found", way="normal")
    assert one.give("found", amps="80.0") == "cells-2"
    assert one.told.status("found") is Status.PASSED
    again = one.correct("found", {"cells-2": {"amps": "81"}})
    assert again.parts["cells-1"] == {"way": "normal"}
    assert one.told.state.settings["amps"].found.given == {"typed": "81", "unit": "A"}


def test_a_second_reading_says_what_changed_and_leaves_the_first_as_found(
    job: Callable[..., Job],
) -> None:
    one = job(FOUND, {**FOUND, "id": "later"}, settings=SETTINGS)
    one.give("found", amps="80", way="normal")
    one.give("later", amps="80", way="reversed")

    answer = one.answer("later")
    assert answer.verdict == "pass"
    assert answer.because.startswith("2 settings read again, 1 changed. ")
    assert answer.because.endswith(" was normal, is reversed.")
    assert answer.judged["changed"] == ["way"]
    assert one.told.state.settings["way"].found.given == "normal"


def test_what_an_earlier_job_left_is_taken_from_its_record(job: Callable[..., Job]) -> None:
    cycle = {**CYCLE, "cycles": 1, "settings": "all"}
    one = job({**FOUND, "source": "record"}, cycle, settings=SETTINGS)
    assert "earlier record" in one.asking("found").say
    one.give("found", amps="80", way="normal")
    assert one.answer("found").because == "2 settings taken from the earlier record."
    one.cycle(amps="80", way="reversed")

    assert one.told.status("proof") is Status.FAILED
    assert "drifted" in one.answer("proof").because


def test_a_write_that_did_not_take_names_the_setting(job: Callable[..., Job]) -> None:
    one = job(FOUND, WRITE, settings=SETTINGS)
    one.give("found", amps="80", way="normal")
    assert [ask.criterion for ask in one.asking("set").asks] == ["100 A", "reversed"]
    one.give("set", amps="101.9", way="normal")
    assert one.told.status("set") is Status.FAILED
    assert one.answer("set").because == (
        "Direction did not take: it reads normal; intended is reversed."
    )
    one.give("set", amps="101.9", way="reversed")
    assert one.told.status("set") is Status.PASSED
    assert one.told.state.settings["amps"].intended == {"typed": "100", "unit": "A"}


def test_an_intended_value_that_is_not_known_cannot_be_met(job: Callable[..., Job]) -> None:
    fact = {"id": "wanted", "label": "Wanted", "type": "quantity", "unit": "A", "optional": True}
    setting = {**SETTINGS[0], "intended": "wanted"}
    write = {**WRITE, "settings": ["amps"]}
    one = job(FOUND, write, settings=[setting], facts=[fact])
    one.give("wanted")
    one.give("found", amps="80")
    assert one.asking("set").asks[0].criterion.startswith("not known: wanted")
    one.give("set", amps="100")
    assert one.told.status("set") is Status.FAILED
    assert "cannot be judged" in one.answer("set").because


def test_a_setting_without_an_intended_value_stays_as_found(job: Callable[..., Job]) -> None:
    setting = {name: value for name, value in SETTINGS[1].items() if name != "intended"}
    one = job(FOUND, {**WRITE, "settings": ["way"]}, settings=[setting])
    one.give("found", way="normal")
    assert one.asking("set").asks[0].criterion == "normal, as found"
    one.give("set", way="reversed")
    assert one.told.status("set") is Status.FAILED


def test_a_power_cycle_reads_everything_written_after_each_cycle(job: Callable[..., Job]) -> None:
    one = job(FOUND, WRITE, CYCLE, settings=SETTINGS).prepared()
    assert one.asking("proof").say == "Cycle 1 of 2: switch the key off, then confirm."
    assert one.give("proof", value="done") == "1:off"
    one.told.wait(4)
    wait = one.asking("proof").wait
    assert (wait.seconds, wait.remaining) == (10.0, 6.0)
    assert "Wait another 6 s." in one.refused("proof", value="done")
    one.told.wait(6)
    assert one.give("proof", value="done") == "1:on"
    assert [ask.criterion for ask in one.asking("proof").asks] == [
        "100 A, as written", "reversed, as written",
    ]  # fmt: skip
    assert one.give("proof", way="reversed") == "1:read-1"
    assert one.give("proof", amps="100") == "1:read-2"
    one.cycle(amps="100", way="reversed")
    assert one.told.status("proof") is Status.PASSED
    assert one.answer("proof").because == "After 2 key cycles 2 settings held."


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"amps": "80", "way": "reversed"}, "Phase current reverted in cycle 1: it reads 80 A"),
        ({"amps": "120", "way": "reversed"}, "Phase current drifted in cycle 1: it reads 120 A"),
        ({"amps": "101", "way": "normal"}, "Direction reverted in cycle 1: it reads normal"),
    ],
)
def test_a_power_cycle_ends_with_the_first_that_fails_and_names_what_changed(
    job: Callable[..., Job], cells: dict[str, str], words: str
) -> None:
    one = job(FOUND, WRITE, CYCLE, settings=SETTINGS).prepared()
    one.cycle(**cells)
    assert one.told.status("proof") is Status.FAILED
    assert words in one.answer("proof").because
    assert "held" not in one.answer("proof").because


def test_a_cold_cycle_waits_until_the_bus_is_seen_discharged(job: Callable[..., Job]) -> None:
    cold = {**CYCLE, "cycle": "cold", "cycles": 1, "below": "5[V]"}
    one = job(FOUND, WRITE, cold, settings=SETTINGS).prepared()
    one.give("proof", value="done")
    assert "Wait another 10 s." in one.refused("proof", value="1.0")
    one.told.wait(10)
    assert one.asking("proof").asks[0].criterion == "below 5.000 V"
    assert one.give("proof", value="5.0") == "1:bus"
    assert "not yet low enough" in one.asking("proof").say
    assert one.give("proof", value="4900 mV") == "1:bus"
    assert one.give("proof", value="done") == "1:on"
    one.give("proof", amps="100", way="reversed")
    assert one.told.status("proof") is Status.PASSED
    again = one.correct("proof", {"1:bus": {"value": "49"}})
    assert again.verdict == "fail"
    assert "was not seen discharged" in again.because


def test_a_power_cycle_repeats_observations_but_for_those_not_applicable(
    job: Callable[..., Job],
) -> None:
    fact = {"id": "fitted", "label": "Lever fitted", "type": "yes_no"}
    light = {"kind": "observe", "id": "light", "options": ["on", "off"], "expected": "on",
             "when": "fitted"}  # fmt: skip
    cycle = {**CYCLE, "cycles": 1, "observe": ["wheel", "light"]}
    one = job(FOUND, WRITE, WHEEL, light, cycle, settings=SETTINGS, facts=[fact])
    one.give("fitted", value="no")
    one.prepared().give("wheel", value="ahead")
    (skipped,) = moves.automatic(one.told.state, one.told.now())
    one.told.tell(skipped.kind, skipped.step, skipped.body, skipped.by, skipped.attempt)
    one.cycle(amps="100", way="reversed")
    assert [ask.name for ask in one.asking("proof").asks] == ["wheel"]
    assert "nothing was entered" in one.refused("proof", wheel="")
    one.give("proof", wheel="back")
    assert "Seen: back; expected: ahead." in one.answer("proof").because


def series(**column: Any) -> dict[str, Any]:
    made = {"id": "offset", "label": "Offset", "unit": "deg", **column}
    return {"kind": "series", "id": "runs", "runs": 3, "columns": [made]}


@pytest.mark.parametrize(
    ("column", "verdict", "words"),
    [
        ({"circular": True, "target": "0[deg]", "within": "2[deg]"}, "pass", "in 3 runs"),
        ({"circular": True, "target": "356[deg]", "within": "2[deg]"}, "fail", "from its target"),
        ({"target": "0[deg]", "within": "2[deg]"}, "fail", "from its target"),
        ({"circular": True, "min": "-5[deg]", "max": "5[deg]"}, "pass", "in 3 runs"),
        ({"circular": True, "min": "355[deg]", "max": "365[deg]"}, "pass", "in 3 runs"),
        ({"circular": True, "spread": "1.9[deg]"}, "fail", "standard deviation 2.000 deg is 0.100"),
        ({"circular": True, "spread": "2.01[deg]"}, "pass", "in 3 runs"),
        ({"circular": True, "range": "3[deg]"}, "fail", "range 4.000 deg is"),
        ({"circular": True, "range": "4[deg]"}, "pass", "in 3 runs"),
        ({"circular": True, "within": "2[deg]"}, "fail", "no target is given"),
    ],
)
def test_a_series_is_judged_by_statistics_around_the_circle(
    job: Callable[..., Job], column: dict[str, Any], verdict: str, words: str
) -> None:
    """358°, 0° and 2°: mean 0°, sample standard deviation 2.0° of plain differences, range 4°."""
    one = job(series(**column))
    for angle in ("358", "0", "2"):
        one.give("runs", offset=angle)
    assert (one.answer("runs").verdict, words in one.answer("runs").because) == (verdict, True)


def test_a_series_makes_its_statistics_known(job: Callable[..., Job]) -> None:
    one = job({**series(unit="V"), "runs": 4})
    for volts in ("2", "4", "4", "6"):
        one.give("runs", offset=volts)
    known = values(one.told.state)
    assert known["runs.offset"] == 4.0
    assert known["runs.offset.spread"] == pytest.approx(math.sqrt(8 / 3))
    assert known["runs.offset.range"] == 4.0
    assert known["runs.offset.runs"] == (2.0, 4.0, 4.0, 6.0)
    one.correct("runs", {"run-4": {"offset": "2"}})
    assert known["runs.offset"] == 4.0, "a view of the state it was made of"
    assert values(one.told.state)["runs.offset"] == 3.0


def test_opposite_angles_have_no_mean_and_fail(job: Callable[..., Job]) -> None:
    one = job({**series(circular=True, spread="10[deg]"), "runs": 2})
    for angle in ("0", "180"):
        one.give("runs", offset=angle)
    assert one.told.status("runs") is Status.FAILED
    assert one.answer("runs").judged["values"]["offset"] is None


def test_the_series_agrees_with_the_calculator_for_the_same_runs() -> None:
    angles = tuple(math.radians(angle) for angle in (58.5, 61.0, 60.2, 59.4, 60.9))
    found = circular_summary(angles)
    made = catalogue.compute("sensor-spread", {"angles": angles}).outputs
    assert made["mean"] == pytest.approx(found.mean)
    assert made["spread"] == pytest.approx(found.spread)
    assert made["range"] == pytest.approx(found.range)


SWEEP: dict[str, Any] = {
    "kind": "sweep", "id": "lever", "x": {"label": "Travel", "unit": "%"},
    "y": {"label": "Signal", "unit": "V"},
}  # fmt: skip


def test_a_sweep_goes_through_its_points_and_judges_the_line(job: Callable[..., Job]) -> None:
    """Eleven points of a hand lever; slope and deviation by scipy.stats.linregress."""
    signal = "0.86 1.19 1.53 1.85 2.20 2.54 2.86 3.19 3.54 3.87 4.19"
    points = [f"{place * 10}[%]" for place in range(11)]
    one = job({**SWEEP, "points": points, "deviation": "0.02[V]", "monotonic": True,
               "slope_min": "3.3[V]", "slope_max": "3.4[V]"})  # fmt: skip
    for place, volts in enumerate(signal.split()):
        assert one.asking("lever").asks[0].offered == str(place * 10)
        one.give("lever", x=str(place * 10), y=volts)
    answer = one.answer("lever")
    assert answer.verdict == "pass"
    known = answer.judged["values"]
    assert known["slope"] / 100 == pytest.approx(0.0334, rel=1e-5)
    assert known["intercept"] == pytest.approx(0.8590909, rel=1e-6)
    assert known["deviation"] == pytest.approx(0.0033206 * 3.34, rel=1e-4)
    assert "Slope 0.03340 V per %" in answer.because


def test_a_sweep_of_the_technicians_choosing_ends_when_they_say_so(
    job: Callable[..., Job],
) -> None:
    one = job({**SWEEP, "at_least": 3, "monotonic": True})
    for x, y in (("0", "1"), ("10", "2")):
        assert [ask.name for ask in one.asking("lever").asks] == ["x", "y"]
        one.give("lever", x=x, y=y)
    assert [ask.name for ask in one.asking("lever").asks] == ["x", "y", "more"]
    assert one.asking("lever").total == 0
    one.give("lever", x="20", y="3", more="yes")
    assert one.told.status("lever") is Status.PARTLY
    one.give("lever", x="30", y="2.5", more="no")
    assert one.answer("lever").because == "Signal turns back."


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        ({"deviation": "0.1[V]"}, "largest deviation from the line 0.3333 V is"),
        ({"slope_max": "9[V]"}, "The slope 0.1000 V per % is"),
        ({"slope_min": "11[V]"}, "below the smallest allowed"),
    ],
)
def test_a_sweep_fails_by_deviation_or_slope(
    job: Callable[..., Job], limits: dict[str, str], words: str
) -> None:
    """0, 1.5, 2 V at 0, 10, 20 %: slope 0.1 V/%, residuals -1/6, 1/3, -1/6 V by hand."""
    one = job({**SWEEP, "points": ["0[%]", "10[%]", "20[%]"], **limits})
    for x, y in (("0", "0"), ("10", "1.5"), ("20", "2")):
        one.give("lever", x=x, y=y)
    assert one.answer("lever").verdict == "fail"
    assert words in one.answer("lever").because


def test_a_sweep_without_two_different_x_has_no_line(job: Callable[..., Job]) -> None:
    one = job({**SWEEP, "points": ["0[%]", "10[%]", "20[%]"]})
    for _ in range(3):
        one.give("lever", x="5", y="1")
    assert one.answer("lever").verdict == "fail"
    assert "two different x" in one.answer("lever").because


CALCULATE: dict[str, Any] = {
    "kind": "calculate", "id": "window", "calculator": "pack-voltage", "judge": "full_voltage",
    "inputs": {"series": "series", "full": "4.2[V]"}, "limits": {"max": "60[V]"},
}  # fmt: skip
SERIES = {"id": "series", "label": "Cells", "type": "integer", "unit": "cells"}


def test_a_calculation_with_all_inputs_bound_says_its_result_and_is_taken(
    job: Callable[..., Job],
) -> None:
    """14 cells of 4.2 V make 58.8 V, below class B; 15 make 63.0 V (ISO 6469-3 counts from 60)."""
    one = job(CALCULATE, facts=[SERIES])
    one.give("series", value="14")
    assert "58.80 V" in one.asking("window").say
    one.give("window", value="done")
    answer = one.answer("window")
    assert answer.verdict == "pass"
    assert answer.judged["calculator"] == "pack-voltage"
    assert answer.judged["version"] == catalogue.get("pack-voltage").version
    assert values(one.told.state)["window.full_voltage"] == pytest.approx(58.8)
    one.correct("series", {"": {"value": "15"}})
    one.give("window", value="done")
    assert one.told.status("window") is Status.FAILED
    assert "above the largest allowed 60" in one.answer("window").because


def asked_for(job: Callable[..., Job], calculator: str, **inputs: str) -> list[tuple[str, bool]]:
    step = {"kind": "calculate", "id": "sum", "calculator": calculator, "inputs": inputs}
    return [(ask.name, ask.optional) for ask in job(step).asking("sum").asks]


def test_a_calculation_whose_bound_inputs_are_enough_asks_for_nothing_more(
    job: Callable[..., Job],
) -> None:
    assert asked_for(job, "pack-voltage", series="14") == [("value", False)]
    assert asked_for(
        job, "wheel-speed", speed="50[km/h]", ratio="4", rollout="2[m]"
    ) == [("value", False)]  # fmt: skip


def test_of_alternatives_the_one_begun_is_asked_for_whole(job: Callable[..., Job]) -> None:
    bound = {"speed": "50[km/h]", "mass": "200[kg]", "constant": "8[N]"}
    assert asked_for(job, "road-load", **bound) == [
        ("quadratic", False), ("density", True), ("gradient", True),
    ]  # fmt: skip


def test_alternatives_not_begun_are_all_offered(job: Callable[..., Job]) -> None:
    assert asked_for(job, "wheel-speed", ratio="4", rollout="2[m]") == [
        ("motor_speed", True), ("speed", True), ("value", False),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("measured", "verdict", "words"),
    [("60[kΩ]", "pass", "yes, as it must be"), ("30[kΩ]", "fail", "no; it must be yes.")],
)
def test_a_limit_can_ask_for_a_yes(
    job: Callable[..., Job], measured: str, verdict: str, words: str
) -> None:
    """84 V, combined bus: 500 Ω/V of UN R136 make 42 kΩ."""
    one = job({
        "kind": "calculate", "id": "isolation", "calculator": "isolation-resistance",
        "inputs": {"voltage": "84[V]", "topology": "'combined'", "measured": measured},
        "judge": "passes", "limits": {"is": True},
    })  # fmt: skip
    assert "the measured isolation suffices: yes" in one.asking("isolation").asks[0].criterion
    one.give("isolation", value="done")
    answer = one.answer("isolation")
    assert answer.verdict == verdict == judge_again(answer.judged)
    assert words in answer.because


def test_a_limit_can_ask_for_a_text(job: Callable[..., Job]) -> None:
    fact = {"id": "fitted", "label": "Sensor", "type": "choice", "choices": ["Pt1000", "KTY84"]}
    step = {
        "kind": "calculate", "id": "sensor", "calculator": "sensor-at-ambient",
        "inputs": {"resistance": "603[Ω]", "ambient": "25[degC]"},
        "judge": "kind", "limits": {"is": "fitted"},
    }  # fmt: skip
    one = job(step, facts=[fact])
    one.give("fitted", value="Pt1000")
    one.give("sensor", value="done")
    assert one.answer("sensor").verdict == "fail"
    assert "nearest kind: KTY84; it must be Pt1000." in one.answer("sensor").because
    one.correct("fitted", {"": {"value": "KTY84"}})
    assert one.told.status("sensor") is Status.DUE_AGAIN


def test_a_calculation_asks_for_what_is_not_bound_and_refuses_the_impossible(
    job: Callable[..., Job],
) -> None:
    one = job({**CALCULATE, "inputs": {}})
    asked = {ask.name: ask for ask in one.asking("window").asks}
    assert asked["series"].type == "integer"
    assert not asked["series"].optional
    assert asked["chemistry"].optional
    assert "series" in one.refused("window", series="-3")
    one.give("window", series="14", chemistry="NMC", full="4.2")
    assert one.answer("window").judged["inputs"]["full"] == 4.2


def test_a_calculation_on_nothing_known_fails_with_the_name(job: Callable[..., Job]) -> None:
    one = job(CALCULATE, facts=[{**SERIES, "optional": True}])
    one.give("series")
    assert "series has no value" in one.asking("window").say
    one.give("window", value="done")
    assert one.told.status("window") is Status.FAILED


def test_a_calculation_on_impossible_facts_fails_instead_of_stopping_the_screen(
    job: Callable[..., Job],
) -> None:
    one = job(CALCULATE, facts=[SERIES])
    one.give("series", value="0")
    one.give("window", value="done")
    assert one.told.status("window") is Status.FAILED
    assert "series" in one.answer("window").because


def test_a_file_is_kept_by_its_description(job: Callable[..., Job]) -> None:
    one = job({"kind": "attach", "id": "photo", "what": "Photo", "types": [".jpg", ".png"]})
    good = {"name": "Label.JPG", "sha256": "a" * 64, "size": 3}
    for wrong, words in (
        ("label.jpg", "no file kept"),
        ({**good, "name": "label.exe"}, "not of an accepted type"),
        ({**good, "sha256": "A" * 64}, "not whole"),
        ({**good, "size": -1}, "not whole"),
        ({**good, "more": 1}, "no file kept"),
        ("", "nothing was entered"),
    ):
        assert words in one.refused("photo", value=wrong)
    one.give("photo", value=good)
    assert one.answer("photo").because.startswith("Kept Label.JPG, 3 bytes, aaaa")


def test_a_witness_is_not_who_signed_the_work(job: Callable[..., Job]) -> None:
    done = {"kind": "sign_off", "id": "done", "meaning": "done"}
    seen = {"kind": "sign_off", "id": "seen", "meaning": "witnessed", "role": "witness"}
    one = job(done, seen)
    (draft,) = moves.submit(one.told.state, "done", {"value": "yes"}, "Ben", one.told.now())
    one.told.tell(draft.kind, draft.step, draft.body, draft.by, draft.attempt)
    with pytest.raises(RefusedError, match="cannot witness"):
        moves.submit(one.told.state, "seen", {"value": "yes"}, "Ben", one.told.now())
    with pytest.raises(RefusedError, match="signature cannot be corrected"):
        one.correct("done", {"": {"value": "yes"}})
