"""Calculators through the registry against the bare function of the same formula."""

from __future__ import annotations

import math
import timeit
from typing import TYPE_CHECKING, Any

from commission.calculators import catalogue
from commission.calculators.typed import compute_typed

if TYPE_CHECKING:
    from commission.calculators.base import Value

EVALUATIONS = 100_000
AIM = 5.0


ROUNDS = 9


def _ratio(name: str) -> tuple[float, float, float]:
    """Return ratio, seconds through the registry and seconds bare, for the worked example.

    Both are measured in turn, several times, and each counts by its best: what else the machine
    does meanwhile then touches both alike.
    """
    declared = catalogue.get(name)
    done = compute_typed(name, declared.example.inputs)
    given = {each: done.inputs[each] for each in done.typed}
    arguments = [done.inputs.get(each.name) for each in declared.inputs]
    function = declared.function
    number = EVALUATIONS // 50
    registry, bare = math.inf, math.inf
    for _ in range(ROUNDS):
        registry = min(
            registry, timeit.timeit(lambda: catalogue.compute(name, given), number=number)
        )
        bare = min(bare, timeit.timeit(lambda: function(*arguments), number=number))
    scale = EVALUATIONS / number
    return registry / bare, registry * scale, bare * scale


def bench_calculators() -> dict[str, Any]:
    """Evaluate each calculator 100,000 times; the worst one counts."""
    worst = max((*_ratio(name), name) for name in catalogue.names())
    return {
        "name": f"100,000 evaluations, worst calculator ({worst[3]})",
        "measured": worst[1],
        "floor": worst[2],
        "unit": "s",
        "ratio": worst[0],
        "aim": AIM,
    }


def bench_table_of_a_million_rows() -> dict[str, Any]:
    """Recompute a million rows, as an audit does."""
    rows: list[dict[str, Value]] = [
        {"current": float(place % 300 + 1), "loop_length": 2.4, "area": "25"}
        for place in range(1_000_000)
    ]
    function = catalogue.get("voltage-drop").function
    registry = timeit.timeit(
        lambda: [catalogue.compute("voltage-drop", row) for row in rows], number=1
    )
    bare = timeit.timeit(
        lambda: [function(row["current"], 2.4, "25", None, 343.15) for row in rows], number=1
    )
    return {
        "name": "a million rows of voltage-drop",
        "measured": registry,
        "floor": bare,
        "unit": "s",
        "ratio": registry / bare,
        "aim": AIM,
    }
