"""What a step asks for next, in terms any face can put to a person: a card, a prompt, a robot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

AskType = Literal["quantity", "integer", "text", "choice", "yes_no", "done", "file"]


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing to enter."""

    name: str
    """Key in the given mapping: a field, column, setting or step id; `value` where there is one."""
    label: str
    type: AskType
    unit: str = ""
    choices: tuple[str, ...] = ()
    criterion: str = ""
    """What counts as good, in words with numbers: `42.00 V to 58.80 V`; empty where all does."""
    offered: str = ""
    """A text to start from (a default, a computed value); never taken without being confirmed."""
    probe: str = ""
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Wait:
    """Time that must pass before the answer is taken."""

    seconds: float
    """In all."""
    remaining: float
    """From the moment `asking` was given; 0 when over."""


@dataclass(frozen=True, slots=True)
class Asking:
    """What a step asks now."""

    step: str
    part: str
    """Which piece of the answer; empty for steps answered in one piece."""
    say: str
    """One sentence: what to do now (`Switch the key off, then confirm.`)."""
    asks: tuple[Ask, ...]
    some: bool = False
    """Whether any of the asks may be given now and the others later (the cells of a table)."""
    wait: Wait | None = None
    done: int = 0
    """Pieces already given."""
    total: int = 1
    """Pieces in all; 0 where the technician decides."""
    instrument: str = ""
    """The kind of instrument that what is asked is read with; empty where it is no reading."""
