"""A share is never rounded to all or to nothing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.audit.shares import percent


@pytest.mark.parametrize(
    ("part", "of", "digits", "said"),
    [
        (1017, 1022, 0, "> 99 %"), (1022, 1022, 0, "100 %"), (1011, 1022, 0, "99 %"),
        (0, 1022, 0, "0 %"), (4, 1022, 0, "< 1 %"), (1, 3, 0, "33 %"), (0, 0, 0, "-"),
        (3, 10_000, 1, "< 0.1 %"), (9_999, 10_000, 1, "> 99.9 %"), (56, 100, 1, "56.0 %"),
    ],
)  # fmt: skip
def test_a_share_reads(part: int, of: int, digits: int, said: str) -> None:
    assert percent(part, of, digits) == said


@given(st.integers(0, 10**6), st.integers(1, 10**6), st.integers(0, 2))
def test_all_is_said_of_all_alone_and_none_of_none(part: int, of: int, digits: int) -> None:
    part = min(part, of)
    said = percent(part, of, digits)
    figure = float(said.strip("<> %"))
    assert (said[0] not in "<>" and figure == 100.0) == (part == of)
    assert (said[0] not in "<>" and figure == 0.0) == (part == 0)
