"""What the register's dialogs ask, and what their answers enter; nothing here touches a widget."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.errors import CommissionError, RefusedError
from commission.tui.signing.form import Line, Refusal

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.entry import Draft
    from commission.record.bench import Bench
    from commission.record.keys import Signer
    from commission.register.state import Person, Register

Typed = dict[str, str]


@dataclass(frozen=True, slots=True)
class Asked:
    """A dialog: `take` enters what was typed, or gives why it is refused."""

    title: str
    text: str
    lines: tuple[Line, ...]
    take: Callable[[Typed], str | Refusal]


def add(bench: Bench) -> Asked:
    """Return the dialog that adds a person."""
    register = bench.book.register
    is_first = not register.leads()

    def enter(typed: Typed) -> None:
        from commission.record import enrolling

        wanted = enrolling.Wanted.of(
            typed["name"],
            _roles(typed["roles"]),
            typed["person"].strip(),
            typed["initials"].strip(),
        )
        wanted.check(bench.book.register)
        phrase = _twice(typed)
        enrolling.add(bench, wanted, phrase, None if is_first else unlocked_lead(bench, typed))

    text = (
        "The first person is a lead and signs for being added. From then on jobs take registered"
        " people only, and are signed."
        if is_first
        else "The person chooses a passphrase that nobody else knows; a lead signs."
    )
    return Asked(
        "Add a person",
        text,
        (
            Line("name", "Name"),
            Line("roles", "Roles", "lead technician" if is_first else "",
                 note="technician lead witness …"),
            Line("person", "Id", note="or empty: from the name"),
            Line("initials", "Initials", note="or empty: from the name"),
            *_new_passphrase(),
            *(() if is_first else lead_lines(register)),
        ),
        taking(enter),
    )  # fmt: skip


def roles(bench: Bench, one: Person) -> Asked:
    """Return the dialog that gives a person other roles."""
    from commission.register import moves

    def draft(register: Register, typed: Mapping[str, str], lead: str) -> Draft:
        return moves.change_roles(register, one.id, _roles(typed["roles"]), lead)

    return Asked(
        f"Roles of {one.name}",
        "These roles hold from now on; what was signed before stays as it was.",
        (
            Line("roles", "Roles", " ".join(sorted(one.roles_now))),
            *lead_lines(bench.book.register),
        ),
        taking(_change(bench, draft)),
    )


def retire(bench: Bench, one: Person) -> Asked:
    """Return the dialog that lets a person go."""
    from commission.register import moves

    def draft(register: Register, typed: Mapping[str, str], lead: str) -> Draft:
        return moves.retire(register, one.id, typed["reason"], lead)

    return Asked(
        f"Retire {one.name}",
        "For good: the key is revoked and the id is never used again. Earlier signatures hold.",
        (Line("reason", "Reason"), *lead_lines(bench.book.register)),
        taking(_change(bench, draft)),
    )


def revoke(bench: Bench, one: Person) -> Asked:
    """Return the dialog that revokes a person's key at once."""
    from commission.register import moves

    def draft(register: Register, typed: Mapping[str, str], lead: str) -> Draft:
        return moves.revoke(register, one.id, typed["reason"], lead)

    return Asked(
        f"Revoke the key of {one.name}",
        "From now on it signs nothing. Earlier signatures hold. F5 gives another key.",
        (Line("reason", "Reason"), *lead_lines(bench.book.register)),
        taking(_change(bench, draft)),
    )


def renew(bench: Bench, one: Person) -> Asked:
    """Return the dialog that gives a person a new key; a lone lead's may be a recovery."""
    register = bench.book.register
    is_alone = [lead.id for lead in register.leads()] == [one.id]

    def enter(typed: Typed) -> None:
        from commission.record import enrolling

        phrase = _twice(typed)
        is_recovery = is_alone and not typed["secret"]
        lead = None if is_recovery else unlocked_lead(bench, typed)
        enrolling.renew(bench, one.id, typed["reason"], phrase, lead)

    text = "The old key is revoked. Signatures made with it until now hold, later ones do not."
    if is_alone:
        text += (
            " You are the only lead: where your passphrase is lost, leave the last line empty. The"
            " register says so for good."
        )
    return Asked(
        f"A new key for {one.name}",
        text,
        (Line("reason", "Reason"), *_new_passphrase(), *lead_lines(register)),
        taking(enter),
    )


def _change(
    bench: Bench, draft: Callable[[Register, Mapping[str, str], str], Draft]
) -> Callable[[Typed], None]:
    def enter(typed: Typed) -> None:
        lead = _lead_named(bench, typed["lead"])
        draft(bench.book.register, typed, lead.id)  # refused before the passphrase is tried
        signer = unlocked_lead(bench, typed)
        bench.book.enter(lambda now: (draft(now, typed, lead.id),), signer)
        bench.sitting.spend(lead.id)

    return enter


def taking(enter: Callable[[Typed], None]) -> Callable[[Typed], str | Refusal]:
    """Return what enters what was typed, and gives why that is refused."""

    def take(typed: Typed) -> str | Refusal:
        try:
            enter(typed)
        except CommissionError as error:
            return Refusal.of(error)
        return ""

    return take


def _new_passphrase() -> tuple[Line, Line]:
    from commission.record.keys import SHORTEST

    return (
        Line("phrase", "New passphrase", secret=True, note=f"{SHORTEST} characters or more"),
        Line("again", "The same once more", secret=True),
    )


def lead_lines(register: Register) -> tuple[Line, Line]:
    """Return the lines in which a lead signs."""
    leads = register.leads()
    offered = leads[0].id if len(leads) == 1 else ""
    return (
        Line("lead", "Lead who signs", offered, note=", ".join(one.id for one in leads)),
        Line("secret", "The lead's passphrase", secret=True),
    )


def _lead_named(bench: Bench, text: str) -> Person:
    register = bench.book.register
    one = register.find(text)
    if one is None or one not in register.leads():
        known = ", ".join(lead.id for lead in register.leads())
        said = f"{text[:40]!r} is no lead with a valid key." if text.strip() else "A lead signs."
        raise RefusedError(said, f"Leads: {known}.", "lead")
    return one


def unlocked_lead(bench: Bench, typed: Mapping[str, str]) -> Signer:
    """Return the open key of the lead who signs.

    Raises:
        RefusedError: no lead is named, or the passphrase is not the lead's.
    """
    one = _lead_named(bench, typed["lead"])
    bench.sitting.unlock(one.id, typed["secret"])
    signer = bench.sitting.signer(one.id)
    if signer is None:
        raise RefusedError(f"{one.name}'s key is not open.", "Type the passphrase again.")
    return signer


def _twice(typed: Mapping[str, str]) -> str:
    if typed["phrase"] != typed["again"]:
        raise RefusedError("The two new passphrases differ.", "Type both again.", "phrase")
    return typed["phrase"]


def _roles(text: str) -> list[str]:
    return text.replace(",", " ").casefold().split()
