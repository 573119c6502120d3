"""`commission audit`: finished jobs checked afterwards."""

from __future__ import annotations

import json
import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any

import typer

from commission.cli.exits import Exit
from commission.cli.identifiers import recorded_id
from commission.cli.options import JsonOption, StoreOption, opened
from commission.cli.signers import recorded_name
from commission.cli.stderr import say
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.audit.choose import Population, Selection
    from commission.audit.run import Audited
    from commission.audit.sampling import Plan
    from commission.record.bench import Bench

audit = typer.Typer(
    name="audit",
    help="Finished jobs checked afterwards: whole, complete, judged again, plausible.",
    invoke_without_command=True,
)
JobsOption = Annotated[
    list[str] | None,
    typer.Option("--job", metavar="JOB", parser=recorded_id, show_default=False,
                 help="Only this job; repeatable."),
]  # fmt: skip
TechnicianOption = Annotated[
    str, typer.Option("--technician", help="Jobs in which this person made an entry.")
]
BikeOption = Annotated[
    str, typer.Option("--bike", help="Part of what the list of jobs says of the bike.")
]
ProcedureOption = Annotated[str, typer.Option("--procedure", help="Id of the procedure.")]
SinceOption = Annotated[str, typer.Option("--since", metavar="DAY", help="Opened on or after.")]
UntilOption = Annotated[str, typer.Option("--until", metavar="DAY", help="Opened on or before.")]
OutcomeOption = Annotated[
    str, typer.Option("--outcome", help="finished, open, any, released, or another outcome.")
]
PracticeOption = Annotated[bool, typer.Option("--practice", help="Practice jobs, too.")]


