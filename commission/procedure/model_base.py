"""What every part of a procedure is made of: names, texts, expressions, and the base of models."""

from __future__ import annotations

from typing import Annotated, TypeVar

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Identifier = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,47}$")]
"""A name that expressions can use: lower case, digits and underscores."""
Slug = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{0,47}$")]
"""A name of a procedure, fragment or calculator: lower case, digits and hyphens."""
Text = Annotated[str, StringConstraints(min_length=1, max_length=4000)]
Label = Annotated[str, StringConstraints(min_length=1, max_length=120)]
Expression = Annotated[str | int | float | bool, Field(union_mode="left_to_right")]
"""An expression over declared names, or a plain number."""
T = TypeVar("T")
Many = Annotated[tuple[T, ...], Field(strict=False)]
"""A sequence of strictly checked items."""


class Part(BaseModel):
    """Base of everything in a procedure: unknown keys are errors, values never change."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, use_attribute_docstrings=True
    )
