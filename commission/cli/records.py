"""Commands about records: list jobs, export, verify, rebuild."""

from __future__ import annotations

import dataclasses
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from commission.cli.exits import Exit
from commission.cli.identifiers import recorded_id
from commission.cli.options import JobArgument, JsonOption, StoreOption, opened
from commission.cli.stderr import say
from commission.errors import DamagedError, RefusedError
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.entry import Digest
    from commission.record.bench import Bench
    from commission.record.chain import Examined
    from commission.record.store import JobLine


def register(app: typer.Typer) -> None:
    """Add this module's commands to the command line."""
    app.command("jobs")(jobs)
    app.command("export")(export)
    app.command("verify")(verify)
    app.command("rebuild")(rebuild)


def jobs(store: StoreOption = None, as_json: JsonOption = False) -> None:
    """List the jobs of the bench, last worked on first."""
    from commission.record.bench import Bench
    from commission.record.places import places_of

    lines: tuple[JobLine, ...] = ()
    places = places_of(store)
    if places.may_be_there:
        with Bench.open(store, create=False) as bench:
            lines = bench.jobs()
    if as_json:
        _print_json([dataclasses.asdict(line) for line in lines])
        return
    for line in lines:
        print(safe_text(_job_text(line)))
    if not lines:
        none = "" if places.may_be_there else f" There is no store at {places.store} yet."
        say(f"No jobs yet.{none}")


def export(
    job: JobArgument,
    output: Annotated[
        str, typer.Option("--output", "-o", help="The file to write; - is standard output.")
    ] = "-",
    store: StoreOption = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
    partial: Annotated[
        bool, typer.Option("--partial", help="Of a damaged store, write what can be read.")
    ] = False,
) -> None:
    """Write a job's record as JSON Lines, byte for byte as it is stored."""
    from commission.record.exporting import export_to, write_lines

    with opened(store) as bench:
        _require(bench, job)
        if output == "-":
            done = write_lines(bench.lines(job), sys.stdout.buffer, partial=partial)
            sys.stdout.buffer.flush()
        else:
            done = export_to(bench.lines(job), Path(output), force=force, partial=partial)
    say(f"{job}: {done.entries} entries; head {done.head}")
    if done.damage:
        say(f"Not all of it: {done.damage}")
        raise typer.Exit(Exit.NOT_GOOD)


