"""Options that several commands have, and the bench that `--store` opens."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from commission.cli.identifiers import recorded_id

if TYPE_CHECKING:
    from commission.record.bench import Bench


def store_named(context: typer.Context, value: str | None) -> str | None:
    """Return the store that `--store` names here, else the one it names before a subcommand.

    `commission --store X jobs` is about X; what the environment names gives way to both.
    """
    at: Any = context
    while at is not None:
        source = at.get_parameter_source("store")
        if source is not None and source.name == "COMMANDLINE":
            return value if at is context else str(at.params["store"])
        at = at.parent
    return value


StoreOption = Annotated[
    str | None,
    typer.Option(
        "--store",
        callback=store_named,
        envvar="COMMISSION_STORE",
        help="Path or URL of the store; without it, the one of this bench.",
        show_default=False,
    ),
]
JobArgument = Annotated[
    str,
    typer.Argument(metavar="JOB", parser=recorded_id,
                   help="The job's id, as `commission jobs` lists it."),
]  # fmt: skip
JsonOption = Annotated[bool, typer.Option("--json", help="Write JSON, for programs.")]
ReasonOption = Annotated[str, typer.Option("--reason", help="Why; it stands in the register.")]
ByOption = Annotated[
    str,
    typer.Option("--by", metavar="LEAD", help="The lead who signs; not needed where there is one.",
                 show_default=False),
]  # fmt: skip
OwnFdOption = Annotated[
    int | None,
    typer.Option("--passphrase-fd", metavar="FD", show_default=False,
                 help="Read the person's passphrase as a line from this file descriptor."),
]  # fmt: skip
LeadFdOption = Annotated[
    int | None,
    typer.Option("--lead-passphrase-fd", metavar="FD", show_default=False,
                 help="Read the lead's passphrase as a line from this file descriptor."),
]  # fmt: skip


def opened(store: str | None) -> Bench:
    """Open the bench that is there already."""
    from commission.record.bench import Bench

    return Bench.open(store, create=False)
