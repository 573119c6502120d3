"""Commands about people: add, list, give roles, renew and revoke keys, retire."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

import typer

from commission.cli.options import (
    ByOption,
    JsonOption,
    LeadFdOption,
    OwnFdOption,
    ReasonOption,
    StoreOption,
    opened,
)
from commission.cli.passphrases import Passphrases
from commission.cli.signers import lead_id, lead_signer, person_of, unlocked
from commission.cli.stderr import say
from commission.errors import KeyFileError, RefusedError
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.entry import Draft
    from commission.record.bench import Bench
    from commission.record.keys import Signer
    from commission.register.state import Person, Register

people = typer.Typer(
    name="people",
    help="People, their roles and keys: who may do what, and sign it.",
    no_args_is_help=True,
)

RolesOption = Annotated[
    list[str], typer.Option("--role", help="technician, lead, witness or auditor; repeatable.")
]
PersonArgument = Annotated[str, typer.Argument(metavar="PERSON", help="Id, name or initials.")]


def register(app: typer.Typer) -> None:
    """Add this module's commands to the command line."""
    app.add_typer(people)


@people.command("add")
def add(  # noqa: PLR0913, PLR0917  options of a command
    name: Annotated[str, typer.Argument(help="The person's name, as records show it.")],
    role: RolesOption,
    person: Annotated[
        str, typer.Option("--id", help="Id, for good; made from the name without it.")
    ] = "",
    initials: Annotated[str, typer.Option(help="2 to 4 letters; made from the name.")] = "",
    by: ByOption = "",
    own_fd: OwnFdOption = None,
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Add a person, who chooses a passphrase; the first one is a lead, the others a lead adds."""
    from commission.record import enrolling
    from commission.record.bench import Bench

    with Bench.open(store) as bench:
        wanted = enrolling.Wanted.of(name, role, person, initials)
        wanted.check(bench.book.register)
        lead = lead_signer(bench, by, lead_fd) if bench.book.register.leads() else None
        passphrase = Passphrases(own_fd).new_secret(wanted.name)
        one = enrolling.add(bench, wanted, passphrase, lead)
    say(f"Added {one.name} ({one.initials}) as {one.id}: {_roles(one)}.")
    _say_key(bench, one)


@people.command("list")
def list_people(store: StoreOption = None, as_json: JsonOption = False) -> None:
    """List everybody in the register, the retired too."""
    from commission.record.bench import Bench
    from commission.record.places import places_of
    from commission.register.state import Register

    register = Register()
    if places_of(store).may_be_there:
        with Bench.open(store, create=False) as bench:
            register = bench.book.register
    if as_json:
        print(json.dumps([_as_json(register, one) for one in register.people.values()], indent=2))
        return
    for one in register.people.values():
        print(safe_text(_line(register, one)))
    if not register.people:
        say("Nobody is registered: jobs go on unsigned. `commission people add` begins.")


@people.command("roles")
def roles(
    person: PersonArgument,
    role: RolesOption,
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Give a person other roles from now on: those named, and no others."""
    from commission.register import moves

    def draft(register: Register, one: Person, lead: str) -> Draft:
        return moves.change_roles(register, one.id, role, lead)

    one = _change(store, person, by, lead_fd, draft)
    say(f"{one.name}: {_roles(one)}.")


@people.command("retire")
def retire(
    person: PersonArgument,
    reason: ReasonOption,
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Let a person go: the key is revoked, the id stays taken, earlier signatures hold."""
    from commission.register import moves

    def draft(register: Register, one: Person, lead: str) -> Draft:
        return moves.retire(register, one.id, reason, lead)

    one = _change(store, person, by, lead_fd, draft)
    say(f"{one.name} is retired. Earlier signatures hold.")


@people.command("revoke")
def revoke(
    person: PersonArgument,
    reason: ReasonOption,
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Revoke a person's key at once; `renew` gives another. Earlier signatures hold."""
    from commission.register import moves

    def draft(register: Register, one: Person, lead: str) -> Draft:
        return moves.revoke(register, one.id, reason, lead)

    one = _change(store, person, by, lead_fd, draft)
    say(f"{one.name}'s key is revoked. Earlier signatures hold, later ones do not.")


@people.command("renew")
def renew(
    person: PersonArgument,
    reason: ReasonOption,
    lost: Annotated[
        bool,
        typer.Option("--lost", help="A lone lead's own way: no other lead could sign. It shows."),
    ] = False,
    by: ByOption = "",
    own_fd: OwnFdOption = None,
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Give a person a new key and revoke the old one: lost, stolen, or its passphrase forgotten."""
    from commission.record import enrolling

    with opened(store) as bench:
        one = person_of(bench, person)
        lead = None if lost else _lead_for_renewal(bench, one, by, lead_fd)
        passphrase = Passphrases(own_fd).new_secret(one.name)
        one = enrolling.renew(bench, one.id, reason, passphrase, lead)
    say(f"{one.name} has a new key. Signatures made with the old one until now hold.")
    _say_key(bench, one)


@people.command("passphrase")
def passphrase(
    person: PersonArgument,
    own_fd: OwnFdOption = None,
    store: StoreOption = None,
) -> None:
    """Change one's passphrase; the key stays. With --passphrase-fd: the old line, then the new."""
    with opened(store) as bench:
        one = person_of(bench, person)
        lines = Passphrases(own_fd)
        old = lines.secret(f"Passphrase of {one.name}")
        bench.sitting.unlock(one.id, old)
        new = lines.new_secret(one.name)
        key = bench.book.register.key_now(one.id)
        if key is None:
            raise RefusedError(f"{one.name} has no valid key.")
        bench.keys.change(one.id, key.public, old, new)
    say("The passphrase is changed; the key is the same.")


def _change(
    store: str | None, person: str, by: str, lead_fd: int | None,
    draft: Callable[[Register, Person, str], Draft],
) -> Person:  # fmt: skip
    """Enter one change of a person, signed by a lead; return the person after it."""
    with opened(store) as bench:
        one = person_of(bench, person)
        lead = lead_id(bench, by)
        draft(bench.book.register, one, lead)  # refused before anybody types a passphrase
        signer = unlocked(bench, lead, lead_fd)
        register = bench.book.enter(lambda now: (draft(now, one, lead),), signer)
        bench.sitting.spend(lead)
        return register.person(one.id)


def _lead_for_renewal(bench: Bench, one: Person, by: str, lead_fd: int | None) -> Signer:
    lead = lead_id(bench, by)
    try:
        return unlocked(bench, lead, lead_fd)
    except KeyFileError as error:
        if lead != one.id or len(bench.book.register.leads()) > 1:
            raise
        hint = "Put it back from a copy; where there is none, --lost gives a lone lead a new key."
        raise KeyFileError(error.message, hint) from error


def _roles(one: Person) -> str:
    """Return a person's roles in the one order that they are shown in everywhere."""
    return ", ".join(sorted(one.roles_now))


def _line(register: Register, one: Person) -> str:
    key = register.key_now(one.id)
    shown = f"key {key.fingerprint[:16]}" if key else "no valid key"
    stands = f"retired {one.retired.at[:10]}" if one.retired else _roles(one)
    tries = "1 wrong try" if one.failures == 1 else f"{one.failures} wrong tries"
    wrong = f", {tries}" if one.failures else ""
    return (
        f"{one.id}  {one.initials}  {one.name}  {stands}  since {one.added.at[:10]}  {shown}{wrong}"
    )


def _as_json(register: Register, one: Person) -> dict[str, Any]:
    key = register.key_now(one.id)
    return {
        "id": one.id, "name": one.name, "initials": one.initials,
        "roles": sorted(one.roles_now), "since": one.added.at,
        "until": one.retired.at if one.retired else None,
        "key": key.fingerprint if key else None, "public": key.public if key else None,
        "wrong_tries": one.failures,
    }  # fmt: skip


def _say_key(bench: Bench, one: Person) -> None:
    fingerprint = one.keys[-1]
    say(f"Key {fingerprint}, in {bench.keys.path(one.id, fingerprint)}: keep a copy elsewhere.")