def verify(
    what: Annotated[
        str | None, typer.Argument(metavar="FILE|JOB", help="An exported file, or a job's id.")
    ] = None,
    everything: Annotated[bool, typer.Option("--all", help="Every record in the store.")] = False,
    head: Annotated[
        str | None,
        typer.Option("--head", metavar="DIGEST", help="The digest the last entry must have."),
    ] = None,
    register: Annotated[
        Path | None,
        typer.Option(
            "--register",
            metavar="FILE",
            show_default=False,
            help="An exported register, to hold a file's signatures against.",
        ),
    ] = None,
    store: StoreOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say whether records are whole; exit 0: whole, 1: not whole, 2: could not tell."""
    if (what is None) != everything:
        raise RefusedError("Name one file or one job, or say --all.", "See `verify --help`.")
    wanted = _digest(head, everything=everything)
    found = list(_examined(what, wanted, store, register))
    if as_json:
        results = [_result(source, examined) for source, examined in found]
        _print_json({"whole": all(result["whole"] for result in results), "results": results})
    else:
        for source, examined in found:
            print(safe_text(_verdict(source, examined)))
    if wanted is None and any(source != examined.stream for source, examined in found):
        say("Without --head, a changed last entry or a cut-off end of a file cannot be seen.")
    for source, examined in found:
        _say_of_signatures(source, examined)
    if not all(examined.is_whole for _, examined in found):
        raise typer.Exit(Exit.NOT_GOOD)


def _say_of_signatures(source: str, examined: Examined) -> None:
    signed = examined.signed
    if signed is None:
        return
    if signed.good and not signed.against_register:
        say(
            f"{source}: its signatures are by the keys they name; --register FILE says whose those "
            "are (`commission export register`)."
        )
    for entry in signed.recoveries:
        say(f"{source}: entry {entry} gave a lone lead a new key without another lead's leave.")


def rebuild(store: StoreOption = None) -> None:
    """Make the lists beside the records again, from the records alone."""
    from commission.record.verifying import rebuild as rebuild_store

    with opened(store) as bench:
        count, broken = rebuild_store(bench.store)
    say(f"Rebuilt: {count} jobs.")
    for examined in broken:
        print(safe_text(_verdict(examined.stream, examined)))
    if broken:
        say("The lists of those are as they were.")
        raise typer.Exit(Exit.NOT_GOOD)


def _examined(
    what: str | None, head: Digest | None, store: str | None, register: Path | None
) -> Iterator[tuple[str, Examined]]:
    from commission.record.register_book import STREAM as REGISTER
    from commission.record.verifying import (
        examine_file,
        examine_stream,
        known_register,
        lines_of,
        register_of,
    )

    known = None if register is None else register_of(list(lines_of(register)), str(register))
    if what is not None and Path(what).is_file():
        yield what, examine_file(Path(what), head, known)
        return
    what = None if what is None else recorded_id(what)
    with opened(store) as bench:
        if what is not None:
            _require(bench, what)
        streams = bench.store.streams() if what is None else (what,)
        if not streams:
            raise RefusedError("There is no record in the store: nothing was verified.")
        try:
            known = known or known_register(bench.store)
        except DamagedError:
            # Signatures are held against no damaged register, and that it is one is a result.
            if REGISTER not in streams:
                yield REGISTER, examine_stream(bench.store, REGISTER)
        for stream in streams:
            yield stream, examine_stream(bench.store, stream, head, known)


def _digest(head: str | None, *, everything: bool) -> Digest | None:
    from commission.job.entry import Digest

    if head is None:
        return None
    if everything:
        raise RefusedError("--head is about one record, not --all.")
    digest = head.strip().lower()
    if len(digest) != 64 or set(digest) - set("0123456789abcdef"):  # noqa: PLR2004  SHA-256
        raise RefusedError(f"{head[:80]!r} is not a digest: 64 hexadecimal digits are.")
    return Digest(digest)


def _require(bench: Bench, stream: str) -> None:
    if bench.store.last(stream) is None:
        raise RefusedError(
            f"There is no file and no record {stream!r}.", "`commission jobs` lists the jobs."
        )


def _job_text(line: JobLine) -> str:
    practice = " (practice)" if line.practice else ""
    return (
        f"{line.job}  {line.done}/{line.total}  {line.status}  {line.bike}  "
        f"{line.title}{practice}  {line.last_at[:16].replace('T', ' ')}Z"
    )


def _verdict(source: str, examined: Examined) -> str:
    if examined.fault is None:
        return (
            f"{source}: whole, {examined.entries} entries, {_signed(examined)}head {examined.head}"
        )
    return f"{source}: NOT WHOLE, {examined.fault}"


def _signed(examined: Examined) -> str:
    signed = examined.signed
    if signed is None or not (signed.good or signed.unsigned):
        return ""
    good = "1 signature holds, " if signed.good == 1 else f"{signed.good} signatures hold, "
    unsigned = f"{signed.unsigned} unsigned, " if signed.unsigned else ""
    return f"{good if signed.good else ''}{unsigned}"


def _result(source: str, examined: Examined) -> dict[str, Any]:
    fault = None if examined.fault is None else dataclasses.asdict(examined.fault)
    return {
        "source": source,
        "stream": examined.stream,
        "whole": examined.is_whole,
        "entries": examined.entries,
        "head": examined.head,
        "fault": fault,
        "signed": None if examined.signed is None else dataclasses.asdict(examined.signed),
    }


def _print_json(data: object) -> None:
    print(json.dumps(data, indent=2))
