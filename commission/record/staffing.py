"""Who takes part in a job: as named, or as the register knows them where there is one."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from commission.errors import RefusedError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from commission.record.register_book import RegisterBook
    from commission.register.state import Person, Register


@dataclass(frozen=True, slots=True)
class Staff:
    """The people of a new job as its opening says them."""

    people: tuple[Mapping[str, Any], ...]
    by: str
    """The name of who opens it."""
    anchor: Mapping[str, Any] = field(default_factory=dict)
    """`register {entry, head}` where people are registered, else nothing."""


def staff_of(
    book: RegisterBook, people: Mapping[str, Sequence[str]], by: str, *, practice: bool
) -> Staff:
    """Return the people of a new job.

    Practice is never signed, so it takes any name.

    Raises:
        RefusedError: somebody is not in the register, or not in that role.
        DamagedError: the register is not whole.
    """
    register = book.register
    if practice or not register.has_people:
        named = ({"name": name, "roles": list(roles)} for name, roles in people.items())
        return Staff(tuple(named), by)
    known = {name: registered(register, name, roles) for name, roles in people.items()}
    place = book.place
    roles: dict[str, list[str]] = {}
    for name, person in known.items():
        roles.setdefault(person.id, []).extend(people[name])
    opener = registered(register, by, ())
    return Staff(
        tuple(
            {"name": register.person(one).name, "roles": list(dict.fromkeys(held)), "id": one}
            for one, held in roles.items()
        ),
        opener.name,
        {"register": {"entry": place.entry, "head": place.head}},
    )


def registered(register: Register, text: str, roles: Sequence[str]) -> Person:
    """Return the person meant by a name, id or initials, who has the roles now.

    Raises:
        RefusedError: nobody active is, or one of the roles is not the person's.
    """
    person = register.find(text)
    if person is None or not person.is_active:
        gone = "was retired" if person is not None else "is not in the register"
        known = ", ".join(one.name for one in register.active())
        raise RefusedError(f"{text[:60]} {gone}.", f"Registered: {known or 'nobody'}.")
    for role in roles:
        if role not in person.roles_now:
            able = ", ".join(one.name for one in register.active(role)) or "nobody yet"
            raise RefusedError(f"{person.name} is no {role}.", f"With this role: {able}.")
    return person
