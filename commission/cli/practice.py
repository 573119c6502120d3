"""`commission practice`: a whole job on a virtual bike."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.exits import Exit
from commission.errors import RefusedError
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan
    from commission.job.state import JobState
    from commission.practice.build import Build
    from commission.practice.faults import Fault
    from commission.practice.habits import Habits
    from commission.practice.recorded import Recorded
    from commission.procedure.load import Loaded

MAIN = "controller-exchange"
_MARK = "PRACTICE"
_TRIES = 200
"""How many seeds are tried for a bike that has what a fault needs."""


def register(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command("practice")(practice)


def practice(
    procedure: Annotated[
        str, typer.Argument(help="A shipped procedure's name, or a file.", metavar="[PROCEDURE]")
    ] = MAIN,
    fault: Annotated[
        str | None,
        typer.Option("--fault", metavar="NAME|random", help="What is wrong with the bike."),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", help="Which bike, and its noise; without it the demonstrator."),
    ] = None,
    auto: Annotated[bool, typer.Option("--auto", help="The job is done by itself.")] = False,
    plain: Annotated[bool, typer.Option("--plain", help="Text lines, for pipes.")] = False,
    hand: Annotated[
        str,
        typer.Option("--hand", help="Who works, with --auto: honest, confirms, copies, hurries."),
    ] = "honest",
    store: Annotated[
        str | None,
        typer.Option("--store", help="Path of the practice store.", show_default=False),
    ] = None,
) -> None:
    """Do a whole job on a virtual bike; exit 0 where it ends in release, 1 where it stops."""
    if not (auto and plain):
        raise RefusedError(
            "Practice by hand needs the bench panel, which is not built yet.",
            "Use `commission practice --auto --plain`.",
        )
    raise typer.Exit(_by_itself(procedure, fault, seed, hand, store))


def _by_itself(
    procedure: str, fault: str | None, seed: int | None, hand: str, store: str | None
) -> int:
    from commission.job.plan import from_record
    from commission.practice.bike import Bike
    from commission.practice.debrief import debrief
    from commission.practice.recorded import clocks_of, practise
    from commission.record.bench import Bench
    from commission.record.places import practice as practice_store

    loaded, habits = loaded_procedure(procedure), _habits(hand)
    plan = from_record(loaded.text)
    build, wrong = _build(plan, fault, seed)
    bike = Bike(build, seed or 0)
    with Bench.open(store or practice_store(), clocks=clocks_of(bike)) as bench:
        done = practise(
            bench, loaded, bike, habits=habits, opened=_say_opened(loaded), watch=_watch
        )
    _say_end(done, wrong)
    told = debrief(plan, build, seed or 0, done.state, bike.events)
    for line in (*told.happened, told.shows if wrong else "", told.missed):
        if line:
            _say(line)
    _say(f"Job {done.job}, head {done.head}")
    return {"released": Exit.DONE, "finished": Exit.DONE, "stopped": Exit.NOT_GOOD}.get(
        done.ended.how, Exit.COULD_NOT
    )


def loaded_procedure(procedure: str) -> Loaded:
    """Return a checked procedure by its name or file; its problems go to standard error.

    Raises:
        RefusedError: there is none, or it has errors.
    """
    from commission.procedure import load
    from commission.procedure.check import check, is_usable

    shipped = {slug: path for slug, _, path in load.shipped()}
    if procedure not in shipped and not Path(procedure).is_file():
        raise RefusedError(
            f"There is no procedure and no file {procedure!r}.", f"Shipped: {', '.join(shipped)}."
        )
    loaded = load.load(shipped.get(procedure, procedure))
    problems = check(loaded)
    if not is_usable(problems):
        for each in problems:
            print(safe_text(each), file=sys.stderr)
        raise RefusedError(f"{procedure} cannot be used.", "Mend what stands above.")
    return loaded


def _habits(hand: str) -> Habits:
    from commission.practice.habits import ALL

    for habits in ALL:
        if habits.name == hand:
            return habits
    names = ", ".join(each.name for each in ALL)
    raise RefusedError(f"There is no hand {hand!r}.", f"There are: {names}.")


def _build(plan: Plan, fault: str | None, seed: int | None) -> tuple[Build, Fault | None]:
    """Return the bike as it comes to the job, and what is wrong with it."""
    from commission.practice.altering import ChangeError
    from commission.practice.faults import apply
    from commission.practice.physics.varied import demo_build, sound_build
    from commission.practice.run import arriving

    wrong = None if fault is None else _fault(fault, seed)
    if wrong is None:
        return arriving(plan, demo_build() if seed is None else sound_build(seed)), None
    first = seed or 0
    for number in range(first, first + _TRIES):
        build = demo_build() if seed is None and number == first else sound_build(number)
        if not wrong.possible(build):
            continue
        try:
            return apply(arriving(plan, build), wrong), wrong
        except ChangeError:
            continue  # this bike lacks what is to be changed
    raise RefusedError(f"No sound bike has what {wrong.id} needs.", "Give another --seed.")


def _fault(name: str, seed: int | None) -> Fault:
    import difflib
    from random import Random

    from commission.practice import faults

    known = faults.shipped()
    if not known.faults:
        raise RefusedError("The fault catalogue cannot be read.", "Its files are damaged.")
    if name == "random":
        return Random(seed).choice(known.faults)  # noqa: S311  for play
    found = known.find(name)
    if found is None:
        near = difflib.get_close_matches(name, [each.id for each in known.faults], n=2)
        hint = f"Did you mean {' or '.join(near)}?" if near else "See checklists/faults."
        raise RefusedError(f"There is no fault {name[:60]!r}.", hint)
    return found


def _say(text: str) -> None:
    print(safe_text(f"{_MARK}  {text}"), flush=True)


def _say_opened(loaded: Loaded) -> Callable[[str], None]:
    title = "" if loaded.procedure is None else loaded.procedure.title

    def say(job: str) -> None:
        _say(f"{title}, job {job}, on a virtual bike")

    return say


def _watch(before: JobState, after: JobState) -> None:
    """Say what each thing done came to."""
    for name, stands in after.steps.items():
        was = before.steps[name]
        if stands is was:
            continue
        planned = after.plan.planned(name)
        if stands.answer is not None and stands.answer is not was.answer:
            _say(
                f"{stands.answer.verdict.upper():8}  {planned.step.title}: {stands.answer.because}"
            )
        elif stands.status is not was.status and str(stands.status) in ("not applicable", "failed"):
            _say(f"{str(stands.status).upper():8}  {planned.step.title}: {stands.reason}")


def _say_end(done: Recorded, wrong: Fault | None) -> None:
    ended = done.ended
    at = f" at {ended.step}: {ended.why}" if ended.step else ""
    _say(f"The job is {ended.how}{at}")
    if wrong is not None:
        _say(f"What was wrong: {wrong.title} ({wrong.id}). {wrong.effect}")
    let_go = ended.how in ("released", "finished")
    for truth in done.truths:
        _say(f"{'A' if let_go else 'Now a'} rider would meet: {truth.what}")
    if not done.truths:
        _say("A rider would meet nothing wrong.")
