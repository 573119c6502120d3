"""How often each sign of an audit is wrong, and how often it sees what it is for: measured.

On jobs of made-up people (`populations`): the share of honest ones for whom it is raised is its
false-alarm rate, the share of each careless kind its power. Signs of one job are counted per job;
signs across jobs per person, in a workshop with honest colleagues. A file with the results goes
with the audit, `commission/audit/signs.json`; made again by

    python -m commission.practice.measured_signs > commission/audit/signs.json
"""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections import Counter
from typing import TYPE_CHECKING, Any, Final

from commission import __version__
from commission.audit.audited import with_state
from commission.audit.catalogue import declared
from commission.audit.run import across, checked
from commission.practice.populations import HANDS, Hand, job, name_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.audit.audited import AuditedJob
    from commission.audit.finding import Finding
    from commission.job.plan import Plan

PROCEDURE: Final = "controller-exchange"
PEOPLE, JOBS = 40, 12
"""Of each kind: people, and jobs of each of them."""
_COLLEAGUES: Final = 3
_AS_OF: Final = "2031-01-01T00:00:00.000000Z"
_PER_PERSON: Final = frozenset({"terminal-digits", "same-pair"})


def measure(
    plan: Plan,
    people: int = PEOPLE,
    jobs: int = JOBS,
    progress: Callable[[str], None] | None = None,
) -> dict[str, Any]:
    """Return the results as the file keeps them.

    Args:
        plan: of the procedure that is worked by.
        people: how many of each kind.
        jobs: how many each of them does.
        progress: told the name of each kind before it is made.
    """
    signs = [one for one in declared() if one.is_sign]
    raised: dict[str, Counter[str]] = {}
    colleagues = [_work(plan, HANDS[0], people + number, jobs) for number in range(_COLLEAGUES)]
    for hand in HANDS:
        if progress is not None:
            progress(hand.name)
        raised[hand.name] = _raised(plan, hand, people, jobs, colleagues)
    return {
        "tool": f"commission {__version__}",
        "procedure": plan.procedure.procedure,
        "revision": plan.procedure.revision,
        "people": people,
        "jobs_each": jobs,
        "hands": {hand.name: hand.what for hand in HANDS},
        "signs": {
            sign.id: {
                "version": sign.version,
                "per": "person" if sign.id in _PER_PERSON else "job",
                "of": people if sign.id in _PER_PERSON else people * jobs,
                "raised": {name: counts[sign.id] for name, counts in raised.items()},
            }
            for sign in signs
        },
    }


def _work(plan: Plan, hand: Hand, person: int, jobs: int) -> list[AuditedJob]:
    found = []
    for number in range(jobs):
        made = job(plan, hand, person, number)
        found.append(with_state(made.entries, made.state, _AS_OF))
    return found


def _raised(
    plan: Plan, hand: Hand, people: int, jobs: int, colleagues: list[list[AuditedJob]]
) -> Counter[str]:
    """Return for how many jobs, or people, of one kind each sign is raised."""
    counts: Counter[str] = Counter()
    for person in range(people):
        mine = _work(plan, hand, person, jobs)
        for one in mine:
            counts.update({found.check for found in checked(one, quick=True) if found.is_sign})
        together = across([*(job for others in colleagues for job in others), *mine])
        counts.update(_of(name_of(hand, person), together))
    return counts


def _of(name: str, found: tuple[Finding, ...]) -> list[str]:
    """Return the signs raised for a person: each once per job, or once where it is of none."""
    mine = {(one.check, one.job) for one in found if one.by == name}
    return [check for check, _ in mine]


def main() -> None:
    """Measure with the shipped procedure, and print the file."""
    # It takes minutes: no word that is not understood may start it.
    ArgumentParser(
        prog="python -m commission.practice.measured_signs",
        description="Measure the signs of an audit with the shipped procedure, for minutes, and"
        " print the file that is commission/audit/signs.json.",
    ).parse_args()
    from commission.job.plan import from_record
    from commission.procedure import load

    path = next(path for slug, _, path in load.shipped() if slug == PROCEDURE)
    plan = from_record(load.load(path).text)

    def say(name: str) -> None:
        print(f"{name} …", file=sys.stderr, flush=True)  # noqa: T201  a script's progress

    print(json.dumps(measure(plan, progress=say), indent=1))  # noqa: T201  the result


if __name__ == "__main__":
    main()
