"""Lines read once, and closely enough that nothing can hide in them."""

from __future__ import annotations

import dataclasses
import sys
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.job.entry import GENESIS, Clock, Entry
from commission.record.chain import Reason
from commission.record.line import digest_of, is_written_just_so, parse, to_line
from commission.record.reading import examine_and_read, read

if TYPE_CHECKING:
    from collections.abc import Callable

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text() | st.floats(allow_nan=False).filter(
        lambda number: abs(number) <= sys.float_info.max
    ),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=8,
)  # fmt: skip


def of_body(body: dict[str, object]) -> bytes:
    at = "2030-01-01T00:00:00.000000Z"
    return to_line(
        Entry("notes", 1, at, Clock("a", 1), "b", "Ada", "noted", None, 0, body, GENESIS)
    )


@given(st.dictionaries(st.text(), JSON))
def test_every_line_that_we_write_is_read_without_fault(body: dict[str, object]) -> None:
    line = of_body(body)
    assert read([line]).fault is None
    assert parse(line).body == body


@given(st.dictionaries(st.text(), JSON, min_size=1), st.sampled_from(["0", "1e-05", '"x"']))
def test_a_key_that_stands_twice_is_never_just_so(body: dict[str, object], value: str) -> None:
    key = of_body({next(iter(body)): 0}).partition(b'"body":{')[2].partition(b":0}")[0]
    line = of_body(body).replace(b'"body":{', b'"body":{' + key + b":" + value.encode() + b",")
    fault = read([line]).fault
    assert fault is not None
    assert (fault.seq, fault.reason) == (1, Reason.KEYS)
    assert "twice" in fault.text
    assert not is_written_just_so(line, {**dataclasses.asdict(parse(line))})


@pytest.mark.parametrize("number", [1e-05, 1.6e-05, 1e16, 1.5e300, -0.0, 2**70, 10.0])
def test_numbers_are_good_however_another_writer_writes_them(number: float) -> None:
    line = of_body({"value": number})
    assert read([line]).fault is None
    twice = line.replace(b'"value":', b'"value":0,"value":')
    found = read([twice])
    assert found.fault is not None
    assert "twice" in found.fault.text


def test_reading_with_the_chain_says_what_each_says_alone(
    make_lines: Callable[..., list[bytes]],
) -> None:
    lines = make_lines(5)
    examined, found = examine_and_read(lines, head=digest_of(lines[-1]))
    assert examined.is_whole
    assert found == read(lines)
    assert len(found.entries) == len(found.gaps) == 5
    for number in range(1, 6):
        broken = [*lines]
        broken[number - 1] = broken[number - 1].replace(b'"kind"', b'"kine"')
        examined, found = examine_and_read(broken, head=digest_of(lines[-1]))
        assert examined.fault is not None
        assert examined.fault.seq == number
        assert found.entries == ()


def test_the_first_of_several_faults_is_told(make_lines: Callable[..., list[bytes]]) -> None:
    lines = make_lines(4)
    entry = parse(lines[1])
    back = dataclasses.replace(entry, clock=Clock(entry.clock.boot, entry.clock.ns + 10**12))
    lines[1] = to_line(back)
    lines[3] = lines[3].replace(b'"bench":', b'"bench":"x","bench":')
    found = read(lines)
    assert found.fault is not None
    assert (found.fault.seq, found.fault.reason) == (2, Reason.CLOCK)
    assert len(found.entries) == len(found.gaps) == 1
