"""The fault catalogue: YAML of what can be wrong with a bike, loaded and checked like procedures.

A fault is another build: `changes` name what is different by dotted path. `apply` makes that build.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, ClassVar, Final, Literal

from pydantic import AfterValidator, BeforeValidator, Field

from commission.practice.altering import altered
from commission.procedure.load import checklists
from commission.procedure.model import Expression, Label, Many, Part, Slug, Text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from importlib.resources.abc import Traversable

    from commission.practice.build import Build
    from commission.procedure.problems import Problem

Severity = Literal["can injure", "damage", "nuisance"]
Group = Literal[
    "pack", "wiring", "motor", "rotor sensors", "controller memory", "controller settings",
    "throttle", "lever", "interlocks", "driveline", "temperature sensors", "cooling", "meters",
    "papers and identity",
]  # fmt: skip
Need = Literal[
    "lever", "motor sensor", "brake switch", "stand switch", "no stand switch", "tilt sensor",
    "no tilt sensor", "pump", "fan", "no cooling",
]  # fmt: skip
NEEDS: Final[dict[Need, Callable[[Build], bool]]] = {
    "lever": lambda build: build.lever is not None and not build.lever.switch,
    "motor sensor": lambda build: build.temperature.motor_kind != "none",
    "brake switch": lambda build: build.switches.brake_fitted,
    "stand switch": lambda build: build.switches.stand_fitted,
    "no stand switch": lambda build: not build.switches.stand_fitted,
    "tilt sensor": lambda build: build.switches.tilt_fitted,
    "no tilt sensor": lambda build: not build.switches.tilt_fitted,
    "pump": lambda build: build.cooling.pump_fitted,
    "fan": lambda build: build.cooling.fan_fitted,
    "no cooling": lambda build: not (build.cooling.pump_fitted or build.cooling.fan_fitted),
}
"""What must be fitted, or must not be, for a fault to be possible."""


def _listed(value: object) -> object:
    return (value,) if isinstance(value, str) else value


def _because(text: str) -> str:
    if not text.startswith("cannot, because "):
        message = "begins with: cannot, because …"
        raise ValueError(message)
    return text


Needs = Annotated[Many[Need], BeforeValidator(_listed)]
Bench = Annotated[Text, AfterValidator(_because)]
Change = Annotated[Expression | Many[str | int | float | bool], Field(union_mode="left_to_right")]


class _Told(Part):
    """What every fault says of itself."""

    id: Slug
    title: Label
    """What is wrong."""
    effect: Text
    """What it does to the rider."""
    severity: Severity
    noticed: Text
    """How it could be noticed."""
    met: Expression | None = None
    """When its effect is met, of the bike at its release, over its true build: for what the general
    truths of `truths` do not know. `still`: what was changed still is. See `judging`."""
    bench: Bench | None = None
    """Why no check on a bench can find it: `cannot, because …`."""


class Fault(_Told):
    """One thing that is wrong, as changes to a sound build."""

    group: Group
    needs: Needs = ()
    """What must be fitted for it."""
    changes: Annotated[dict[str, Change], Field(min_length=1)]
    """Dotted path to a value, or to an expression over the build (`now` is the value there)."""

    @property
    def double(self) -> bool:
        """Whether it is two faults at once."""
        return False

    def possible(self, build: Build) -> bool:
        """Return whether a build has what the fault needs."""
        return all(NEEDS[need](build) for need in self.needs)


class DoubleFault(_Told):
    """Two faults at once, one of which may hide the other."""

    both: Annotated[Many[Slug], Field(min_length=2, max_length=2)]


class Joined(Fault):
    """A double fault with the changes of both of its parts."""

    parts: tuple[Fault, Fault]
    """Its effects are those of both of them."""

    @property
    def double(self) -> bool:
        """True."""
        return True


class Catalogue(Part):
    """A file of faults."""

    PARTS: ClassVar[dict[str, type[Part]]] = {"faults": Fault, "doubles": DoubleFault}
    """Which model the items of a list have; the loader names the nearest known key by it."""
    catalogue: Slug
    title: Label
    faults: Many[Fault] = ()
    doubles: Many[DoubleFault] = ()


@dataclass(frozen=True, slots=True)
class LoadedFaults:
    """What files of faults came to; `faults` is empty where there are errors."""

    faults: tuple[Fault, ...]
    """Single faults in the order of the files, then double ones."""
    problems: tuple[Problem, ...]

    def find(self, name: str) -> Fault | None:
        """Return a fault by name, or None."""
        return next((fault for fault in self.faults if fault.id == name), None)


def apply(build: Build, fault: Fault) -> Build:
    """Return the build that has the fault.

    Raises:
        ChangeError: the fault does not fit this build; it names the path.
    """
    return altered(build, fault.changes)


def shipped() -> LoadedFaults:
    """Return the faults of the shipped catalogue."""
    return load_faults(shipped_files())


def shipped_files() -> tuple[Traversable, ...]:
    """Return the files of the shipped catalogue."""
    folder = checklists() / "faults"
    files = folder.iterdir() if folder.is_dir() else ()
    return tuple(
        sorted((each for each in files if each.name.endswith(".yaml")), key=lambda each: each.name)
    )


def load_faults(
    files: Iterable[Path | Traversable | str], known: Iterable[Fault] = ()
) -> LoadedFaults:
    """Return the faults of several files, or everything that is wrong with them.

    Double faults may join faults of any of the files, or of `known`, which is not returned.
    """
    from commission.practice.fault_files import read

    return read([Path(file) if isinstance(file, str) else file for file in files], known)


def names(faults: Iterable[Fault]) -> Mapping[str, Fault]:
    """Return faults by name."""
    return {fault.id: fault for fault in faults}
