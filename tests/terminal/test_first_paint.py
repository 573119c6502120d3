"""The first paint waits for nothing heavy: no units, database, models or YAML."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

PROGRAM = """
import json, sys
from commission.tui.app import CommissionApp
from commission.tui.home.screen import Home

def note(home):
    painted = "Reading the bench" in "".join(
        segment.text for strip in home._compositor.render_strips() for segment in strip
    )
    with open(sys.argv[1], "w") as file:
        json.dump({"painted": painted, "modules": sorted(sys.modules)}, file)
    home.app.exit()

Home.read_jobs = note
CommissionApp().run()
"""
HEAVY = {"pint", "sqlalchemy", "pydantic", "yaml", "sqlite3", "numpy", "plotext", "typer"}


def test_nothing_heavy_is_loaded_when_home_is_on_the_screen(terminal: Any, tmp_path: Path) -> None:
    told = tmp_path / "told.json"
    shown = terminal(terminal.python(PROGRAM, str(told)))
    assert shown.wait_end() == 0
    found = json.loads(told.read_text())
    assert found["painted"]
    assert not HEAVY & set(found["modules"])
