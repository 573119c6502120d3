"""What a series shows while it grows; around the circle where its readings are angles."""

from __future__ import annotations

from commission.procedure.model import Column, Series
from commission.tui.job.series_text import series_lines, series_plot

ANGLE = Column(id="angle", label="sensor", unit="deg", circular=True)
TIME = Column(id="time", label="time", unit="s")
STEP = Series(
    id="runs", kind="series", title="Detect", runs=3, columns=(ANGLE, TIME)
)  # fmt: skip


def run(angle: str, time: str) -> dict[str, dict[str, str]]:
    return {"angle": {"typed": angle, "unit": "deg"}, "time": {"typed": time, "unit": "s"}}


PARTS = {"run-1": run("359", "2.0"), "run-2": run("1", "4.0"), "run-10": run("0", "3.0")}


def test_runs_stand_in_the_order_of_their_numbers() -> None:
    lines = series_lines(STEP, PARTS, shown=2, typed={"angle": "2"})
    assert [line.split()[1] for line in lines if line.startswith("run")] == ["2", "3"]
    assert lines[-1].split() == [">", "run", "4", "2", "…"]


def test_plain_numbers_have_mean_deviation_and_range() -> None:
    # 2, 4, 3: mean 3, sample standard deviation 1 (by hand), range 2.
    rows = {line.split()[0]: line.split()[-1] for line in series_lines(STEP, PARTS, 0)}
    assert (rows["mean"], rows["sd"], rows["range"]) == ("3.000", "1.00", "2.00")


def test_angles_on_either_side_of_zero_lie_beside_each_other() -> None:
    drawn = series_plot(ANGLE, PARTS, 40, 8)
    ends = [float(line.split("┤")[0]) for line in drawn if "┤" in line]
    assert abs(ends[0] - ends[1]) == 2
    assert sum(line.count("●") for line in drawn) == 3


def test_before_the_first_run_there_is_no_plot_and_no_number() -> None:
    assert series_plot(ANGLE, {}, 40, 8) == []
    assert not any(character.isdigit() for character in series_lines(STEP, {}, 3)[1][6:])
