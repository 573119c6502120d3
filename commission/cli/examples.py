"""An example under the help of each command that takes words of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

    import typer

EXAMPLES: Final[Mapping[str, str]] = {
    "export": "20300401-BCDF -o job.jsonl",
    "verify": "job.jsonl --register register.jsonl",
    "sync": "/mnt/stick/bench.db --create",
    "report": "20300401-BCDF -o sheet.pdf",
    "people add": '"Ben Ito" --role technician',
    "people roles": "ben-ito --role technician --role witness",
    "people retire": 'ben-ito --reason "left the workshop"',
    "people revoke": 'ben-ito --reason "bag stolen"',
    "people renew": 'ben-ito --reason "passphrase forgotten"',
    "people passphrase": "ben-ito",
    "instruments add": 'multimeter 4711 --due 2031-03-31 --range "60 V: 0.5 %"',
    "instruments calibrated": "4711 --on 2030-03-20 --due 2031-03-31",
    "instruments checked": '4711 "9.00 V source: 9.01 V"',
    "instruments ranges": '4711 --range "60 V: 0.5 %" --reason "new sheet"',
    "instruments retire": '4711 --reason "fell from the bench"',
    "procedures approve": "controller-exchange",
    "audit run": "--since 2030-01-01 --sample zero=95/5",
    "audit show": "audit-20300401-BCDF",
    "audit remark": 'audit-20300401-BCDF --finding 3 --text "Seen"',
    "audit answer": 'audit-20300401-BCDF 3 --by "Ben Ito" --text "So it was"',
    "audit close": 'audit-20300401-BCDF --conclusion "All answered"',
}
"""What is typed after each command's name."""


def add_examples(app: typer.Typer, before: str = "") -> None:
    """Write `EXAMPLES` under the help of the commands of `app` and of its groups."""
    for command in app.registered_commands:
        words = f"{before}{command.name}"
        if words in EXAMPLES:
            command.epilog = f"Example: commission {words} {EXAMPLES[words]}"
    for group in app.registered_groups:
        if group.typer_instance is not None:
            add_examples(group.typer_instance, f"{before}{group.typer_instance.info.name} ")
