"""Signing by line prompts: the passphrase without an echo, later in a sitting the short form."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import PassphraseError, SigningError, UnsignedError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.cli.plain.talk import Talk
    from commission.job.entry import Draft
    from commission.record.session import Session


def record(session: Session, drafts: Sequence[Draft], talk: Talk) -> None:
    """Record drafts; where they take a signature, ask for it first.

    Raises:
        RefusedError: the job's rules, or nobody signed; nothing was recorded.
    """
    try:
        session.record(drafts)
    except UnsignedError as needed:
        sign(session, needed, talk)
        try:
            session.record(drafts)
        finally:
            session.sitting.spend(needed.person)  # it was for this alone


def sign(session: Session, needed: UnsignedError, talk: Talk) -> None:
    """Ask for a person's passphrase or short form until it is right; an empty line leaves.

    Raises:
        SigningError: nobody signed, or the key cannot be used.
    """
    sitting, name = session.sitting, needed.name
    talk.tell(f"{name} signs: {needed.meaning}. An empty line leaves it unsigned and unrecorded.")
    while True:
        is_short = sitting.way(needed.person) == "short"
        what = "Short form" if is_short else "Passphrase"
        typed = talk.secret(f"{what} of {name}:")
        if not typed:
            raise SigningError(f"{name} did not sign; nothing was recorded.")
        try:
            if is_short:
                sitting.confirm(needed.person, typed)
            else:
                told = sitting.unlock(needed.person, typed)
                if str(told):
                    talk.tell(str(told))
                _choose_short(session, needed.person, talk)
        except PassphraseError as error:
            talk.tell(error.diagnostics())
        else:
            return


def _choose_short(session: Session, person: str, talk: Talk) -> None:
    while True:
        typed = talk.secret(
            "A short form for this sitting (4 to 11 characters), or Enter for none:"
        )
        try:
            session.sitting.choose_short(person, typed)
        except SigningError as error:
            talk.tell(error.diagnostics())
        else:
            return
