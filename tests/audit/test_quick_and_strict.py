"""What makes an audit quick takes nothing from it."""

from __future__ import annotations

import gc
import math
from typing import Any

import pytest

from commission.audit.anew import alike
from commission.audit.collecting import seldom_collected


@pytest.mark.parametrize(
    ("fresh", "recorded", "are_alike"),
    [
        ({"a": (1.0, 2.0)}, {"a": [1.0, 2.0]}, True),
        ({"a": 1.0, "b": "x"}, {"b": "x", "a": 1.0}, True),
        ({"a": 1.0}, {"a": 1}, True),
        ({"a": 0.1 + 0.2}, {"a": 0.3}, True),
        ({"a": 1.0}, {"a": 1.0 + 1e-6}, False),
        ({"a": True}, {"a": 1}, False),
        ({"a": None}, {"a": 0}, False),
        ({"a": None}, {}, False),
        ({"a": math.nan}, {"a": None}, False),
        ([], None, False),
        (None, None, True),
    ],
)
def test_judged_anew_is_compared_as_strictly_as_ever(
    fresh: Any, recorded: Any, *, are_alike: bool
) -> None:
    assert alike(fresh, recorded) is are_alike


def test_the_collector_is_as_before_when_an_audit_ends_or_fails() -> None:
    before = gc.get_threshold()
    with seldom_collected():
        assert gc.get_threshold() > before
        assert gc.isenabled()
    assert gc.get_threshold() == before
    with pytest.raises(ValueError, match="x"), seldom_collected():
        raise ValueError("x")
    assert gc.get_threshold() == before
