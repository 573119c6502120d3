"""Contents read once for all jobs, and nothing let through that a close reading refuses."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest

from commission.job.plan import plan
from commission.practice.populations import HANDS, job
from commission.procedure import load
from commission.record.chain import examine
from commission.record.contents import entries_of
from commission.record.line import digest_of, parse, to_line
from commission.record.reading import examine_and_read, read

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.job.entry import Entry
    from commission.record.chain import LaidOut


@pytest.fixture(scope="module")
def jobs() -> tuple[list[bytes], list[bytes]]:
    """Give two jobs' lines, by one person on two bikes."""
    path = next(path for slug, _, path in load.shipped() if slug == "make-safe")
    loaded = load.load(path)
    assert loaded.procedure is not None
    planned = plan(loaded.procedure)
    own = {"id": "make-safe", "revision": 1, "digest": loaded.digest, "text": loaded.text}
    made = [list(job(planned, HANDS[0], 0, number).entries) for number in range(2)]
    for entries in made:
        entries[0].body["procedure"].update(own)
    return rechained(map(to_line, made[0])), rechained(map(to_line, made[1]))


def rechained(lines: Iterable[bytes]) -> list[bytes]:
    """Return lines as somebody who can chain them anew leaves them."""
    found: list[bytes] = []
    prev = b"0" * 64
    for line in lines:
        found.append(line[:-66] + prev + b'"}')
        prev = digest_of(found[-1]).encode()
    return found


def entries(lines: list[bytes]) -> list[Entry]:
    layouts: list[LaidOut] = []
    examined = examine(lines, laid_out=layouts.append)
    assert examined.is_whole
    return entries_of(lines, layouts, examined.stream)


def test_entries_are_those_that_each_line_alone_says(jobs: tuple[list[bytes], ...]) -> None:
    for lines in jobs:
        assert entries(lines) == [parse(line) for line in lines]


def test_equal_contents_of_two_jobs_are_one_in_memory(jobs: tuple[list[bytes], ...]) -> None:
    one, other = (entries(lines) for lines in jobs)
    alike = [(a, b) for a, b in zip(one, other, strict=False) if a.body == b.body != {}]
    assert len(alike) > len(one) // 4
    assert all(a.body is b.body for a, b in alike if a.step == b.step and a.by == b.by)
    assert any(a.at != b.at for a, b in alike)


CHANGES = [
    (b'"body":{', b'"body":{"x":1,"x":2,'),
    (b'"kind":', b'"kind":"noted","kind":'),
    (b',"body":', b',"extra":1,"body":'),
    (b',"body":{', b',"body":[{'),
    (b'"attempt":1', b'"attempt":true'),
    (b'"attempt":1', b'"attempt":1.0'),
    (b'"attempt":1', b'"attempt":01'),
    (b'"bench":"', b'"bench":"\xff'),
    (b'"bench":"', b'"bench":1,"bench":"'),
    (b'"clock":{', b'"clock":{"z":1,'),
    (b'"ns":', b'"ns":0'),
    (b'"ns":1', b'"ns":_'),
    (b'"ns":', b'"ns": '),
    (b'Z","clock"', b'z","clock"'),
    (b'Z","clock"', b'\\","clock"'),
    (b".", b'"'),
    (b'},"prev"', b'},"x":","prev"'),
    (b'},"prev"', b'}},"prev"'),
    (b'},"prev"', b'} ,"prev"'),
    (b'"bench"', b"}"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new"), CHANGES)
def test_what_is_laid_out_otherwise_is_told_as_by_the_close_reading(
    jobs: tuple[list[bytes], ...], old: bytes, new: bytes
) -> None:
    lines = jobs[0]
    for number in itertools.chain(range(1, 4), [len(lines) - 1]):
        changed = [*lines]
        changed[number] = changed[number].replace(old, new, 1)
        changed = rechained(changed)
        if changed == lines:
            continue
        told, found = examine_and_read(changed)
        closely = examine(changed)
        assert told.fault == closely.fault
        if closely.fault is None:
            assert found == read(changed)
            assert found.fault is not None or found.state is not None
