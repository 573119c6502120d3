"""Plans of the shipped checklists, made once, and small procedures to try single answers with."""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.job.plan import Plan, plan
from commission.practice.altering import altered
from commission.practice.physics.varied import demo_build
from commission.practice.run import Run, arriving, perform
from commission.procedure import load

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.practice.build import Build

HEAD = """\
procedure: small
revision: 1
title: A small procedure
purpose: To see one answer.
"""


@functools.cache
def shipped_plan(slug: str) -> Plan:
    """Return the plan of a shipped procedure."""
    path = next(path for name, _, path in load.shipped() if name == slug)
    loaded = load.load(path)
    assert loaded.procedure is not None, "\n".join(map(str, loaded.problems))
    return plan(loaded.procedure)


@pytest.fixture(scope="session")
def plan_of() -> Callable[[str], Plan]:
    """Give plans of shipped procedures by name."""
    return shipped_plan


@pytest.fixture(scope="session")
def exchange() -> Plan:
    """The main checklist."""
    return shipped_plan("controller-exchange")


@pytest.fixture(scope="session")
def arrived(exchange: Plan) -> Build:
    """The demonstrator as it comes to the main checklist."""
    return arriving(exchange, demo_build())


@pytest.fixture
def small() -> Callable[..., Run]:
    """Do a job of some steps in YAML on the demonstrator, changed by dotted paths."""

    def do(steps: str, head: str = "", **changes: Any) -> Run:
        indented = "\n".join(f"      {line}" for line in steps.strip("\n").splitlines())
        text = f"{HEAD}{head}stages:\n  - id: one\n    title: One\n    steps:\n{indented}\n"
        loaded = load.loads(text)
        assert loaded.procedure is not None, "\n".join(map(str, loaded.problems))
        dotted = {path.replace("__", "."): value for path, value in changes.items()}
        made = plan(loaded.procedure)
        build = arriving(made, demo_build())
        return perform(made, altered(build, dotted) if dotted else replace(build))

    return do
