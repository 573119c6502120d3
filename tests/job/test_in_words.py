"""A judgement without words: the same verdict and the same numbers to judge again from."""

from __future__ import annotations

import pytest

from commission.job.advance import advance, begin
from commission.job.again import judged_anew
from commission.job.plan import plan
from commission.practice.populations import HANDS, job
from commission.procedure import load

COMPARED = ("checks", "values", "inputs", "seconds")


@pytest.mark.parametrize("slug", ["pack-change", "rotor-sensor-check"])
@pytest.mark.parametrize("hand", [HANDS[0], HANDS[2]], ids=lambda hand: hand.name)
def test_words_change_neither_verdict_nor_numbers(slug: str, hand: object) -> None:
    path = next(path for name, _, path in load.shipped() if name == slug)
    loaded = load.load(path)
    assert loaded.procedure is not None
    planned = plan(loaded.procedure)
    state = before = begin(planned)
    kinds = set()
    for entry in job(planned, hand, 0, 1).entries:  # type: ignore[arg-type]
        if entry.kind in ("answered", "corrected"):
            told = judged_anew(state, entry, before)
            untold = judged_anew(state, entry, before, in_words=False)
            assert told is not None
            assert untold is not None
            assert untold.verdict == told.verdict == entry.body["verdict"]
            for key in COMPARED:
                assert untold.judged.get(key) == told.judged.get(key)
            assert told.because
            kinds.add(planned.planned(entry.step or "").kind)
        before, state = state, advance(state, entry)
    assert {"measure", "confirm", "fact"} <= kinds
