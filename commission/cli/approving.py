"""`commission procedures`: which revisions are approved for work."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.options import ByOption, JsonOption, LeadFdOption, StoreOption, opened
from commission.cli.practice import loaded_procedure
from commission.cli.signers import lead_signer
from commission.cli.stderr import say
from commission.errors import ProcedureError
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.job.entry import Draft
    from commission.register.state import Register

procedures = typer.Typer(
    name="procedures",
    help="Which revisions of procedures are approved for work.",
    no_args_is_help=True,
)


def register(app: typer.Typer) -> None:
    """Add this module's commands to the command line."""
    app.add_typer(procedures)


@procedures.command("approve")
def approve(
    procedure: Annotated[str, typer.Argument(help="A shipped procedure's name, or a file.")],
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Approve a procedure as it stands now, signed by a lead; audits hold jobs against it."""
    from commission.register.procedures import approve as draft

    loaded = loaded_procedure(procedure)
    one = loaded.procedure
    if one is None:
        raise ProcedureError(f"{procedure} cannot be used.")
    with opened(store) as bench:
        signer = lead_signer(bench, by, lead_fd)

        def make(register: Register) -> Sequence[Draft]:
            return (
                draft(
                    register, one.procedure, one.revision, one.title, loaded.digest, signer.person
                ),
            )

        bench.book.enter(make, signer)
    say(f"{one.procedure} revision {one.revision} is approved; digest {loaded.digest}")


@procedures.command("list")
def list_approved(store: StoreOption = None, as_json: JsonOption = False) -> None:
    """List what was approved, when and by whom; the last of each procedure is the one in force."""
    with opened(store) as bench:
        found = bench.book.register.approved
    if as_json:
        print(json.dumps([
            {"procedure": one.procedure, "revision": one.revision, "digest": one.digest,
             "title": one.title, "at": one.at.at, "by": one.by}
            for one in found
        ], indent=2))  # fmt: skip
        return
    for one in found:
        print(safe_text(
            f"{one.procedure}  revision {one.revision}  {one.at.at[:10]}  {one.by}  {one.digest}"
        ))  # fmt: skip
    if not found:
        say("No procedure is approved: `commission procedures approve NAME`.")
