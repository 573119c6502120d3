"""How a procedure binds roles: `fuse_rating: fuse_rating` under the head's `roles`.

A binding is an expression over declared names. The bare id of a setting means the setting as it
stands: as left, else as written, else as intended, else as found.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.crosschecks.catalogue import all_checks, get
from commission.crosschecks.roles import ROLES
from commission.procedure.expression import with_choices

if TYPE_CHECKING:
    from collections.abc import Collection

    from commission.crosschecks.base import CrossCheck
    from commission.procedure import model
    from commission.procedure.expression import Expression


def setting_of(source: model.Expression, settings: Collection[str]) -> str:
    """Return the setting that a binding names by its bare id; empty where it is an expression."""
    text = source.strip() if isinstance(source, str) else ""
    return text if text in settings else ""


def expression_of(role: str, source: model.Expression) -> Expression:
    """Return a binding's expression; a role's choices may stand without quotes.

    Raises:
        ExpressionError: it cannot be read.
    """
    declared = ROLES.get(role)
    return with_choices(source, () if declared is None else declared.choices)


def checks_of(step: model.CrossCheck) -> tuple[CrossCheck, ...]:
    """Return the cross-checks that a step runs; raise `ProcedureError` for an unknown one."""
    if isinstance(step.checks, str):
        return all_checks()
    return tuple(get(name) for name in step.checks)


def names_of(step: model.CrossCheck, procedure: model.Procedure) -> frozenset[str]:
    """Return the dotted names that a step's cross-checks rest on; a setting counts as written."""
    wanted = {role for check in checks_of(step) for role in check.roles}
    settings = {setting.id for setting in procedure.settings}
    names: set[str] = set()
    for role, source in procedure.roles.items():
        if role not in wanted:
            continue
        setting = setting_of(source, settings)
        names |= {f"{setting}.written"} if setting else expression_of(role, source).names
    return frozenset(names)
