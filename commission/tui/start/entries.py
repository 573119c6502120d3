"""What the form for a new job takes and refuses: pure."""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class Entries:
    """What was typed, field by field, as typed."""

    frame: str = ""
    model: str = ""
    owner: str = ""
    technician: str = ""
    lead: str = ""
    witness: str = ""
    controller: str = ""
    """Its kind, or the name of its sheet: bikes with the same are compared."""

    @property
    def bike(self) -> dict[str, str]:
        """What is known of the bike; what was left empty is not in it."""
        known = {
            "frame": self.frame, "model": self.model, "owner": self.owner,
            "controller": self.controller,
        }  # fmt: skip
        return {name: tidy(text) for name, text in known.items() if tidy(text)}

    @property
    def people(self) -> dict[str, tuple[str, ...]]:
        """Name to roles; a person named twice has both."""
        roles: dict[str, tuple[str, ...]] = {}
        for role in ("technician", "lead", "witness"):
            name = tidy(getattr(self, role))
            known = next((other for other in roles if same(other, name)), name)
            if name:
                roles[known] = (*roles.get(known, ()), role)
        return roles

    @property
    def by(self) -> str:
        """Who starts the job."""
        return tidy(self.technician)


def wrong_with(entries: Entries) -> dict[str, str]:
    """Return what is wrong, by field name and in the order of the form; empty where nothing is."""
    wrong: dict[str, str] = {}
    if not tidy(entries.frame):
        wrong["frame"] = "needed: it names the job"
    if not tidy(entries.technician):
        wrong["technician"] = "needed: who does the work"
    elif same(entries.witness, entries.technician):
        wrong["witness"] = "another than the technician"
    order = [field.name for field in fields(Entries)]
    return dict(sorted(wrong.items(), key=lambda pair: order.index(pair[0])))


def remarks(entries: Entries) -> dict[str, str]:
    """Return what is allowed but will ask for more later, by field name."""
    said: dict[str, str] = {}
    if tidy(entries.technician) and same(entries.lead, entries.technician):
        said["lead"] = "cannot confirm holds then"
    return said


def tidy(text: str) -> str:
    """Return `text` without spaces at its ends and with single ones inside."""
    return " ".join(text.split())


def same(one: str, other: str) -> bool:
    """Return whether two names are one person's: they differ by case or spaces at most."""
    return bool(tidy(one)) and tidy(one).casefold() == tidy(other).casefold()
