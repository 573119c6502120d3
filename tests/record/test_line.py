"""A line is an entry, and its bytes are what is hashed."""

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.errors import DamagedError, IllegalEntryError
from commission.job.entry import GENESIS, Clock, Digest, Entry
from commission.record.line import KEYS, digest_of, parse, to_line

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4),
    max_leaves=12,
)  # fmt: skip
ENTRIES = st.builds(
    Entry,
    stream=TEXT,
    seq=st.integers(1, 10**9),
    at=st.just("2026-03-01T09:30:00.000000Z"),
    clock=st.builds(Clock, boot=TEXT, ns=st.integers(0, 10**18)),
    bench=TEXT,
    by=TEXT,
    kind=st.just("answered"),
    step=st.none() | TEXT,
    attempt=st.integers(0, 99),
    body=st.dictionaries(TEXT, JSON, max_size=5),
    prev=st.just(Digest("ab" * 32)),
)


def entry(**body: object) -> Entry:
    return Entry(
        "20260301-BCDF", 7, "2026-03-01T09:30:00.000001Z", Clock("b", 12), "bench-1", "Ada",
        "answered", "pack", 1, body, GENESIS,
    )  # fmt: skip


def test_layout_is_pinned_to_the_byte() -> None:
    assert (
        to_line(entry(typed="54.0", unit="Ω"))
        == (
            '{"stream":"20260301-BCDF","seq":7,"at":"2026-03-01T09:30:00.000001Z",'
            '"clock":{"boot":"b","ns":12},"bench":"bench-1","by":"Ada","kind":"answered",'
            '"step":"pack","attempt":1,"body":{"typed":"54.0","unit":"Ω"},'
            f'"prev":"{"0" * 64}"}}'
        ).encode()
    )


@given(ENTRIES)
def test_round_trip_gives_the_same_entry_and_the_same_bytes(made: Entry) -> None:
    line = to_line(made)
    assert b"\n" not in line
    assert parse(line) == made
    assert to_line(parse(line)) == line


def test_typed_text_keeps_its_resolution() -> None:
    assert parse(to_line(entry(typed="54.0"))).body["typed"] == "54.0"


def test_digest_is_sha256_of_the_bytes() -> None:
    # FIPS 180-2, appendix B.1: the digest of "abc".
    assert digest_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    line = to_line(entry())
    assert digest_of(line) == hashlib.sha256(line).hexdigest()


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), "\ud800", object(), {1, 2}])
def test_what_json_cannot_say_is_refused(bad: object) -> None:
    with pytest.raises(IllegalEntryError, match="nothing was recorded"):
        to_line(entry(value=bad))


GOOD = to_line(entry()).decode()


@pytest.mark.parametrize(
    "line",
    [
        "", "nonsense", "[]", "{}", "7", "null", '"text"',
        GOOD[:-1],
        GOOD.replace('"attempt":1,', ""),
        GOOD.replace('"attempt":1', '"attempt":1,"extra":1'),
        GOOD.replace('"seq":7', '"seq":"7"'),
        GOOD.replace('"seq":7', '"seq":true'),
        GOOD.replace('"body":{}', '"body":[]'),
        GOOD.replace('"step":"pack"', '"step":5'),
        GOOD.replace('"ns":12', '"ns":1.5'),
        GOOD.replace('{"boot":"b","ns":12}', '"b"'),
        GOOD.replace('{"boot":"b","ns":12}', '{"boot":"b","ns":12,"x":1}'),
        '{"seq":7,"stream":"20260301-BCDF",' + GOOD.split(",", 2)[2],
        "[" * 100_000,
    ],
)  # fmt: skip
def test_anything_but_an_entry_is_damage(line: str) -> None:
    assert line != GOOD
    with pytest.raises(DamagedError, match="A line of the record is not"):
        parse(line.encode())


def test_keys_are_in_the_order_of_the_design() -> None:
    assert KEYS[0] == "stream"
    assert KEYS[-1] == "prev"
    assert len(KEYS) == 11
