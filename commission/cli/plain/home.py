"""Line prompts around a job: choose an open one or start one."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from commission.cli.exits import Exit
from commission.cli.plain.talk import CommandError, LeftError, Talk
from commission.errors import CommissionError

if TYPE_CHECKING:
    from commission.record.bench import Bench
    from commission.record.session import Session
    from commission.register.state import Register

NEW = "Start a new job"
NOBODY = "Nobody yet"
_Crew = tuple[str, list[tuple[str, tuple[str, ...]]]]
"""The technician's name, and everybody's names with roles."""


def run(store: str | None, job: str | None, talk: Talk | None = None) -> int:
    """Lead through one job by line prompts; return the exit code."""
    from commission.cli.plain.job import drive
    from commission.record.bench import Bench

    talk = talk or Talk()
    try:
        bench = Bench.open(store)
    except CommissionError as error:
        print(error.diagnostics(), file=sys.stderr)
        return Exit.COULD_NOT
    try:
        technician, session = _choose(bench, job, talk)
        with session:
            return drive(session, technician, talk)
    except LeftError:
        talk.tell("Nothing was started.")
        return Exit.UNFINISHED
    except CommissionError as error:
        print(error.diagnostics(), file=sys.stderr)
        return Exit.COULD_NOT
    finally:
        bench.close()


def _choose(bench: Bench, job: str | None, talk: Talk) -> tuple[str, Session]:
    while True:
        try:
            if job is not None:
                return _resume(bench, job, talk)
            return _from_list(bench, talk)
        except CommandError:
            talk.tell("There is no job yet for that command.")


def _from_list(bench: Bench, talk: Talk) -> tuple[str, Session]:
    lines = [line for line in bench.jobs() if not line.is_finished]
    if not lines:
        return _start(bench, talk)
    labels = [
        f"{line.job}  {line.bike}  {line.title}  step {line.done + 1} of {line.total}  "
        f"{line.status}"
        for line in lines
    ]
    picked = talk.pick("Which job?", [*labels, NEW])
    if picked == NEW:
        return _start(bench, talk)
    return _resume(bench, lines[labels.index(picked)].job, talk)


def _resume(bench: Bench, job: str, talk: Talk) -> tuple[str, Session]:
    session = bench.resume(job)
    known = sorted(session.state.people)
    try:
        return talk.pick("Who works on it now?", known), session
    except BaseException:
        session.close()
        raise


def _start(bench: Bench, talk: Talk) -> tuple[str, Session]:
    from commission.procedure import load
    from commission.procedure.offers import offers

    shipped = offers()
    titles = [f"{each.title} ({each.takes})" if each.takes else each.title for each in shipped]
    title = talk.pick("Which procedure?", titles)
    loaded = load.load(shipped[titles.index(title)].file)
    if loaded.procedure is None:
        raise CommissionError(f"{title} has problems.", "`commission check` lists them.")
    bike = {"frame": talk.ask_filled("Frame number:"), "model": talk.ask("Model:")}
    if controller := talk.ask("Kind of its controller (Enter for unknown):"):
        bike["controller"] = controller
    register = bench.book.register
    if register.has_people:
        technician, people = _registered(register, talk)
    else:
        technician, people = _named(talk)
    merged: dict[str, tuple[str, ...]] = {}
    for name, roles in people:
        merged[name] = (*merged.get(name, ()), *roles)
    return technician, bench.start(loaded, bike, merged, technician)


def _named(talk: Talk) -> _Crew:
    """Return the technician and who takes part, by whatever names are typed."""
    technician = talk.ask_filled("Technician:")
    people: list[tuple[str, tuple[str, ...]]] = [(technician, ("technician",))]
    for role in ("lead", "witness"):
        while name := talk.ask(f"{role.capitalize()} (Enter for nobody yet):"):
            if name != technician:
                people.append((name, (role,)))
                break
            talk.tell(f"The {role} is another person than the technician.")
    return technician, people


def _registered(register: Register, talk: Talk) -> _Crew:
    """Return the technician and who takes part, of those the register has in these roles.

    Raises:
        CommissionError: it has no technician.
    """
    able = [one.name for one in register.active("technician")]
    if not able:
        raise CommissionError(
            "The register has no technician.", "`commission people roles` makes one."
        )
    technician = talk.pick("Technician?", able)
    people: list[tuple[str, tuple[str, ...]]] = [(technician, ("technician",))]
    for role in ("lead", "witness"):
        others = [one.name for one in register.active(role) if one.name != technician]
        if others and (name := talk.pick(f"{role.capitalize()}?", [*others, NOBODY])) != NOBODY:
            people.append((name, (role,)))
    return technician, people
