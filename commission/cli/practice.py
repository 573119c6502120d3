"""`commission practice`: a whole job on a virtual bike."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.exits import Exit
from commission.cli.stderr import say
from commission.errors import RefusedError
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan
    from commission.job.state import JobState
    from commission.practice.habits import Habits
    from commission.practice.preparing import Prepared
    from commission.procedure.load import Loaded

MAIN = "controller-exchange"
SHORT = "quick-persistence"
HONEST = "honest"
_MARK = "PRACTICE"


def register(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command("practice")(practice)


def practice(
    procedure: Annotated[
        str | None,
        typer.Argument(help="A shipped procedure's name, or a file.", metavar="[PROCEDURE]"),
    ] = None,
    fault: Annotated[
        str | None,
        typer.Option("--fault", metavar="NAME|random", help="What is wrong with the bike."),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", help="Which bike, and its noise; without it the demonstrator."),
    ] = None,
    auto: Annotated[bool, typer.Option("--auto", help="A robot does the job.")] = False,
    plain: Annotated[bool, typer.Option("--plain", help="Text lines, for pipes.")] = False,
    hand: Annotated[
        str,
        typer.Option("--hand", help="Who works, with --auto: honest, confirms, copies, hurries."),
    ] = HONEST,
    store: Annotated[
        str | None,
        typer.Option("--store", help="Path of the practice store.", show_default=False),
    ] = None,
) -> None:
    """Practise a whole job on a virtual bike; nothing of it is a job of the bench.

    With --auto --plain: exit 0 where the job ends in release, 1 where it stops.
    """
    if auto and plain:
        raise typer.Exit(_by_itself(procedure or MAIN, fault, seed, hand, store))
    if plain:
        raise RefusedError(
            "By hand, practice needs the screens.", "Use --plain together with --auto."
        )
    raise typer.Exit(_on_screens(procedure, fault, seed, auto, hand, store))


def _on_screens(
    procedure: str | None, fault: str | None, seed: int | None, auto: bool, hand: str,
    store: str | None,
) -> int:  # fmt: skip
    from commission.practice import preparing
    from commission.tui.practice.opening import Wanted, run

    if hand != HONEST:
        raise RefusedError("On the screens the robot is honest.", "Use --hand with --plain.")
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise RefusedError(
            "The screens need a terminal.", "Use `commission practice --auto --plain` for pipes."
        )
    if fault not in (None, preparing.RANDOM):
        preparing.named(str(fault))
    chosen = procedure or (MAIN if auto else SHORT if fault is not None else None)
    loaded = None if chosen is None else loaded_procedure(chosen)
    return run(Wanted(loaded, fault, seed, auto, store))


def _by_itself(
    procedure: str, fault: str | None, seed: int | None, hand: str, store: str | None
) -> int:
    from commission.job.plan import from_record
    from commission.practice import review
    from commission.practice.bike import Bike
    from commission.practice.recorded import clocks_of, practise
    from commission.record.bench import Bench
    from commission.record.places import practice as practice_store

    loaded, habits = loaded_procedure(procedure), _habits(hand)
    prepared = _prepared(from_record(loaded.text), fault, seed)
    bike = Bike(prepared.build, prepared.seed)
    with Bench.open(store or practice_store(), clocks=clocks_of(bike)) as bench:
        done = practise(
            bench, loaded, bike, habits=habits, opened=_say_opened(loaded), watch=_watch
        )
    ended = done.ended
    at = f" at {ended.step}: {ended.why}" if ended.step else ""
    _say(f"The job is {ended.how}{at}")
    failed = [review.Failed(each.step, each.because) for each in done.failures]
    stopped_at = ended.step if ended.how != "released" else ""
    told = review.review(bike, prepared, done.state, failed, stopped_at, "The robot")
    for line in review.lines(told):
        _say(line)
    _say(f"Job {done.job}, head {done.head}")
    return {"released": Exit.DONE, "finished": Exit.DONE, "stopped": Exit.NOT_GOOD}.get(
        ended.how, Exit.COULD_NOT
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
            say(each)
        raise RefusedError(f"{procedure} cannot be used.", "Mend what stands above.")
    return loaded


def _habits(hand: str) -> Habits:
    from commission.practice.habits import ALL

    for habits in ALL:
        if habits.name == hand:
            return habits
    names = ", ".join(each.name for each in ALL)
    raise RefusedError(f"There is no hand {hand!r}.", f"There are: {names}.")


def _prepared(plan: Plan, fault: str | None, seed: int | None) -> Prepared:
    """Return the bike as it comes to the job."""
    from commission.practice import preparing

    if fault == preparing.RANDOM:
        return preparing.findable(plan, seed)
    return preparing.prepared(plan, None if fault is None else preparing.named(fault), seed)


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
