"""What a procedure can say: the YAML language as pydantic models, after fragments are resolved.

The models know shapes only. Positions, fragments and everything that needs the whole procedure
(names, types, dimensions, prose) belong to `load` and `check`. Expressions stay text here.
The models of steps, fragments and controller sheets stand in `model_steps` and its neighbours;
all are to be had from here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, StringConstraints

from commission.procedure.model_base import Expression, Identifier, Label, Many, Part, Slug, Text
from commission.procedure.model_fragments import Fragment, Include, IncludeValues, Parameter
from commission.procedure.model_sheet import ControllerSheet, Fault, SheetSetting
from commission.procedure.model_steps import (
    KINDS,
    Attach,
    Axis,
    Calculate,
    Caution,
    Choose,
    Column,
    Confirm,
    CrossCheck,
    Decision,
    Dwell,
    Identify,
    Limits,
    Mark,
    Measure,
    Observe,
    OnFail,
    PowerCycle,
    ReadBack,
    Role,
    Series,
    Signal,
    SignOff,
    Step,
    StepBase,
    Sweep,
    Witness,
    Write,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = [
    "KINDS", "Attach", "Axis", "Calculate", "Caution", "Choose", "Column", "Confirm",
    "ControllerSheet", "CrossCheck", "Decision", "Dwell", "Equipment", "Expression", "Fact",
    "Fault", "Fragment", "Identifier", "Identify", "Include", "IncludeValues", "Label", "Limits",
    "Many", "Mark", "Measure", "Observe", "OnFail", "Overdue", "Parameter", "Part", "PowerCycle",
    "Procedure", "ReadBack", "Role", "Series", "Setting", "SheetSetting", "SignOff", "Signal",
    "Slug", "Stage", "Step", "StepBase", "Sweep", "Text", "ValueType", "Valued", "Witness", "Write",
]  # fmt: skip

Overdue = Literal["stop", "concession", "warn"]
"""What becomes of a reading whose instrument is overdue, failed its check or is in no register:
refused; taken with a lead's written leave; taken, and the record says so."""
ValueType = Literal["quantity", "integer", "choice", "text", "yes_no"]


class Valued(Part):
    """A typed value with an id: the common part of facts and settings."""

    id: Identifier
    label: Label
    type: ValueType
    unit: str | None = None
    """Required for `quantity`."""
    range: Annotated[tuple[Expression, Expression], Field(strict=False)] | None = None
    """The plausible range, both ends included."""
    choices: Many[Label] = ()
    help: Text | None = None
    probe: (
        Annotated[str, StringConstraints(pattern=r"^(fact|setting)\.[a-z][a-z0-9_]{0,47}$")] | None
    ) = None
    """By which name a virtual bike knows it, where that is not its id: `setting.direction`."""


class Fact(Valued):
    """Something known of this bike, asked at the start of a job; known under its id."""

    default: Expression | None = None
    """Offered, never taken without being confirmed."""
    optional: bool = False


class Setting(Valued):
    """A value the controller holds: `id.found`, `id.intended`, `id.written`, `id.left`."""

    equal_within: Expression | None = None
    """How close counts as equal, in the setting's dimension or as `2[%]`; none means exactly."""
    circular: bool = False
    """An angle that wraps at a full turn: 359.9 deg and 0.1 deg lie 0.2 deg apart."""
    intended: Expression | None = None
    """What it is to be; none means: left as found."""
    group: Label | None = None


class Equipment(Part):
    """An instrument or tool the job needs."""

    id: Identifier
    label: Label
    kind: Label
    percent: Annotated[float, Field(ge=0, le=100, strict=False)] | None = None
    """Accuracy: per cent of the reading."""
    counts: Annotated[float, Field(ge=0, strict=False)] | None = None
    """Accuracy: counts of the last digit."""
    resolution: Expression | None = None
    """Value of one count; where none is given, that of the last digit typed."""
    overdue: Overdue | None = None
    """As the procedure's, for this one."""

    @property
    def has_accuracy(self) -> bool:
        """Whether an uncertainty follows from it."""
        return self.percent is not None or self.counts is not None


class Stage(Part):
    """A group of steps with a name."""

    id: Identifier
    title: Label
    steps: Annotated[Many[Step], Field(min_length=1)]


class Procedure(Part):
    """A whole procedure, fragments resolved."""

    procedure: Slug
    revision: Annotated[int, Field(ge=1)]
    title: Label
    purpose: Text
    use_when: Text | None = None
    takes: Expression | None = None
    """How long it takes a practised technician, such as `3[h]`."""
    equipment: Many[Equipment] = ()
    overdue: Overdue = "concession"
    """Of registered instruments: what becomes of a reading with one that is out of calibration."""
    hazards: Many[Text] = ()
    facts: Many[Fact] = ()
    settings: Many[Setting] = ()
    roles: dict[Identifier, Expression] = {}
    """What plays which part in the cross-checks: a setting's id, or an expression."""
    stages: Annotated[Many[Stage], Field(min_length=1)]

    def steps(self) -> Iterator[StepBase]:
        """Yield every step in order, remedy steps just before the step they belong to."""
        for stage in self.stages:
            for step in stage.steps:
                yield from _with_remedies(step)


def _with_remedies(step: StepBase) -> Iterator[StepBase]:
    if step.on_fail is not None:
        for remedy in step.on_fail.remedy:
            yield from _with_remedies(remedy)
    yield step
