r"""How many jobs to look at, and which: plans of a sample, and a draw that anyone can repeat.

The draw, from the population's digest (SHA-256 over `<job> <head>` and a newline for each job, in
the order of their ids) and the plan's text:

    seed = SHA-256 of the line `commission draw 1 <digest> <plan>` with its newline
    rank of a job = SHA-256 of the line `<seed> <job>` with its newline

all as lower-case hexadecimal; drawn are the jobs of the lowest ranks. With a shell:

    seed=$(printf 'commission draw 1 %s %s\n' "$digest" "$plan" | sha256sum | cut -d' ' -f1)
    while read -r job; do printf '%s %s\n' \
      "$(printf '%s %s\n' "$seed" "$job" | sha256sum | cut -d' ' -f1)" "$job"
    done < jobs | LC_ALL=C sort | head -n "$size" | cut -d' ' -f2

Nobody chooses the seed: the records' own heads do.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Final

from commission.audit import iso2859
from commission.errors import RefusedError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.job.entry import Digest

_HOW: Final = (
    "Write zero=95/5 (95 % confidence that fewer than 5 % are bad, none found), aql=2.5 "
    "(ISO 2859-1, single, normal, level II) or count=20."
)
_HUNDRED: Final = 100


@dataclass(frozen=True, slots=True)
class Plan:
    """A sample's plan for one population."""

    text: str
    """As it is written, in one form: `zero=95/5`, `aql=2.5`, `count=20`."""
    size: int
    """How many jobs are drawn."""
    accept: int
    """The sample speaks for the population where no more than so many jobs have a fault."""
    says: str
    """What it means, in a sentence."""


def plan(text: str, population: int) -> Plan:
    """Return the plan that `text` asks for.

    Raises:
        RefusedError: it is none, or its figures make no sense; says how it is written.
    """
    kind, _, figures = text.strip().partition("=")
    try:
        if kind == "zero":
            confidence, share = (Fraction(each) for each in figures.split("/"))
            return _zero(confidence, share, population)
        if kind == "aql":
            return _aql(figures.strip(), population)
        if kind == "count":
            return _count(int(figures), population)
    except (ValueError, ZeroDivisionError) as error:
        raise RefusedError(f"Sample: {text[:40]!r} cannot be read.", _HOW) from error
    raise RefusedError(f"Sample: {text[:40]!r} is no plan.", _HOW)


def zero_failure_size(population: int, confidence: Fraction, share: Fraction) -> int:
    """Return the smallest sample whose being all good says, so surely, that fewer are bad.

    The smallest n with C(N-D, n)/C(N, n) ≤ 1 - confidence, where D is the least number of bad jobs
    that is a share of at least `share`; hypergeometric, exact.

    Args:
        population: N, at least 1.
        confidence: between 0 and 1.
        share: between 0 and 1.
    """
    bad = max(1, ceil(share * population))
    risk, none_found, size = 1 - confidence, Fraction(1), 0
    while none_found > risk and size < population:
        none_found *= Fraction(max(0, population - bad - size), population - size)
        size += 1
    return size


def draw(jobs: Iterable[str], population: Digest, chosen: Plan) -> tuple[str, ...]:
    """Return the jobs drawn, in the order of their ids; see the module."""
    seed = seed_of(population, chosen)
    ranked = sorted((_hex(f"{seed} {job}\n"), job) for job in jobs)
    return tuple(sorted(job for _, job in ranked[: chosen.size]))


def seed_of(population: Digest, chosen: Plan) -> str:
    """Return the seed of a draw; see the module."""
    return _hex(f"commission draw 1 {population} {chosen.text}\n")


def _zero(confidence: Fraction, share: Fraction, population: int) -> Plan:
    if not (0 < confidence < _HUNDRED and 0 < share < _HUNDRED):
        raise RefusedError("Sample: confidence and share lie between 0 and 100 %.", _HOW)
    size = zero_failure_size(population, confidence / _HUNDRED, share / _HUNDRED)
    sure, least = _shown(confidence), _shown(share)
    says = f"{sure} % confidence that fewer than {least} % have a fault, where none drawn has one"
    return Plan(f"zero={sure}/{least}", size, 0, says)


def _aql(figures: str, population: int) -> Plan:
    made = iso2859.single_normal(population, figures)
    size = min(made.size, population)
    says = (
        f"ISO 2859-1 single sampling, normal, level II, AQL {figures}: code letter {made.letter}, "
        f"accepted with at most {made.accept}"
    )
    return Plan(f"aql={figures}", size, made.accept, says)


def _count(size: int, population: int) -> Plan:
    if size < 1:
        raise RefusedError("Sample: at least one job is drawn.", _HOW)
    size = min(size, population)
    return Plan(f"count={size}", size, 0, f"{size} drawn; says nothing of the others by itself")


def _shown(number: Fraction) -> str:
    return f"{float(number):g}"


def _hex(line: str) -> str:
    return hashlib.sha256(line.encode()).hexdigest()
