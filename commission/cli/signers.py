"""Who signs at the command line: people found by what was typed, and their keys unlocked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.cli.passphrases import Passphrases
from commission.cli.stderr import say
from commission.errors import PassphraseError, RefusedError

if TYPE_CHECKING:
    from commission.record.bench import Bench
    from commission.record.keys import Signer
    from commission.record.sitting import Told
    from commission.register.state import Person

_TRIES: Final = 3


def person_of(bench: Bench, text: str) -> Person:
    """Return the person an id, a name or initials stand for.

    Raises:
        RefusedError: there is none, or several.
    """
    register = bench.book.register
    return register.find(text) or register.person(text)


def recorded_name(bench: Bench, text: str) -> str:
    """Return the name that records have for an id, a name or initials; else the text as it is."""
    one = bench.book.register.find(text) if text else None
    return text if one is None else one.name


def lead_signer(bench: Bench, by: str, lead_fd: int | None) -> Signer:
    """Return the unlocked key of the lead who signs; see `lead_id` and `unlocked`."""
    return unlocked(bench, lead_id(bench, by), lead_fd)


def lead_id(bench: Bench, by: str) -> str:
    """Return the id of the lead who signs: the one named, else the only one there is.

    Raises:
        RefusedError: whoever is named is no lead with a valid key, or nobody is and there are more.
    """
    leads = bench.book.register.leads()
    known = ", ".join(lead.id for lead in leads) or "none"
    if by:
        one = person_of(bench, by)
        if one not in leads:
            raise RefusedError(f"{one.name} is no lead with a valid key.", f"Leads: {known}.")
        return one.id
    if len(leads) == 1:
        return leads[0].id
    raise RefusedError("Which lead signs this?", f"Say --by and one of: {known}.")


def unlocked(bench: Bench, person: str, descriptor: int | None) -> Signer:
    """Return a person's key, unlocked by a passphrase from a file descriptor or the terminal.

    What is wrong at a terminal is asked for again: whoever types on finds no shell in its place,
    which would show the passphrase and keep it.

    Raises:
        SigningError: the passphrase from a file descriptor is wrong, the one from a terminal was
            wrong `_TRIES` times, or the key cannot be used.
    """
    name = bench.book.register.person(person).name
    told = _opened(bench, person, name, Passphrases(descriptor), descriptor is None)
    if str(told):
        say(str(told))
    signer = bench.sitting.signer(person)
    if signer is None:
        raise RefusedError(f"{name}'s key is not open.", "Type the passphrase again.")
    return signer


def _opened(bench: Bench, person: str, name: str, typed: Passphrases, at_terminal: bool) -> Told:
    """Open a key; return what is to be told about earlier wrong tries."""
    for _ in range(_TRIES - 1 if at_terminal else 0):
        try:
            return bench.sitting.unlock(person, typed.secret(f"Passphrase of {name}"))
        except PassphraseError as error:
            say(error.diagnostics())
    return bench.sitting.unlock(person, typed.secret(f"Passphrase of {name}"))
