"""A procedure proved: which faults are tried, by whom, and what the trials say together."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Final

from commission.errors import CommissionError, ProcedureError
from commission.practice.fault_files import read
from commission.practice.faults import shipped
from commission.practice.habits import ALL, HONEST
from commission.practice.matrix import Matrix
from commission.practice.trial import Order, run_all, tasks
from commission.procedure.problems import nearest

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.practice.faults import Fault
    from commission.procedure.load import Loaded
    from commission.procedure.problems import Problem

SEEDS: Final = 3
"""Bikes on which each fault is tried."""
SOUND: Final = 200
"""Sound bikes tried for false alarms."""
PILOTS: Final = tuple(each.name for each in ALL)


class FaultFileError(ProcedureError):
    """A file of faults that cannot be used; `problems` say why."""

    def __init__(self, file: str, problems: Sequence[Problem]) -> None:
        """Keep the problems."""
        super().__init__(f"{file} cannot be used as a file of faults.", "Mend what stands above.")
        self.problems = tuple(problems)


def chosen(words: str | None) -> tuple[Fault, ...]:
    """Return the faults that words name: ids, groups, severities or a file, with commas between.

    Nothing names the whole shipped catalogue.

    Raises:
        FaultFileError: a file has problems.
        CommissionError: a word names nothing.
    """
    loaded = shipped()
    if loaded.problems:
        raise FaultFileError("The shipped catalogue", loaded.problems)
    known = loaded.faults
    if not words:
        return known
    found: dict[str, Fault] = {}
    for word in filter(None, (each.strip() for each in words.split(","))):
        some = tuple(
            each for each in known
            if word in (each.id, each.group, each.severity, "double" if each.double else "single")
        )  # fmt: skip
        for fault in some or _from_file(word, known):
            found[fault.id] = fault
    return tuple(found.values())


def _from_file(word: str, known: Sequence[Fault]) -> tuple[Fault, ...]:
    file = Path(word)
    if file.suffix in (".yaml", ".yml") or file.is_file():
        loaded = read([file], known)
        if loaded.problems:
            raise FaultFileError(word, loaded.problems)
        return loaded.faults
    names = [name for each in known for name in (each.id, each.group, each.severity)]
    raise CommissionError(
        f"There is no fault, group, severity or file {word[:60]!r}.",
        nearest(word, dict.fromkeys(names)) or "The catalogue stands in checklists/faults.",
    )


def pilots_named(words: str | None) -> tuple[str, ...]:
    """Return the pilots that words name, the honest one first; nothing names all of them.

    Raises:
        CommissionError: a word names none.
    """
    given = [each.strip() for each in words.split(",")] if words else list(PILOTS)
    for name in given:
        if name not in PILOTS:
            raise CommissionError(
                f"There is no pilot {name[:40]!r}.", f"There are: {', '.join(PILOTS)}."
            )
    return (HONEST.name, *(name for name in PILOTS if name in given and name != HONEST.name))


def prove(
    loaded: Loaded,
    faults: Sequence[Fault],
    *,
    seeds: int = SEEDS,
    sound: int = SOUND,
    pilots: Sequence[str] = (HONEST.name,),
    jobs: int = 1,
    told: Callable[[int, int], None] = lambda _done, _total: None,
) -> Matrix:
    """Return what trials say of a checked procedure; `told` hears how many of all are done.

    Raises:
        CommissionError: the procedure has errors, or a trial cannot be made.
    """
    if loaded.procedure is None:
        raise ProcedureError("The procedure has errors.", "Mend what `commission check` says.")
    began = time.monotonic()
    order = Order(loaded.text, tuple(faults), tasks(faults, seeds, sound, pilots))
    trials = run_all(order, jobs, told)
    procedure = loaded.procedure
    return Matrix(
        procedure=procedure.procedure,
        revision=procedure.revision,
        title=procedure.title,
        steps={step.id: step.title for step in procedure.steps()},
        faults=tuple(faults),
        trials=trials,
        seconds=time.monotonic() - began,
        pilots=tuple(pilots),
        says={each.name: each.what for each in ALL},
    )
