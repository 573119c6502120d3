"""`commission sync`: bring the store of this bench level with another one."""

from __future__ import annotations

import dataclasses
import json
import sys
from typing import Annotated

import typer

from commission.cli.exits import Exit
from commission.cli.options import JsonOption, StoreOption
from commission.errors import RefusedError
from commission.safe_text import safe_text


def register(app: typer.Typer) -> None:
    """Add this module's command to the command line."""
    app.command("sync")(sync)


def sync(
    other: Annotated[str, typer.Argument(help="Path or URL of the other store.")],
    store: StoreOption = None,
    create: Annotated[
        bool, typer.Option("--create", help="Make the other store where there is none.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Bring this bench's store and another level; exit 1 where a record could not be.

    Each gets the entries that the other has more. Where the two tell different stories from some
    entry on, nothing is changed and the entry is named. Attached files are not among the entries.
    """
    from commission.record.bench import Bench, open_store
    from commission.record.places import places_of
    from commission.record.syncing import Fate
    from commission.record.syncing import sync as sync_stores

    done = []
    if places_of(other) == places_of(store):
        raise RefusedError(f"{other} is this bench's own store.", "Name the other one.")
    with Bench.open(store, create=create) as bench:
        there = open_store(places_of(other), create=create)
        try:
            for one in sync_stores(bench.store, there, bench.hold):
                done.append(one)
                if not as_json and one.fate is not Fate.LEVEL:
                    print(safe_text(f"{one.stream}: {_SAID[one.fate].format(one=one)}"))
        finally:
            there.close()
    bad = [one for one in done if one.fate not in _GOOD]
    if as_json:
        json.dump([dataclasses.asdict(one) for one in done], sys.stdout, indent=2)
        print()
    else:
        level = sum(one.fate is Fate.LEVEL for one in done)
        print(f"{len(done) - level - len(bad)} brought level, {level} were, {len(bad)} are not.")
    if bad:
        raise typer.Exit(Exit.NOT_GOOD)


_GOOD = ("level", "sent", "fetched")
_SAID = {
    "sent": "{one.entries} entries sent",
    "fetched": "{one.entries} entries fetched",
    "parted": "NOT LEVEL. {one.told}",
    "damaged": "NOT WHOLE, so not passed on: {one.told}",
    "busy": "left for another time: {one.told}",
}
