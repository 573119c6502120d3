"""Whatever is changed in a chain is found, and the entry that was changed is named."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.errors import DamagedError
from commission.job.entry import GENESIS, Digest
from commission.record.chain import Reason, examine, verify
from commission.record.line import digest_of

if TYPE_CHECKING:
    from collections.abc import Callable


def rechained(lines: list[bytes], **first_changes: Any) -> list[bytes]:
    """Return lines whose members were changed at one entry and whose chain was made good again."""
    made: list[bytes] = []
    prev: str = GENESIS
    for line in lines:
        members = json.loads(line)
        if members["seq"] == first_changes.get("entry"):
            members.update({key: new for key, new in first_changes.items() if key != "entry"})
        members["prev"] = prev
        made.append(json.dumps(members, ensure_ascii=False, separators=(",", ":")).encode())
        prev = digest_of(made[-1])
    return made


@pytest.mark.parametrize("count", [1, 2, 3, 25])
def test_whole_stream_is_whole(make_lines: Callable[[int], list[bytes]], count: int) -> None:
    lines = make_lines(count)
    examined = examine(lines, stream="notes", head=digest_of(lines[-1]))
    assert examined.is_whole
    assert (examined.entries, examined.head) == (count, digest_of(lines[-1]))
    assert verify(lines, stream="notes") == hashlib.sha256(lines[-1]).hexdigest()


@given(data=st.data())
def test_any_changed_byte_is_found_and_its_entry_named(
    make_lines: Callable[[int], list[bytes]], data: st.DataObject
) -> None:
    lines = make_lines(data.draw(st.integers(1, 6), "entries"))
    head = digest_of(lines[-1])
    which = data.draw(st.integers(0, len(lines) - 1), "changed")
    place = data.draw(st.integers(0, len(lines[which]) - 1), "place")
    byte = data.draw(st.integers(0, 255).filter(lambda new: new != lines[which][place]), "byte")
    changed = bytearray(lines[which])
    changed[place] = byte
    lines[which] = bytes(changed)
    fault = examine(lines, stream="notes", head=head).fault
    assert fault is not None
    assert fault.seq == which + 1


def test_every_single_byte_of_a_short_chain_is_covered(
    make_lines: Callable[[int], list[bytes]],
) -> None:
    whole = make_lines(3)
    head = digest_of(whole[-1])
    for which, line in enumerate(whole):
        for place in range(len(line)):
            changed = line[:place] + bytes([line[place] ^ 1]) + line[place + 1 :]
            lines = [*whole[:which], changed, *whole[which + 1 :]]
            fault = examine(lines, head=head).fault
            assert fault is not None
            assert fault.seq == which + 1, (which, place, fault)


def test_removed_entry_is_named(make_lines: Callable[[int], list[bytes]]) -> None:
    lines = make_lines(5)
    del lines[2]
    fault = examine(lines).fault
    assert fault is not None
    assert (fault.seq, fault.reason) == (3, Reason.ORDER)
    assert "entry 3 is missing" in str(fault)


def test_swapped_entries_are_out_of_order(make_lines: Callable[[int], list[bytes]]) -> None:
    lines = make_lines(5)
    lines[1], lines[2] = lines[2], lines[1]
    fault = examine(lines).fault
    assert fault is not None
    assert (fault.seq, fault.reason) == (2, Reason.ORDER)


def test_cut_off_end_shows_only_against_the_head(
    make_lines: Callable[[int], list[bytes]],
) -> None:
    lines = make_lines(5)
    head = digest_of(lines[-1])
    assert examine(lines[:4]).is_whole
    fault = examine(lines[:4], head=head).fault
    assert fault is not None
    assert (fault.seq, fault.reason) == (4, Reason.HEAD)


def test_entries_added_after_the_head_are_counted(
    make_lines: Callable[[int], list[bytes]],
) -> None:
    lines = make_lines(5)
    fault = examine(lines, head=digest_of(lines[2])).fault
    assert fault is not None
    assert fault.reason is Reason.HEAD
    assert "that of entry 3; 2 were added after it" in fault.text


def test_no_entries_are_not_a_whole_record() -> None:
    examined = examine([])
    assert not examined.is_whole
    assert examined.fault is not None
    assert examined.fault.reason is Reason.EMPTY


def test_stream_asked_for_must_be_the_one_given(make_lines: Callable[[int], list[bytes]]) -> None:
    fault = examine(make_lines(2), stream="other").fault
    assert fault is not None
    assert (fault.seq, fault.reason) == (1, Reason.STREAM)


def test_entry_of_another_stream_is_named_though_chained(
    make_lines: Callable[[int], list[bytes]],
) -> None:
    fault = examine(rechained(make_lines(4), entry=3, stream="other")).fault
    assert fault is not None
    assert (fault.seq, fault.reason) == (3, Reason.STREAM)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"at": "2020-01-01T00:00:00.000000Z"}, Reason.CLOCK),
        ({"clock": {"boot": "boot-a", "ns": 5}}, Reason.CLOCK),
        ({"clock": {"boot": "boot-a", "ns": 5}, "kind": "clock_jump"}, Reason.CLOCK),
        ({"at": "2020-01-01T00:00:00.000000Z", "kind": "clock_jump"}, None),
        ({"seq": 9}, Reason.ORDER),
        ({"extra": 1}, Reason.KEYS),
    ],
)
def test_clocks_and_order_hold_in_a_chain_made_good_again(
    make_lines: Callable[[int], list[bytes]], change: dict[str, Any], reason: Reason | None
) -> None:
    lines = rechained(make_lines(5), entry=3, **change)
    fault = examine(lines[:3]).fault
    assert (fault.reason if fault else None) is reason
    if fault:
        assert fault.seq == 3


def test_restart_of_the_machine_is_no_fault(make_lines: Callable[[int], list[bytes]]) -> None:
    lines = rechained(make_lines(5), entry=5, clock={"boot": "boot-b", "ns": 1})
    assert examine(lines).is_whole


def test_opening_with_another_text_than_its_digest_says_is_named(
    make_lines: Callable[[int], list[bytes]],
) -> None:
    text = '{"procedure":"small"}'
    good = {"procedure": {"text": text, "digest": hashlib.sha256(text.encode()).hexdigest()}}
    bad = {"procedure": {"text": text + " ", "digest": good["procedure"]["digest"]}}
    assert examine(rechained(make_lines(2), entry=1, kind="opened", body=good)).is_whole
    for body in (bad, {}, {"procedure": 3}):
        fault = examine(rechained(make_lines(2), entry=1, kind="opened", body=body)).fault
        assert fault is not None
        assert (fault.seq, fault.reason) == (1, Reason.PROCEDURE)


def test_lines_with_carriage_returns_say_so(make_lines: Callable[[int], list[bytes]]) -> None:
    fault = examine([line + b"\r" for line in make_lines(3)]).fault
    assert fault is not None
    assert fault.seq == 1


def test_verify_raises_what_examine_returns(make_lines: Callable[[int], list[bytes]]) -> None:
    lines = make_lines(3)
    with pytest.raises(DamagedError, match="entry 3: head differs"):
        verify(lines, stream="notes", head=Digest("a" * 64))
