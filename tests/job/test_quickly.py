"""What is made quickly is what its class makes."""

import pickle
from dataclasses import FrozenInstanceError, dataclass, field, replace
from typing import Any

import pytest

from commission.job.entry import GENESIS, Clock, Entry
from commission.job.quickly import quickly
from commission.job.state import StepState


@dataclass(frozen=True, slots=True)
class Some:
    """One that is needed, one that is there already, one made anew for each."""

    name: str
    number: int = 7
    found: dict[str, int] = field(default_factory=dict)


def test_made_quickly_is_equal_of_the_same_class_and_takes_the_same_defaults() -> None:
    made, others = quickly(Some)("a"), quickly(Some)("a")
    assert type(made) is Some
    assert made == Some("a", 7, {})
    assert made.found is not others.found
    assert repr(made) == repr(Some("a"))


def test_made_quickly_cannot_be_changed() -> None:
    made = quickly(Some)("a", 1)
    with pytest.raises(FrozenInstanceError):
        made.number = 2  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del made.name
    assert made == Some("a", 1)


def test_made_quickly_can_be_replaced_kept_and_sent_to_another_process() -> None:
    made = quickly(Some)("a", 1, {"b": 2})
    assert replace(made, number=3) == Some("a", 3, {"b": 2})
    assert pickle.loads(pickle.dumps(made)) == made  # noqa: S301  our own bytes


@pytest.mark.parametrize("values", [(), ("a", 1, {}, "too many")])
def test_wrong_number_of_values_is_refused(values: tuple[Any, ...]) -> None:
    with pytest.raises(TypeError):
        quickly(Some)(*values)


def test_what_every_entry_makes_can_be_made_quickly() -> None:
    clock = quickly(Clock)("boot", 3)
    values: tuple[Any, ...] = ("s", 1, "at", clock, "bench", "Ada", "noted", None, 0, {}, GENESIS)
    assert quickly(Entry)(*values) == Entry(*values)
    assert quickly(StepState)() == StepState()
