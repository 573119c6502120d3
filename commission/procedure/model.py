"""What a procedure can say: the YAML language as pydantic models, after fragments are resolved.

The models know shapes only. Positions, fragments and everything that needs the whole procedure
(names, types, dimensions, prose) belong to `load` and `check`. Expressions stay text here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

if TYPE_CHECKING:
    from collections.abc import Iterator

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

Role = Literal["technician", "lead", "witness", "auditor"]
Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
Decision = Literal["simple", "guarded"]
Overdue = Literal["stop", "concession", "warn"]
"""What becomes of a reading whose instrument is overdue, failed its check or is in no register:
refused; taken with a lead's written leave; taken, and the record says so."""


class Part(BaseModel):
    """Base of everything in a procedure: unknown keys are errors, values never change."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, use_attribute_docstrings=True
    )


class Caution(Part):
    """What can hurt, said before the step (ANSI Z535.6 words, IEC/IEEE 82079-1 content)."""

    signal: Signal
    """DANGER will, WARNING could kill or maim; CAUTION minor injury; NOTICE damage only."""
    hazard: Text
    consequence: Text
    avoidance: Text


def _listed(value: object) -> object:
    """Return what was written, as a list where it is one mapping or nothing."""
    if value is None:
        return ()
    return (value,) if isinstance(value, dict | Caution) else value


class Limits(Part):
    """Acceptance limits; every side that is given must be kept."""

    min: Expression | None = None
    max: Expression | None = None
    target: Expression | None = None
    """With `tolerance`: the value must lie within target ± tolerance."""
    tolerance: Expression | None = None
    """An amount with the reading's dimension, or a percentage of the target as `5[%]`."""
    is_: Annotated[Expression | None, Field(alias="is")] = None
    """What a calculator's yes/no or text must be: `is: true`."""
    decision: Decision = "simple"
    """guarded: a reading inside the limit by less than its uncertainty fails (JCGM 106)."""


class OnFail(Part):
    """What a failed step leads to, in this order: retry, remedy and again, then `then`."""

    retry: Annotated[int, Field(ge=0, le=20)] = 0
    """How many times the step may simply be done again."""
    remedy: Many[Step] = ()
    """Steps to do before the step is done again."""
    rounds: Annotated[int, Field(ge=1, le=9)] = 1
    """How many times the remedy may be gone through."""
    then: Literal["stop", "concession"] = "stop"
    """stop: the job rests until a lead resumes it. concession: `concession_by` may accept it."""
    concession_by: Role = "lead"


class Witness(Part):
    """How a hold point is confirmed, where a look at the answer is not enough or not to be had."""

    independent: bool = False
    """The witness takes the reading again without seeing the first one or its verdict; of
    `measure`, `observe` and `choose`."""
    within: Expression | None = None
    """How near the two readings have to be, in the reading's dimension or as `2[%]` of the first;
    texts have to be equal."""
    alone_after: Expression | None = None
    """A workshop of one person: after this time whoever did the step may confirm it alone, and the
    record calls it a delayed self-check. None: never."""


class StepBase(Part):
    """What every step can say."""

    id: Identifier
    title: Annotated[str, StringConstraints(min_length=3, max_length=160)]
    """The one action, as an instruction."""
    why: Text | None = None
    how: Text | None = None
    caution: Annotated[Many[Caution], BeforeValidator(_listed)] = ()
    """One or several; one may be written without a list."""
    when: Expression | None = None
    """A condition; where it is false the step is not applicable, and the record says why."""
    hold: Literal["witness", "lead"] | None = None
    """Work stops after this step until another person with this role has confirmed it."""
    witness: Witness | None = None
    """How the hold is confirmed; none: another person looks at the answer."""
    limits: Limits | None = None
    on_fail: OnFail | None = None
    probe: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_.:-]{0,79}$")] | None = None
    """Which physical fact this step observes; a virtual bike answers by it."""
    rests_on: Many[Identifier] = ()
    """Facts, settings or steps whose change makes this step due again, beside those it names."""
    instrument: Identifier | None = None
    """The piece of equipment that reads the value."""

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """The step's cautions, none to several."""
        return self.caution


class Confirm(StepBase):
    """Do something and say that it is done."""

    kind: Literal["confirm"]


class Measure(StepBase):
    """Take one reading; its value is known under the step's id."""

    kind: Literal["measure"]
    unit: str
    digits: Annotated[int, Field(ge=1, le=9)] = 4


class Choose(StepBase):
    """Pick one of several; the choice is known under the step's id as text."""

    kind: Literal["choose"]
    options: Annotated[Many[Label], Field(min_length=2, max_length=12)]
    good: Many[Label] = ()
    """The options that pass; empty means each does."""


class Mark(Part):
    """One thing to identify: a serial number, a part number, a software version."""

    id: Identifier
    label: Label
    pattern: Annotated[str, StringConstraints(max_length=200)] | None = None
    """A regular expression the whole text must match."""
    expected: Expression | None = None
    """What the text must be equal to, where that is known beforehand."""


