"""Two clocks, and whether they agree."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.job.entry import Clock, Instant
from commission.record.clocks import Jump, jump_between, machine, to_text, to_us


def moment(us: int, ns: int, boot: str = "a") -> Instant:
    return Instant(to_text(us), Clock(boot, ns))


@given(st.integers(0, 253_402_300_799_999_999))
def test_text_of_a_moment_reads_back(us: int) -> None:
    text = to_text(us)
    assert to_us(text) == us
    assert len(text) == 27
    assert datetime.fromisoformat(text).tzinfo == UTC


def test_text_is_rfc_3339() -> None:
    # RFC 3339, section 5.8, second example, in UTC: 851042397 s by `date -u`.
    assert to_text(851_042_397_000_000) == "1996-12-20T00:39:57.000000Z"


@pytest.mark.parametrize(
    "text",
    [
        "", "Z", "yesterday", "2026-03-01T09:30:00Z", "2026-03-01 09:30:00.000000Z",
        "2026-03-01T09:30:00.000000", "2026-03-01T09:30:00.000000+00:00",
        "2026-W09-7T09:30:00.000000Z", "2026-03-01T09:30:61.000000Z", "2026-03-01T09:30:00,000000Z",
    ],
)  # fmt: skip
def test_moment_written_otherwise_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"moment|isoformat|must be in"):
        to_us(text)


def test_machine_clocks_go_forward_and_keep_their_boot() -> None:
    earlier, later = machine().now(), machine().now()
    assert later.clock.boot == earlier.clock.boot != ""
    assert later.clock.ns > earlier.clock.ns
    assert jump_between(earlier, later) is None


@pytest.mark.parametrize(
    ("wall_s", "monotonic_s", "jumps"),
    [
        (10, 10, False), (11.9, 10, False), (12.1, 10, True), (7.9, 10, True), (0, 0, False),
        (-3600, 5, True), (-0.1, 0.1, True), (3600, 5, True), (86400, 86401, False),
    ],
)  # fmt: skip
def test_more_than_two_seconds_apart_or_backwards_is_a_jump(
    wall_s: float, monotonic_s: float, *, jumps: bool
) -> None:
    start = 1_772_000_000_000_000
    later = moment(start + round(wall_s * 1e6), round((100 + monotonic_s) * 1e9))
    jump = jump_between(moment(start, 100 * 10**9), later)
    assert (jump is not None) is jumps
    if jump:
        assert (jump.wall_s, jump.monotonic_s) == pytest.approx((wall_s, monotonic_s))


def test_over_a_restart_only_going_back_can_be_told() -> None:
    earlier = moment(1_772_000_000_000_000, 10**15)
    assert jump_between(earlier, moment(1_772_000_009_000_000, 5, "b")) is None
    assert jump_between(earlier, moment(1_771_999_999_000_000, 5, "b")) == Jump(-1.0, None)