def register(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    from commission.cli import auditing, overview  # noqa: F401  they add theirs to `audit`

    app.add_typer(audit)


@audit.callback()
def screens(context: typer.Context, store: StoreOption = None) -> None:
    """Finished jobs checked afterwards; without a command the screens of it."""
    if context.invoked_subcommand is not None:
        return
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        say("The screens need a terminal; `commission audit --help` lists what does without.")
        raise typer.Exit(Exit.COULD_NOT)
    from commission.tui.audit.opening import run as run_screens

    raise typer.Exit(run_screens(store))


@audit.command("run")
def run(  # noqa: PLR0913, PLR0917  options of a command
    job: JobsOption = None,
    technician: TechnicianOption = "",
    bike: BikeOption = "",
    procedure: ProcedureOption = "",
    since: SinceOption = "",
    until: UntilOption = "",
    outcome: OutcomeOption = "finished",
    sample: Annotated[
        str,
        typer.Option("--sample", metavar="PLAN", help="zero=95/5, aql=2.5 or count=20; else all."),
    ] = "",
    practice: PracticeOption = False,
    quick: Annotated[
        bool, typer.Option("--quick", help="Do not judge again from the readings.")
    ] = False,
    record: Annotated[
        bool, typer.Option("--record", help="Keep it: findings can then be answered and closed.")
    ] = False,
    by: Annotated[str, typer.Option("--by", help="With --record: who audits.")] = "",
    purpose: Annotated[
        str, typer.Option("--purpose", help="With --record: what the audit is for.")
    ] = "",
    store: StoreOption = None,
    as_json: JsonOption = False,
) -> None:
    """Check jobs; exit 0: no fault (signs ask for a look), 1: a fault, 2: could not be done."""
    from commission.audit.book import AuditBook
    from commission.audit.choose import Selection

    with opened(store) as bench:
        who = recorded_name(bench, technician)
        drawn = Drawn.of(
            bench,
            Selection(tuple(job or ()), who, bike, procedure, since, until, outcome, practice),
            sample,
        )
        if record:
            AuditBook(bench).auditor(by)  # refused before the work, not after it
        found = drawn.audited(bench, quick=quick)
        kept = drawn.kept(bench, found, by, purpose, quick=quick) if record else None
    if as_json:
        print(json.dumps({"audit": kept, **drawn.to_json(found)}, indent=2))
    else:
        drawn.tell(found)
    if kept is not None:
        say(f"Kept as {kept}: `commission audit show {kept}`.")
    raise typer.Exit(Exit.DONE if found.is_good else Exit.NOT_GOOD)


@audit.command("checks")
def checks(as_json: JsonOption = False) -> None:
    """List the checks: what each looks for, how bad its findings are, and by whose word."""
    from commission.audit.catalogue import UNSEEN, declared

    if as_json:
        fields = ("id", "title", "looks_for", "severity", "source", "version")
        print(json.dumps([{each: getattr(one, each) for each in fields} for one in declared()]))
        return
    for one in declared():
        kind = "sign" if one.is_sign else f"fault, {one.severity}"
        print(f"{one.id}  ({kind})  {one.title}\n    {one.looks_for}\n    Source: {one.source}.")
    print(UNSEEN)


class Drawn:
    """What is audited: a population, and the jobs of it that were drawn."""

    def __init__(
        self, selection: Selection, population: Population, plan: Plan | None, jobs: tuple[str, ...]
    ) -> None:
        self.selection = selection
        self.population = population
        self.plan = plan
        self.jobs = jobs

    @classmethod
    def of(cls, bench: Bench, selection: Selection, sample: str) -> Drawn:
        """Return what a selection and a sample's plan come to.

        Raises:
            RefusedError: no job is like that, or the plan is none.
        """
        from commission.audit import sampling
        from commission.audit.choose import population

        chosen = population(bench.store, selection)
        jobs = tuple(line.job for line in chosen.lines)
        if not sample:
            return cls(selection, chosen, None, jobs)
        plan = sampling.plan(sample, len(jobs))
        return cls(selection, chosen, plan, sampling.draw(jobs, chosen.digest, plan))

    def audited(self, bench: Bench, *, quick: bool) -> Audited:
        """Return what the checks find, with a progress bar on a terminal."""
        from commission.audit.run import run as run_audit
        from commission.record.clocks import machine

        with progress(len(self.jobs)) as step:
            return run_audit(bench.store, self.jobs, machine().now().at, quick=quick, progress=step)

    def kept(self, bench: Bench, found: Audited, by: str, purpose: str, *, quick: bool) -> str:
        """Record the audit, and return its id."""
        from commission.audit.book import AuditBook, Begun

        book = AuditBook(bench)
        name = book.auditor(by)[0]
        jobs = [{"job": one.job, "entries": one.entries, "head": one.head} for one in found.looked]
        begun = Begun(
            purpose or "Audit of finished jobs", self.selection.to_json(),
            {"jobs": len(self.population.lines), "digest": self.population.digest},
            self._sample(), jobs, quick, [one.job for one in found.looked if name in one.people],
        )  # fmt: skip
        opened = book.begin(begun, found.findings, by).opened
        return "" if opened is None else opened.audit

    def to_json(self, found: Audited) -> dict[str, Any]:
        """Return everything for programs."""
        return {
            "selection": self.selection.to_json(),
            "population": {"jobs": len(self.population.lines), "digest": self.population.digest},
            "sample": self._sample(),
            "jobs": list(self.jobs),
            "entries": found.entries,
            "good": found.is_good,
            "counts": found.counts(),
            "findings": [one.to_json() for one in found.findings],
        }

    def _sample(self) -> dict[str, Any] | None:
        from commission.audit.sampling import seed_of

        if self.plan is None:
            return None
        seed = seed_of(self.population.digest, self.plan)
        return {
            "plan": self.plan.text, "size": self.plan.size, "accept": self.plan.accept,
            "says": self.plan.says, "seed": seed,
        }  # fmt: skip

    def tell(self, found: Audited) -> None:
        """Print findings, worst first, and say on standard error what was looked at."""
        from commission.report.times import counted

        for one in sorted(found.findings, key=lambda each: each.grade):
            print(safe_text(one))
        total = len(self.population.lines)
        say(f"Jobs: {total}, digest {self.population.digest}")
        if self.plan is not None:
            say(f"Drawn: {len(self.jobs)} by {self.plan.text}: {self.plan.says}.")
            faulty = len({one.job for one in found.findings if not one.is_sign})
            verdict = "accepted" if faulty <= self.plan.accept else "not accepted"
            say(f"With a fault: {faulty}; by the plan {verdict}.")
        counts = ", ".join(f"{count} {name}" for name, count in found.counts().items() if count)
        jobs, entries = len(found.looked), found.entries
        say(f"Audited: {counted(jobs, 'job')}, {counted(entries, 'entry', 'entries')}.")
        say(f"Found: {counts or 'nothing'}.")
        if any(one.is_sign for one in found.findings):
            say("A sign (review) asks for a second look; `commission audit signs` says how often "
                "each is wrong.")  # fmt: skip


@contextmanager
def progress(total: int) -> Iterator[Callable[[int], None] | None]:
    """Give what shows a progress bar on standard error; nothing where that is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    with typer.progressbar(length=total, label="Jobs", file=sys.stderr) as bar:

        def step(_: int) -> None:
            bar.update(1)

        yield step
