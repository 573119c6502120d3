"""What a fragment can say before it is included, and what an item says that includes one."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from commission.procedure.model_base import Expression, Identifier, Label, Many, Part, Slug, Text


class Parameter(Part):
    """What a fragment is told where it is included."""

    default: str | int | float | bool | Many[str | int | float | bool] | None = None
    """Taken where nothing is given; none means that it must be given."""
    help: Text | None = None


class Fragment(Part):
    """What several procedures share, before it is included: steps, facts, settings, equipment."""

    fragment: Slug
    revision: Annotated[int, Field(ge=1)]
    title: Label
    purpose: Text | None = None
    parameters: dict[Identifier, Parameter | None] = {}
    equipment: list[Any] = []
    facts: list[Any] = []
    settings: list[Any] = []
    steps: list[Any] = []


class Include(Part):
    """An item of a list of steps that stands for those of a fragment."""

    include: Slug
    with_: Annotated[dict[Identifier, Any], Field(alias="with")] = {}
    """Values of the fragment's parameters."""
    prefix: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,23}$")] | None = None
    """Put before every id the fragment declares, so that it can be included twice."""


class IncludeValues(Part):
    """An item of a procedure's facts, settings or equipment that stands for a fragment's."""

    include: Slug
    with_: Annotated[dict[Identifier, Any], Field(alias="with")] = {}
    """Values of the fragment's parameters."""
    only: Many[Identifier] = ()
    """Which of them, in this order; empty means all, in the fragment's order."""
    intended: dict[Identifier, Expression] | Literal["found"] = {}
    """By setting: what it is to be in this procedure. found: each is to be as it was found."""
