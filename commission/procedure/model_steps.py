"""What a step can say: a model for each kind, and what all kinds share."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from commission.procedure.model_base import Expression, Identifier, Label, Many, Part, Slug, Text

Role = Literal["technician", "lead", "witness", "auditor"]
Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
Decision = Literal["simple", "guarded"]


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
