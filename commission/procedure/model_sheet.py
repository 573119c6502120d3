"""What a controller sheet can say: a workshop's own notes on one controller family."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from commission.procedure.model_base import Expression, Identifier, Label, Many, Part, Slug, Text


class Fault(Part):
    """A known fault of a controller family, with its remedy, in a workshop's own words."""

    settings: Many[Identifier] = ()
    seen: Text
    remedy: Text


class SheetSetting(Part):
    """Where one setting is found in a controller's software."""

    setting: Identifier
    found_at: Text
    range: Annotated[tuple[Expression, Expression], Field(strict=False)] | None = None
    scale: Text | None = None
    note: Text | None = None


class ControllerSheet(Part):
    """A workshop's own notes on one controller family."""

    sheet: Slug
    revision: Annotated[int, Field(ge=1)]
    title: Label
    settings: Annotated[Many[SheetSetting], Field(min_length=1)]
    faults: Many[Fault] = ()
