"""Who may be at the bench on a job."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


def workers(people: Mapping[str, frozenset[str]]) -> list[str]:
    """Return who may be at the bench on a job: its technicians, or all where it names none."""
    technicians = sorted(name for name, roles in people.items() if "technician" in roles)
    return technicians or sorted(people)
