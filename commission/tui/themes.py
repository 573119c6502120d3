"""Two own themes of high contrast, one dark, one light.

Every text colour reaches 7:1 on every surface it stands on, disabled text 4.5:1 (WCAG 2.2, success
criteria 1.4.6 and 1.4.3); a test computes it. Colour never says anything that a word does not.
"""

from __future__ import annotations

from typing import Final

from textual.theme import Theme

DARK: Final = "dark-high-contrast"
LIGHT: Final = "light-high-contrast"


def _variables(ink: dict[str, str]) -> dict[str, str]:
    """Return the variables that Textual would otherwise blend into something paler."""
    return {
        "text": ink["text"],
        "text-muted": ink["muted"],
        "text-disabled": ink["disabled"],
        "foreground-muted": ink["muted"],
        "foreground-disabled": ink["disabled"],
        "text-primary": ink["accent"],
        "text-secondary": ink["accent"],
        "text-accent": ink["accent"],
        "text-success": ink["success"],
        "text-warning": ink["warning"],
        "text-error": ink["error"],
        "block-cursor-foreground": ink["on-accent"],
        "block-cursor-background": ink["accent"],
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-foreground": ink["text"],
        "block-cursor-blurred-background": ink["raised"],
        "block-cursor-blurred-text-style": "bold",
        "block-hover-background": ink["raised"],
        "border": ink["accent"],
        "border-blurred": ink["line"],
        "footer-foreground": ink["text"],
        "footer-background": ink["raised"],
        "footer-key-foreground": ink["accent"],
        "footer-key-background": ink["raised"],
        "footer-description-foreground": ink["text"],
        "footer-description-background": ink["raised"],
        "footer-item-background": ink["raised"],
        "input-cursor-background": ink["text"],
        "input-cursor-foreground": ink["ground"],
        "input-cursor-text-style": "none",
        "input-selection-background": ink["accent"],
        "input-selection-foreground": ink["on-accent"],
        "screen-selection-background": ink["accent"],
        "screen-selection-foreground": ink["on-accent"],
        "button-foreground": ink["text"],
        "button-color-foreground": ink["on-accent"],
        "button-focus-text-style": "bold reverse",
        "scrollbar": ink["line"],
        "scrollbar-hover": ink["accent"],
        "scrollbar-active": ink["accent"],
        "scrollbar-background": ink["ground"],
        "scrollbar-background-hover": ink["ground"],
        "scrollbar-background-active": ink["ground"],
        "scrollbar-corner-color": ink["ground"],
        "link-color": ink["accent"],
        "link-background": ink["ground"],
        "link-color-hover": ink["on-accent"],
        "link-background-hover": ink["accent"],
        "line": ink["line"],
    }


_DARK_INK: Final = {
    "ground": "#101418", "surface": "#171c22", "raised": "#1f262e", "line": "#6b7885",
    "text": "#f4f6f8", "muted": "#bfc8d2", "disabled": "#929ca8",
    "accent": "#7cc7ff", "on-accent": "#08121a",
    "success": "#8ee29a", "warning": "#ffd166", "error": "#ffb0a6",
}  # fmt: skip
_LIGHT_INK: Final = {
    "ground": "#ffffff", "surface": "#f6f7f9", "raised": "#e9ecf0", "line": "#6b7480",
    "text": "#0b0f14", "muted": "#38414c", "disabled": "#5d6570",
    "accent": "#003f7d", "on-accent": "#ffffff",
    "success": "#0a4a1c", "warning": "#5c3a00", "error": "#8a0f14",
}  # fmt: skip


def _theme(name: str, ink: dict[str, str], *, dark: bool) -> Theme:
    return Theme(
        name=name,
        primary=ink["accent"],
        secondary=ink["accent"],
        accent=ink["accent"],
        success=ink["success"],
        warning=ink["warning"],
        error=ink["error"],
        foreground=ink["text"],
        background=ink["ground"],
        surface=ink["surface"],
        panel=ink["raised"],
        dark=dark,
        variables=_variables(ink),
    )


THEMES: Final = (
    _theme(DARK, _DARK_INK, dark=True),
    _theme(LIGHT, _LIGHT_INK, dark=False),
)


def starting_theme(wanted: str) -> str:
    """Return the theme whose name begins with `wanted` (`light`); the dark one where none does."""
    named = (theme.name for theme in THEMES if theme.name.startswith(wanted.strip().casefold()))
    return next(named, DARK)


def next_theme(present: str) -> str:
    """Return the theme after `present`."""
    names = [theme.name for theme in THEMES]
    return names[(names.index(present) + 1) % len(names)] if present in names else DARK
