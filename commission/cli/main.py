"""The command `commission`: without a command it opens the screens, with one it does that."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from commission import __version__
from commission.cli import (
    approving,
    audit,
    calc,
    cross_check,
    instruments,
    people,
    practice,
    procedures,
    prove,
    records,
    report,
    sync,
)
from commission.cli.examples import add_examples
from commission.cli.exits import Exit
from commission.cli.options import JobArgument, StoreOption
from commission.cli.stderr import say
from commission.errors import CommissionError

app = typer.Typer(
    name="commission",
    help="Guide, compute, prove and record the commissioning of a motor controller.",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
procedures.register(app)
calc.register(app)
cross_check.register(app)
records.register(app)
people.register(app)
instruments.register(app)
practice.register(app)
prove.register(app)
audit.register(app)
approving.register(app)
sync.register(app)
report.register(app)
add_examples(app)

PlainOption = Annotated[
    bool, typer.Option("--plain", help="Line prompts instead of screens, for readers and pipes.")
]


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"commission {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def open_home(
    context: typer.Context,
    store: StoreOption = None,
    plain: PlainOption = False,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_print_version, is_eager=True, help="Say the version."),
    ] = False,
) -> None:
    """Open the bench: its jobs, and a new one."""
    del version
    if context.invoked_subcommand is None:
        raise typer.Exit(_faces(store, None, plain=plain))


@app.command("open")
def open_job(
    context: typer.Context,
    job: JobArgument,
    store: StoreOption = None,
    plain: PlainOption = False,
) -> None:
    """Go on with one job."""
    before = context.parent is not None and bool(context.parent.params.get("plain"))
    raise typer.Exit(_faces(store, job, plain=plain or before))


def _faces(store: str | None, job: str | None, *, plain: bool) -> int:
    if plain:
        from commission.cli.plain import run as run_plain

        return run_plain(store, job)
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        say("The screens need a terminal; use `commission --plain` for pipes.")
        return Exit.COULD_NOT
    from commission.tui.app import run as run_screens

    return run_screens(store, job)


def main() -> None:
    """Run the command line; refusals become one sentence on stderr and exit code 2."""
    if sys.argv[1:] == ["--version"]:
        _print_quickly()
        return
    try:
        app()
    except CommissionError as error:
        say(error.diagnostics())
        sys.exit(Exit.COULD_NOT)


def _print_quickly() -> None:
    print(f"commission {__version__}")


if __name__ == "__main__":
    main()
