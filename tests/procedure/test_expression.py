"""What expressions mean, which are refused, and where."""

from __future__ import annotations

import math
import operator
from typing import Final

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.procedure.expression import (
    Expression,
    ExpressionError,
    Number,
    Numbers,
    Text,
    Truth,
    Type,
    UnknownValueError,
    Value,
    parse,
    with_choices,
)
from commission.procedure.syntax import DEEPEST, LONGEST
from commission.procedure.tokens import renamed
from commission.quantities import COMMON_UNITS, registry, unit

VOLT: Final = Number(unit("V").dimension)
NAMES: Final[dict[str, Type]] = {
    "cells": Number(), "pack": VOLT, "i": Number(unit("A").dimension),
    "lever": Text(("regen", "coast")), "serial.no": Text(), "fitted": Truth(),
    "ambient": Number(unit("degC").dimension, point=True), "s.v.runs": Numbers(VOLT.dimension),
}  # fmt: skip
VALUES: Final[dict[str, Value]] = {
    "cells": 20.0, "pack": 84.0, "i": 3.0, "lever": "regen", "serial.no": "A1", "fitted": True,
    "ambient": 298.15, "s.v.runs": (1.0, 2.0, 6.0),
}  # fmt: skip


def value(source: str) -> Value:
    expression = parse(source)
    expression.type_in(NAMES)
    return expression.evaluate(VALUES)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("cells * 3.0[V]", 60.0),
        ("min(pack, 3 [V])", 3.0),
        ("lever == 'regen' and pack > 60[V]", True),
        ("not fitted or lever != 'coast'", True),
        ("lever in ('regen', 'coast')", True),
        ("lever not in ('regen',)", False),
        ("serial.no == 'A[1]'", False),
        ("2[%] * pack", 1.68),
        ("12[r/min]", 12 * 2 * math.pi / 60),
        ("0[V] < pack <= 84[V] < 90[V]", True),
        ("3[V] if fitted else 4[V]", 3.0),
        ("mean(s.v.runs)", 3.0),
        ("mean(1, 2, 6)", 3.0),
        ("max(s.v.runs) - min(s.v.runs)", 5.0),
        ("sqrt(pack * pack)", 84.0),
        ("abs(-pack)", 84.0),
        ("round(7 / 3, 2)", 2.33),
        ("round(pack / 10[V]) * 10[V]", 80.0),
        ("2 ** -1", 0.5),
        ("true", True),
        ("cells\n  * 2", 40.0),
    ],
)
def test_expression_has_the_value_its_words_say(source: str, expected: Value) -> None:
    found = value(source)
    assert found == (pytest.approx(expected) if isinstance(expected, float) else expected)


@pytest.mark.parametrize(
    ("source", "expected", "kind"),
    [
        ("25[degC] + 5[K]", 303.15, Number(unit("K").dimension, point=True)),
        ("5[K] + 25[degC]", 303.15, Number(unit("K").dimension, point=True)),
        ("ambient - 25[degC]", 0.0, Number(unit("K").dimension)),
        ("-5[degC]", 268.15, Number(unit("K").dimension, point=True)),
        ("50[degF]", 283.15, Number(unit("K").dimension, point=True)),
        ("mean(ambient, 27[degC])", 299.15, Number(unit("K").dimension, point=True)),
    ],
)
def test_temperatures_are_points_and_their_differences_amounts(
    source: str, expected: float, kind: Type
) -> None:
    assert value(source) == pytest.approx(expected, abs=1e-9)
    assert parse(source).type_in(NAMES) == kind


