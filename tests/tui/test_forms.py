"""In every form the label of the line that is typed in stands out, and no other one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.tui.signing.form import Line, SecretForm
from commission.tui.start.screen import Start

if TYPE_CHECKING:
    from commission.record.bench import Bench


def marked(screen: Any) -> list[int]:
    """Return the places of the labels that stand out."""
    return [at for at, one in enumerate(screen.query(".label")) if one.text_style.bold]


async def test_in_a_dialog_of_lines_the_mark_goes_with_the_keys(app_on: Any) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        lines = (Line("name", "Name"), Line("role", "Role"), Line("secret", "Secret", secret=True))
        app.push_screen(SecretForm("Some lines", "", lines, lambda _: ""))
        await pilot.pause()
        seen = [marked(app.screen)]
        for key in ("down", "enter", "up", "up"):
            await pilot.press(key)
            await pilot.pause()
            seen.append(marked(app.screen))
        assert seen == [[0], [1], [2], [1], [0]]


async def test_in_the_form_of_a_new_job_the_mark_goes_with_the_keys(
    bench: Bench, app_on: Any, until: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: app.bench is not None, "the bench")
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(app.screen, Start), "the form")
        fields = list(app.screen.query("Horizontal Field"))
        for at in (1, 2, 0):
            fields[at].focus()
            await pilot.pause()
            assert marked(app.screen) == [at]
    assert not bench.jobs()
