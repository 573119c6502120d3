"""Facts of the trade, with their strength beside them, against the cross-checks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from commission.crosschecks.catalogue import get
from commission.crosschecks.run import look

if TYPE_CHECKING:
    from collections.abc import Callable

FILE = Path(__file__).parents[1] / "reference" / "cross-checks" / "practice.yaml"
ROWS: list[dict[str, Any]] = yaml.safe_load(FILE.read_text(encoding="utf-8"))
CASES = [(row["check"], values, severity) for row in ROWS for values, severity in row["cases"]]


@pytest.mark.parametrize(("check", "values", "severity"), CASES)
def test_a_fact_of_the_trade_comes_out_as_the_trade_knows_it(
    known: Callable[..., Any], check: str, values: dict[str, Any], severity: str
) -> None:
    assert look(get(check), known(values)).severity == severity


def test_each_row_says_where_it_is_from_and_how_strong_it_is() -> None:
    for row in ROWS:
        assert row["strength"] in {"common practice, no source", "from memory"}
        assert len(row["source"]) > 8


def test_none_of_the_trades_numbers_are_in_the_demo_data() -> None:
    examples = Path(__file__).parents[2] / "checklists" / "examples"
    for file in ("demo-bike.yaml", "demo-answers.yaml"):
        text = (examples / file).read_text(encoding="utf-8")
        assert '"290"' not in text
        assert 'series_cells: "20"' not in text
        assert 'series_cells: "16"' not in text
