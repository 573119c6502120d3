from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan

CELLS = {"id": "cells", "label": "Cells in series", "type": "integer"}
LIMIT = {
    "id": "limit", "label": "Limit", "type": "quantity", "unit": "V", "intended": "cells * 3[V]",
}  # fmt: skip
WAY = {"id": "way", "label": "Direction", "type": "choice", "choices": ["ahead", "back"]}
READ = {"kind": "read_back", "id": "read", "settings": "all"}
WRITE = {"kind": "write", "id": "write", "settings": ["limit"]}


def test_facts_come_first_and_remedies_just_before_their_step(
    plan_of: Callable[..., Plan],
) -> None:
    plan = plan_of(
        {"kind": "confirm", "id": "first"},
        {
            "kind": "confirm",
            "id": "second",
            "on_fail": {
                "remedy": [
                    {"kind": "confirm", "id": "mend"},
                    {
                        "kind": "confirm",
                        "id": "mend_more",
                        "on_fail": {"remedy": [{"kind": "confirm", "id": "fetch_tool"}]},
                    },
                ]
            },
        },
        facts=[CELLS],
    )
    order = ["cells", "first", "mend", "fetch_tool", "mend_more", "second"]
    assert [planned.id for planned in plan.steps] == order
    assert [planned.index for planned in plan.steps] == list(range(6))
    assert plan.planned("cells").stage_id == "facts"
    assert plan.remedies == {"second": ("mend", "mend_more"), "mend_more": ("fetch_tool",)}


def test_a_limit_rests_on_the_names_in_it(plan_of: Callable[..., Plan]) -> None:
    plan = plan_of(
        {"kind": "measure", "id": "pack", "unit": "V", "limits": {"max": "cells * 4.2[V]"}},
        facts=[CELLS],
    )
    assert plan.dependents == {"cells": ("pack",)}


def test_every_kind_rests_on_the_expressions_it_has(plan_of: Callable[..., Plan]) -> None:
    plan = plan_of(
        {
            "kind": "calculate", "id": "calculated", "calculator": "pack-voltage",
            "inputs": {"cells": "cells"},
        },
        {"kind": "observe", "id": "seen", "options": ["a", "b"], "expected": "cells"},
        {
            "kind": "identify", "id": "marks",
            "fields": [{"id": "serial", "label": "Serial", "expected": "cells"}],
        },
        {
            "kind": "series", "id": "runs", "runs": 3,
            "columns": [{"id": "u", "label": "U", "unit": "V", "spread": "cells * 1[V]"}],
        },
        {
            "kind": "sweep", "id": "line", "deviation": "cells * 1[V]",
            "x": {"label": "X", "unit": "V"}, "y": {"label": "Y", "unit": "V"},
        },
        {"kind": "dwell", "id": "waiting", "duration": "cells * 1[s]"},
        {"kind": "power_cycle", "id": "off_on", "cycle": "key", "off_for": "cells * 1[s]"},
        {"kind": "confirm", "id": "conditional", "when": "cells > 3"},
        {"kind": "confirm", "id": "declared", "rests_on": ["cells"]},
        {"kind": "measure", "id": "read", "unit": "V", "instrument": "meter"},
        facts=[CELLS],
        equipment=[
            {"id": "meter", "label": "Meter", "kind": "voltmeter", "resolution": "cells * 1[V]"}
        ],
    )  # fmt: skip
    assert plan.dependents["cells"] == (
        "calculated", "seen", "marks", "runs", "line", "waiting", "off_on", "conditional",
        "declared", "read",
    )  # fmt: skip
    assert plan.conditions["conditional"] == {"cells"}
    assert plan.conditions["declared"] == set()


def test_an_intended_value_leads_over_its_setting_to_the_write_and_the_proof(
    plan_of: Callable[..., Plan],
) -> None:
    plan = plan_of(
        READ,
        WRITE,
        {"kind": "power_cycle", "id": "prove", "cycle": "key", "off_for": "5[s]"},
        {"kind": "measure", "id": "cut", "unit": "V", "limits": {"max": "limit.left"}},
        facts=[CELLS],
        settings=[LIMIT, WAY],
    )
    assert plan.dependents["cells"] == ("setting:limit",)
    assert plan.dependents["setting:limit"] == ("write", "prove", "cut")
    assert plan.dependents["write"] == ("prove", "cut")
    assert plan.dependents["prove"] == ("cut",)
    assert plan.readers["limit"] == ("prove", "cut")


def test_what_was_found_rests_on_the_read_back_alone(plan_of: Callable[..., Plan]) -> None:
    plan = plan_of(
        READ,
        {"kind": "confirm", "id": "odd", "when": "limit.found > 60[V]"},
        WRITE,
        settings=[LIMIT, WAY],
        facts=[CELLS],
    )
    assert "odd" in plan.dependents["read"]
    assert "odd" not in plan.dependents["setting:limit"]
    assert "write" not in plan.dependents


def test_a_setting_without_an_intended_value_is_meant_to_stay_as_found(
    plan_of: Callable[..., Plan],
) -> None:
    plan = plan_of(
        READ,
        {"kind": "observe", "id": "turn", "options": ["ahead", "back"], "expected": "way.intended"},
        settings=[WAY],
    )
    assert plan.dependents["read"] == ("setting:way",)
    assert plan.dependents["setting:way"] == ("turn",)


def test_a_power_cycle_rests_on_what_its_observations_expect(
    plan_of: Callable[..., Plan],
) -> None:
    plan = plan_of(
        {"kind": "choose", "id": "wanted", "options": ["ahead", "back"]},
        {"kind": "observe", "id": "turn", "options": ["ahead", "back"], "expected": "wanted"},
        {
            "kind": "power_cycle", "id": "prove", "cycle": "key", "off_for": "5[s]",
            "observe": ["turn"],
        },
    )  # fmt: skip
    assert plan.dependents["wanted"] == ("turn", "prove")


def test_what_helps_with_a_fact_is_said_as_its_method(plan_of: Callable[..., Plan]) -> None:
    plan = plan_of({"kind": "confirm", "id": "first"}, facts=[{**CELLS, "help": "Count them."}])

    assert plan.planned("cells").step.how == "Count them."
