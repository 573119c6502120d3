from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.job.values import values
from commission.procedure.expression import UnknownValueError

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.job.conftest import Told

    Teller = Callable[..., Told]

CELLS = {"id": "cells", "label": "Cells", "type": "integer", "optional": True}
LIMIT = {"id": "limit", "label": "Limit", "type": "quantity", "unit": "V", "intended": "cells*3[V]"}


def volts(typed: str) -> dict[str, str]:
    return {"typed": typed, "unit": "V"}


def test_each_kind_of_answer_is_known_under_its_name_in_si(told: Teller) -> None:
    job = told(
        {"kind": "measure", "id": "warm", "unit": "degC"},
        {"kind": "choose", "id": "lever", "options": ["regen", "plain"]},
        {"kind": "confirm", "id": "ready"},
        {"kind": "identify", "id": "marks", "fields": [{"id": "serial", "label": "Serial"}]},
        {"kind": "calculate", "id": "pack", "calculator": "pack-voltage"},
        facts=[CELLS],
    )
    job.answer("cells", {"typed": "14", "unit": ""})
    job.answer("warm", {"typed": "25", "unit": "degC"})
    job.answer("lever", "regen")
    job.answer("ready", value=True)
    job.answer("marks", {"serial": "A-7"})
    job.answer("pack", {}, judged={"values": {"full": 58.8, "all": [1.0, 2.0]}})
    known = values(job.state)
    assert known["cells"] == 14.0
    assert known["warm"] == 298.15  # 0 degC is 273.15 K (SI brochure, 9th edition, 2.3.1)
    assert known["lever"] == "regen"
    assert known["ready"] is True
    assert known["marks.serial"] == "A-7"
    assert known["pack.full"] == 58.8
    assert known["pack.all"] == (1.0, 2.0)
    assert set(known) == {
        "cells", "cells.value", "warm", "warm.value", "lever", "lever.value", "ready",
        "ready.value", "marks.serial", "pack.full", "pack.all",
    }  # fmt: skip


def test_a_name_without_a_value_says_so(told: Teller) -> None:
    job = told({"kind": "measure", "id": "a", "unit": "V"}, facts=[CELLS], settings=[LIMIT])
    known = values(job.state)
    for name in ("a", "cells", "a.b", "limit.found", "limit.intended", "limit.left", "nothing"):
        with pytest.raises(UnknownValueError):
            known[name]
        assert name not in known
    job.answer("cells", None)
    with pytest.raises(UnknownValueError):
        values(job.state)["cells"]


def test_a_setting_is_known_as_found_intended_written_and_left(told: Teller) -> None:
    job = told(
        {"kind": "read_back", "id": "read", "settings": "all"},
        {"kind": "write", "id": "write", "settings": ["limit"]},
        {"kind": "power_cycle", "id": "prove", "cycle": "key", "off_for": "5[s]"},
        facts=[CELLS], settings=[LIMIT],
    )  # fmt: skip
    job.answer("cells", {"typed": "14", "unit": ""})
    job.read("read", limit=volts("30"))
    job.read("write", limit=volts("42"))
    job.cycle("prove", 1, limit=volts("41.9"))
    known = values(job.state)
    assert [known[f"limit.{which}"] for which in ("found", "intended", "written", "left")] == [
        30.0, 42.0, 42.0, 41.9,
    ]  # fmt: skip


def test_a_setting_intended_to_be_itself_has_no_value_and_no_end_of_stack(told: Teller) -> None:
    loop = {**LIMIT, "intended": "limit.intended * 1"}
    job = told({"kind": "read_back", "id": "read", "settings": "all"}, settings=[loop])
    with pytest.raises(UnknownValueError):
        values(job.state)["limit.intended"]
