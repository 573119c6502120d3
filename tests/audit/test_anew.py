"""Answers judged anew in the one fold; what was found of one is said of another where it holds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.audit import repeated
from commission.audit.anew import Anew
from commission.job.advance import replay
from commission.job.kinds import HANDLERS, Look

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.job.judge import Judgement


@pytest.fixture(autouse=True)
def nothing_kept() -> Iterator[None]:
    """Let every test begin and end without what was found before."""
    repeated.forget()
    yield
    repeated.forget()


def differing(record: Any) -> list[tuple[int, str]]:
    anew = record.audited().anew
    assert anew is not None
    return [(entry.seq, said) for entry, said in anew.differing]


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Give the steps of kind `measure` that are judged in full, as they are."""
    steps: list[str] = []
    handler = HANDLERS["measure"]
    own = handler.conclude

    def conclude(look: Look) -> Judgement | None:
        steps.append(look.step.id)
        return own(look)

    monkeypatch.setattr(handler, "conclude", conclude)
    return steps


def test_the_same_answers_again_are_not_judged_again(
    record: Callable[..., Any], judged: list[str]
) -> None:
    assert differing(record()) == []
    first = len(judged)
    assert first > 0
    assert differing(record()) == []
    assert len(judged) == first


def test_a_wrong_verdict_is_found_as_often_as_it_stands(record: Callable[..., Any]) -> None:
    for _ in range(3):
        wrong = record()
        place = wrong.where("answered", "axle_torque")
        body = wrong.entries[place].body
        checks = [{**body["judged"]["checks"][0], "high": 1e6}]
        wrong.change_body(place, judged={**body["judged"], "checks": checks})
        assert [seq for seq, _ in differing(wrong)] == [wrong.entries[place].seq]
        assert differing(record()) == []


def test_an_answer_is_judged_again_where_what_it_rests_on_is_another(
    record: Callable[..., Any], judged: list[str]
) -> None:
    whole = record()
    assert differing(whole) == []
    first = len(judged)
    other = record()
    for place, entry in enumerate(other.entries):
        value = entry.body.get("parts", {}).get("", {}).get("value")
        if entry.kind == "answered" and entry.step == "pack_voltage":
            typed = f"{float(value['typed']) + 0.01:.2f}"
            parts = {"": {"value": {**value, "typed": typed}}}
            other.change_body(place, parts=parts)
    assert "pack_voltage" in judged
    said = differing(other)
    assert said
    assert len(judged) > first


@pytest.mark.parametrize("slug", ["gearing-change", "controller-exchange"])
def test_what_is_said_again_is_what_judging_each_in_full_says(
    record: Callable[..., Any], slug: str
) -> None:
    whole = record(slug)
    for place, entry in enumerate(whole.entries):
        judged = entry.body.get("judged", {})
        if entry.kind == "answered" and judged.get("checks") and place % 3 == 0:
            checks = [{**one, "of": "another"} for one in judged["checks"]]
            whole.change_body(place, judged={**judged, "checks": checks})
    for _ in range(2):  # the second time, what was found the first time
        job = whole.audited()
        assert job.state is not None
        assert job.anew is not None
        slow = Anew(job.entries, repeats=False)
        replay(job.state.plan, job.entries, slow.watch)
        assert len(slow.differing) > 3
        assert job.anew.differing == slow.differing


def test_what_is_kept_is_bounded(
    record: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(repeated, "_MOST", 5)
    assert differing(record()) == []
    assert repeated.kept() == 5
