"""Patterns for what people type are run only where their work is bounded."""

import time

import pytest

from commission.procedure.patterns import fault_of, matches


@pytest.mark.parametrize(
    "pattern",
    [
        r"[A-Z]{2}[0-9]{4,8}",
        r"([0-9A-F]{2}:){5}[0-9A-F]{2}",
        r"v\d+\.\d+(-rc\d{1,2})?",
        r"(?:red|green)",
        r"[(+*){|]+",
        r"\(\d+\)",
        r"(?P<year>\d{4})-(?P<number>\d+)",
        r"a{b",
    ],
)
def test_ordinary_patterns_may_be_used(pattern: str) -> None:
    assert fault_of(pattern) == ""


@pytest.mark.parametrize(
    "pattern",
    [
        r"(a+)+$", r"(a*)*b", r"(a|aa)+$", r"(a|a)*$", r"([a-z]+)*!", r"((a+)b?)+", r"(x?){30}y",
        r".*.*.*.*x", r"(.)\1+", r"(?P<a>.)(?P=a)", r"(a{1,30}){1,30}b", r"(?:(?:a+))+$",
        r"(a", "*",
    ],
)  # fmt: skip
def test_patterns_that_may_never_end_are_refused(pattern: str) -> None:
    assert fault_of(pattern) != ""
    with pytest.raises(ValueError, match=r"\w"):
        matches(pattern, "aaa")


@pytest.mark.parametrize("pattern", [r"\w*\w*\w*!", r"[a]+[a]+[a]+b", r"(?:a{1,16}){3}" + "a" * 9])
def test_the_worst_that_is_allowed_ends_soon(pattern: str) -> None:
    if fault_of(pattern):
        return
    begun = time.perf_counter()
    assert not matches(pattern, "a" * 200)
    assert time.perf_counter() - begun < 2


def test_the_whole_text_must_match_and_be_short() -> None:
    assert matches(r"[A-Z]\d+", "A12")
    assert not matches(r"[A-Z]\d+", "A12 ")
    assert not matches(r"\d+", "1" * 201)