@pytest.mark.parametrize(
    ("source", "column", "words"),
    [
        ("pack + i", 8, "adding a voltage and a current"),
        ("pack > 60", 8, "comparing a voltage and a plain number"),
        ("ambient + ambient", 1, "cannot be added"),
        ("2 * ambient", 5, "temperature on a scale"),
        ("5[K] - ambient", 1, "cannot be taken from"),
        ("lever == 3", 10, "comparing text"),
        ("lever > 'a'", 9, "by >"),
        ("lever == 'regn'", 10, "not among the choices"),
        ("lever in ('regen', 'cost')", 1, "'cost' is not among"),
        ("pak * 2", 1, "'pak' is not a declared name"),
        ("serial == 'A'", 1, "not a declared name"),
        ("s.v.runs + 1[V]", 1, "several values"),
        ("fitted + 1", 1, "needs a number"),
        ("1 and fitted", 1, "needs true or false"),
        ("round(pack)", 7, "round of a voltage"),
        ("3[V] if fitted else 4[A]", 21, "a voltage and a current"),
        ("min(pack, i)", 11, "min of a voltage and a current"),
        ("1 if cells else 2", 6, "`if` needs true or false"),
    ],
)
def test_types_and_dimensions_are_refused_at_their_column(
    source: str, column: int, words: str
) -> None:
    with pytest.raises(ExpressionError, match=r".") as refused:
        parse(source).type_in(NAMES)
    assert words in refused.value.message
    assert refused.value.column == column


@pytest.mark.parametrize(
    ("source", "column"),
    [
        ("", 1), ("   ", 1), ("3.0V", 1), ("3 V", 3), ("pack = 3", 6), ("pack[0]", 5),
        ("a.b.c.d", 1), ("2 ** 9", 6), ("2 ** 0.5", 6), ("cells ** cells", 10), ("1[foo]", 1),
        ("lambda: 3", 7), ("f'x'", 1), ("'a' 'b'", 5), ("'a", 1), ("'a\\n'", 1), ("[1, 2]", 1),
        ("__import__('os')", 1), ("open('x')", 1), ("min()", 1), ("abs(1, 2)", 1),
        ("min(*a)", 5), ("a.b()", 1), ("(1, 2)", 1), ("x := 1", 3), ("1e999", 1), ("0x10", 1),
        ("1_000", 1), ("1j", 1), ("a is b", 1), ("1 in (1, 2)", 1), ("a; b", 2), ("a @ b", 3),
        ("a // b", 1), ("a % b", 3), ("~a", 1), ("a if b", 1), ("²", 1), ("round(1, 9)", 1),
        ("(" * 120, 1), ("1" * 60 + "[V] " * 20, 61),
    ],
)  # fmt: skip
def test_what_is_not_of_the_language_is_refused(source: str, column: int) -> None:
    with pytest.raises(ExpressionError, match=r".") as refused:
        parse(source)
    assert 0 < refused.value.column <= len(source) + 1
    if len(source) < 20:
        assert refused.value.column == column or refused.value.message == "not an expression"


def test_length_and_depth_are_bounded() -> None:
    assert parse("1" + " " * (LONGEST - 1)).evaluate({}) == 1.0
    with pytest.raises(ExpressionError, match="longer than"):
        parse("1" + " " * LONGEST)
    assert parse("-" * (DEEPEST - 1) + "1").evaluate({}) == -1.0
    with pytest.raises(ExpressionError, match="deeper than"):
        parse("-" * DEEPEST + "1")


@pytest.mark.parametrize("source", ["1 / 0", "0 ** -1", "sqrt(0 - 1)", "1e300 * 1e300"])
def test_no_value_is_a_refusal_and_never_a_traceback(source: str) -> None:
    with pytest.raises(ExpressionError, match="with these values"):
        parse(source).evaluate({})


def test_a_name_without_a_value_says_which() -> None:
    with pytest.raises(UnknownValueError, match=r"a\.b") as refused:
        parse("1 + a.b").evaluate({})
    assert refused.value.name == "a.b"


def test_only_the_branch_taken_needs_values() -> None:
    assert parse("1 if fitted else missing").evaluate({"fitted": True}) == 1.0
    assert parse("fitted or missing").evaluate({"fitted": True}) is True


def test_products_in_binary_floats_meet_their_decimal_limit() -> None:
    # 14 * 4.2 is 58.800000000000004 in IEEE 754 double precision.
    assert 14 * 4.2 > 58.8
    assert parse("14 * 4.2[V] <= 58.8[V]").evaluate({}) is True
    assert parse("14 * 4.2[V] > 58.8[V]").evaluate({}) is False


def test_names_are_those_it_rests_on() -> None:
    assert parse("min(a, b.c) if d == 'e' else 3[V]").names == {"a", "b.c", "d"}


