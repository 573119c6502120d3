"""What is typed is echoed as understood, and never repaired."""

from __future__ import annotations

import pytest

from commission.job.ask import Ask
from commission.tui.job.echo import echo
from commission.tui.job.scale import Bounds

PACK = Ask("value", "Pack voltage", "quantity", unit="V")
LIMITS = Bounds(42.0, 58.8, labels=("42.0 V", "58.8 V"))


def test_a_reading_is_echoed_with_its_limits() -> None:
    assert echo(PACK, "50.40", LIMITS).said == "= 50.40 V, within 42.0 V to 58.8 V"
    assert echo(PACK, "60", LIMITS).said == "= 60 V, OUTSIDE 42.0 V to 58.8 V"
    assert echo(PACK, "60", LIMITS).outside


def test_another_unit_of_the_same_dimension_is_converted_and_kept() -> None:
    understood = echo(PACK, "50400 mV")
    assert understood.said == "= 50400 mV = 50.40 V"
    assert understood.text == "50400 mV"
    assert understood.value == pytest.approx(50.4)


@pytest.mark.parametrize("typed", ["3,5", "\u22125", "5 A", "1_000", "0x10", "five", "5 5", "٣"])
def test_what_is_no_number_is_not_understood(typed: str) -> None:
    understood = echo(PACK, typed)
    assert not understood.understood
    assert understood.said.startswith("Not understood: ")


def test_a_whole_number_has_no_decimals() -> None:
    assert not echo(Ask("n", "Teeth", "integer"), "12.5").understood
    assert echo(Ask("n", "Teeth", "integer"), "12").understood


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("2", "inverted"), ("inv", "inverted"), ("NORMAL", "normal"), ("3", ""), ("x", "")],
)
def test_a_choice_is_a_number_or_the_start_of_a_word(typed: str, meant: str) -> None:
    ask = Ask("d", "Direction", "choice", choices=("normal", "inverted"))
    assert echo(ask, typed).text == meant


def test_the_start_of_two_choices_is_not_guessed() -> None:
    ask = Ask("d", "Mode", "choice", choices=("sport", "sport plus"))
    assert not echo(ask, "spo").understood
    assert echo(ask, "sport").text == "sport"


def test_what_is_offered_is_taken_by_one_sign() -> None:
    ask = Ask("value", "Voltage", "quantity", unit="V", offered="84.0")
    assert not echo(ask, "").understood
    assert echo(ask, "=").text == "84.0"


def test_an_optional_field_may_stay_empty() -> None:
    assert echo(Ask("value", "Remark", "text", optional=True), " ").understood


def test_yes_and_no_are_words() -> None:
    ask = Ask("value", "Fitted", "yes_no")
    assert (echo(ask, "y").text, echo(ask, "No").text, echo(ask, "perhaps").text) == (
        "yes", "no", "",
    )  # fmt: skip
