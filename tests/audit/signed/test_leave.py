"""Leave given to oneself, leave that ran out, and holds that nobody needs any more."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from commission.audit.audited import read_job
from commission.audit.run import checked
from commission.job import moves
from commission.record.verifying import known_register

ADA, BEN, CLEO = "Ada Nwosu", "Ben Ito", "Cleo Ek"
WITH_A_LAMP = """
procedure: lamps
revision: 1
title: Lamps
purpose: To have a hold that may fall away.
stages:
  - id: only
    title: Only stage
    steps:
      - {id: light, kind: choose, title: See whether it has a lamp, options: [fitted, none]}
      - id: lamp
        kind: confirm
        title: See the lamp light
        when: "light == 'fitted'"
        hold: witness
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""


def test_leave_for_ones_own_step_is_found(staffed: Any, crew: Any) -> None:
    with (work := staffed.start({**crew, ADA: ("technician", "lead")})).session:
        work.lead = ADA
        (found,) = staffed.found(work.do_all())
    assert (found.check, found.severity, found.step) == ("concession", "major", "fuse")
    assert found.text == "Ada Nwosu did the step and conceded it."


def test_leave_that_ran_out_is_told_once_it_has(staffed: Any, crew: Any) -> None:
    with (work := staffed.start(crew)).session:
        lines = work.do_all()

    def found(day: str) -> list[tuple[str, str, str]]:
        known = known_register(staffed.bench.store)
        job = read_job(lines, work.session.job, known, f"{day}T12:00:00.000000Z", thorough=True)
        return [(one.check, one.severity, one.text) for one in checked(job)]

    assert found("2031-06-01") == []
    ((check, severity, text),) = found("2031-06-02")
    assert (check, severity) == ("concession", "minor")
    assert "ran out on 2031-06-01" in text


def test_a_release_under_leave_that_had_run_out_is_found(staffed: Any, crew: Any) -> None:
    with (work := staffed.start(crew)).session:
        lines = work.do_all()
    job = read_job(lines, work.session.job, None, "2031-01-01T00:00:00.000000Z", thorough=True)
    state = job.state
    assert state is not None
    stands = state.steps["fuse"]
    assert stands.concession is not None
    leave = replace(stands.concession, expiry="2026-01-01")
    steps = {**state.steps, "fuse": replace(stands, concession=leave)}
    late = replace(job, state=replace(state, steps=steps))
    found = [one for one in checked(late, quick=True) if one.check == "concession"]
    assert [one.text for one in found] == [
        "It had run out on 2026-01-01 when the bike was released."
    ]


def test_a_hold_that_fell_away_by_a_correction_is_not_missed(staffed: Any, crew: Any) -> None:
    with (work := staffed.start(crew, WITH_A_LAMP)).session:
        session = work.session
        work.submit("light", value="fitted")
        work.submit("lamp", value="done")
        work.record(lambda: moves.correct(
            session.state, "light", {"": {"value": "none"}}, "looked again", ADA, session.now()
        ))  # fmt: skip
        session.settle()
        work.submit("release", CLEO, value="done")
        assert session.state.outcome == "released"
        assert staffed.said(work.lines) == []
