"""Both themes reach the contrast they promise, at every colour depth."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from rich._palettes import STANDARD_PALETTE
from rich.color import Color as RichColor
from rich.color import ColorSystem
from textual.color import Color

from commission.tui.themes import DARK, LIGHT, THEMES, next_theme, starting_theme

if TYPE_CHECKING:
    from textual.theme import Theme

GROUNDS = ("background", "surface", "panel")
TEXTS = (
    "foreground", "text", "text-muted", "text-primary", "text-secondary", "text-accent",
    "text-success", "text-warning", "text-error", "accent", "primary", "success", "warning",
    "error", "footer-key-foreground", "footer-description-foreground", "button-foreground",
    "link-color", "foreground-muted",
)  # fmt: skip
PAIRS = (
    ("block-cursor-foreground", "block-cursor-background"),
    ("block-cursor-blurred-foreground", "block-cursor-blurred-background"),
    ("footer-foreground", "footer-background"),
    ("footer-key-foreground", "footer-key-background"),
    ("input-cursor-foreground", "input-cursor-background"),
    ("input-selection-foreground", "input-selection-background"),
    ("screen-selection-foreground", "screen-selection-background"),
    ("button-color-foreground", "accent"),
    ("link-color-hover", "link-background-hover"),
)


def luminance(rgb: tuple[float, float, float]) -> float:
    """WCAG 2.2, definition of relative luminance."""
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (channel / 255 for channel in rgb)
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_computed_as_the_standard_defines_it() -> None:
    """Black on white is 21:1 by definition; #777777 on white is 4.48:1, the published example."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast((119, 119, 119), (255, 255, 255)) == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", TEXTS)
def test_text_reaches_7_to_1_on_every_surface(theme: Theme, ground: str, text: str) -> None:
    colours = theme.to_color_system().generate()
    assert contrast(rgb(colours[text]), rgb(colours[ground])) >= 7


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("pair", PAIRS, ids="-on-".join)
def test_pairs_reach_7_to_1(theme: Theme, pair: tuple[str, str]) -> None:
    colours = theme.to_color_system().generate()
    assert contrast(rgb(colours[pair[0]]), rgb(colours[pair[1]])) >= 7


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", GROUNDS)
def test_disabled_text_reaches_4_5_to_1(theme: Theme, ground: str) -> None:
    colours = theme.to_color_system().generate()
    for name in ("text-disabled", "foreground-disabled"):
        assert contrast(rgb(colours[name]), rgb(colours[ground])) >= 4.5


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", [*TEXTS, "text-disabled"])
def test_text_stays_readable_with_16_colours(theme: Theme, ground: str, text: str) -> None:
    """As Rich maps them down, in the colours of the text mode that the names come from."""
    colours = theme.to_color_system().generate()
    assert contrast(mapped_down(colours[text]), mapped_down(colours[ground])) >= 4.5


def test_themes_are_found_by_the_start_of_their_name_and_follow_each_other() -> None:
    assert starting_theme("light") == LIGHT
    assert starting_theme("no such theme") == DARK
    assert next_theme(DARK) == LIGHT
    assert next_theme(LIGHT) == DARK


def rgb(colour: str) -> tuple[int, int, int]:
    return Color.parse(colour).rgb


def mapped_down(colour: str) -> tuple[float, float, float]:
    down = RichColor.from_rgb(*rgb(colour)).downgrade(ColorSystem.STANDARD)
    assert down.number is not None
    red, green, blue = STANDARD_PALETTE[down.number]
    return red, green, blue