def test_plain_numbers_and_truths_of_yaml_are_expressions() -> None:
    assert parse(3).evaluate({}) == 3.0
    assert parse(2.5).evaluate({}) == 2.5
    assert parse(True).evaluate({}) is True  # noqa: FBT003  as YAML gives it
    assert parse(1).type_in({}) == Number()


def test_a_choice_may_stand_without_quotes() -> None:
    for choice in ("coast", "it's", "pump and fan"):
        assert with_choices(choice, ("coast", "it's", "pump and fan")).evaluate({}) == choice


def test_parsing_is_cached_by_source() -> None:
    assert parse("cells + 1") is parse("cells + 1")


def test_renaming_leaves_texts_units_and_placeholders() -> None:
    new = {"a": "x_a", "V": "x_V"}
    assert renamed("a.b + 3[V] * ${a} if c == 'a' else a", new) == (
        "x_a.b + 3[V] * ${a} if c == 'a' else x_a"
    )


# What Python's own arithmetic and pint say about the same text.

_NUMBERS = st.floats(0.01, 100).map(lambda number: round(number, 3))
_SOURCES = st.recursive(
    _NUMBERS.map(repr),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-*/"), inner).map(lambda p: f"({p[0]} {p[1]} {p[2]})"),
        inner.map(lambda each: f"(-{each})"),
        st.tuples(inner, inner).map(lambda pair: f"min({pair[0]}, {pair[1]})"),
        st.tuples(inner, st.integers(0, 3)).map(lambda pair: f"({pair[0]} ** {pair[1]})"),
    ),
    max_leaves=8,
)


@given(_SOURCES)
def test_arithmetic_agrees_with_python(source: str) -> None:
    if len(source) > LONGEST:
        return
    try:
        expected = eval(source, {"__builtins__": {}, "min": min})  # noqa: S307  our own text
    except (ZeroDivisionError, OverflowError):
        with pytest.raises(ExpressionError):
            parse(source).evaluate({})
        return
    assert parse(source).evaluate({}) == expected


@given(
    st.sampled_from([each for each in COMMON_UNITS if each != "degC"]),
    st.sampled_from([each for each in COMMON_UNITS if each != "degC"]),
    st.sampled_from("+-*/"),
)
def test_dimensions_agree_with_pint(left: str, right: str, sign: str) -> None:
    operation = {
        "+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv,
    }[sign]  # fmt: skip
    quantities = [_as_pint(left, 3.0), _as_pint(right, 2.0)]
    source = f"3[{left}] {sign} 2[{right}]"
    try:
        expected = operation(*quantities).to_base_units()
    except pint.DimensionalityError:
        with pytest.raises(ExpressionError, match=r"adding|subtracting"):
            parse(source).type_in({})
        return
    kind = parse(source).type_in({})
    assert isinstance(kind, Number)
    bases = ("[length]", "[mass]", "[time]", "[current]", "[temperature]")
    assert kind.dimension[:5] == tuple(expected.dimensionality.get(base, 0) for base in bases)
    assert parse(source).evaluate({}) == pytest.approx(expected.magnitude)


def _as_pint(text: str, number: float) -> pint.Quantity[float]:
    """Return a quantity by pint's own names for our spellings."""
    spelled = {
        "r/min": "rpm", "Nm": "newton*meter", "Ah": "ampere*hour", "Wh": "watt*hour",
        "mph": "mile/hour", "deg": "degree", "mm2": "mm**2", "A2s": "A**2*s", "in": "inch",
        "Wh/km": "watt*hour/km", "Ω": "ohm", "mΩ": "milliohm", "kΩ": "kiloohm",
        "MΩ": "megaohm", "Ω/km": "ohm/km", "%": "percent",
    }  # fmt: skip
    return registry().Quantity(number, spelled.get(text, text))


@given(st.text(max_size=60) | st.text("ab.'\"[]()*+-/<>=!, 0123456789eifnotrsd", max_size=60))
def test_any_text_is_an_expression_or_refused(source: str) -> None:
    try:
        expression = parse(source)
        assert isinstance(expression, Expression)
        expression.type_in({})
        expression.evaluate({})
    except (ExpressionError, UnknownValueError):
        pass