class Identify(StepBase):
    """Read or scan what something is; each field is known as `step.field`."""

    kind: Literal["identify"]
    fields: Annotated[Many[Mark], Field(min_length=1, max_length=12)]


class ReadBack(StepBase):
    """Read settings out of the controller as found, before anything is changed.

    Done a second time, it says what has changed since; the first reading stays the one as found.
    """

    kind: Literal["read_back"]
    settings: Literal["all"] | Annotated[Many[Identifier], Field(min_length=1)]
    source: Literal["controller", "record"] = "controller"
    """record: as an earlier job left them, by its list or sheet, to compare the controller with."""


class Write(StepBase):
    """Set settings to their intended values and read them back in the same session."""

    kind: Literal["write"]
    settings: Annotated[Many[Identifier], Field(min_length=1)]
    """`all`, as written by an author, names every setting that has an intended value."""
    route: Label | None = None
    """By which way in the controller's software, where that matters."""


class Calculate(StepBase):
    """Compute; each output is known as `step.output`. Limits judge the output named by `judge`."""

    kind: Literal["calculate"]
    calculator: Slug
    inputs: Annotated[dict[Identifier, Expression], Field(default_factory=dict)]
    """Bound inputs, as expressions; those not bound are typed."""
    judge: Identifier | None = None


class PowerCycle(StepBase):
    """Switch off and on, prove it, read everything written back, and observe again."""

    kind: Literal["power_cycle"]
    cycle: Literal["key", "cold"]
    cycles: Annotated[int, Field(ge=1, le=9)] = 1
    off_for: Expression
    """How long the power stays off at least; a shorter off period is refused."""
    below: Expression | None = None
    """A cold cycle's bus voltage threshold: the reading while off must be below it."""
    settings: Literal["written", "all"] | Many[Identifier] = "written"
    observe: Many[Identifier] = ()
    """Observations to repeat after each cycle."""


class Observe(StepBase):
    """See how the bike behaves, against what is expected."""

    kind: Literal["observe"]
    options: Annotated[Many[Label], Field(min_length=2, max_length=12)]
    """Everything that could be seen; what is expected is one of them."""
    expected: Expression
    """An option as written, or an expression whose value is one (a fact, a choice or a setting)."""


class Column(Part):
    """One reading of each run of a series."""

    id: Identifier
    label: Label
    unit: str
    circular: bool = False
    """An angle that wraps at a full turn: judged by circular statistics."""
    min: Expression | None = None
    max: Expression | None = None
    """Bounds of the mean."""
    target: Expression | None = None
    """What the mean is compared with."""
    within: Expression | None = None
    """Largest distance of the mean from `target`; around the circle where circular."""
    spread: Expression | None = None
    """Largest sample standard deviation."""
    range: Expression | None = None
    """Largest distance between any two runs."""


class Series(StepBase):
    """Repeat a run of readings and judge them by statistics; known as `step.column` (the mean)."""

    kind: Literal["series"]
    runs: Annotated[int, Field(ge=2, le=50)]
    columns: Annotated[Many[Column], Field(min_length=1, max_length=12)]


class Axis(Part):
    """One coordinate of a sweep."""

    label: Label
    unit: str


class Sweep(StepBase):
    """Take x-y pairs and judge the straight line through them; known as `step.slope` and so on."""

    kind: Literal["sweep"]
    x: Axis
    y: Axis
    points: Annotated[Many[Expression], Field(max_length=60)] = ()
    """The x values to go through; empty: the technician chooses at least `at_least` points."""
    at_least: Annotated[int, Field(ge=3, le=60)] = 3
    deviation: Expression | None = None
    """Largest distance of a point from the fitted line, in y."""
    monotonic: bool = False
    slope_min: Expression | None = None
    slope_max: Expression | None = None


class CrossCheck(StepBase):
    """Hold the values known by their roles against each other; every conflict is answered."""

    kind: Literal["cross_check"]
    checks: Literal["all"] | Annotated[Many[Slug], Field(min_length=1)] = "all"


class Dwell(StepBase):
    """Wait; the timer cannot be cut short."""

    kind: Literal["dwell"]
    duration: Expression


class Attach(StepBase):
    """Keep a photo or a file with the job, known by the digest of its content."""

    kind: Literal["attach"]
    what: Label
    types: Many[Annotated[str, StringConstraints(pattern=r"^\.[a-z0-9]{1,8}$")]] = ()
    """Accepted file endings; empty accepts any."""


class SignOff(StepBase):
    """Sign the record so far, with a meaning."""

    kind: Literal["sign_off"]
    meaning: Literal["done", "witnessed", "released"]
    role: Role = "technician"


Step = Annotated[
    Confirm | Measure | Choose | Identify | ReadBack | Write | Calculate | PowerCycle | Observe
    | CrossCheck | Series | Sweep | Dwell | Attach | SignOff,
    Field(discriminator="kind"),
]  # fmt: skip
KINDS: tuple[str, ...] = (
    "confirm", "measure", "choose", "identify", "read_back", "write", "calculate", "power_cycle",
    "observe", "cross_check", "series", "sweep", "dwell", "attach", "sign_off",
)  # fmt: skip

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
