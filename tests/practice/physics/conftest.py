"""Bikes to try the physics on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.practice.physics.varied import demo_build

if TYPE_CHECKING:
    from commission.practice.build import Build


@pytest.fixture(scope="session")
def demonstrator() -> Build:
    """The invented bike of the examples."""
    return demo_build()
