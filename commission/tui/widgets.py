"""The widgets every screen is made of; text from people and files goes through them as data."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from commission.safe_text import safe_text


def plain(text: object, style: str = "", *, lines: bool = False) -> Content:
    """Return `text` as content in which nothing is markup and no control character takes effect.

    `style` is a Textual style such as `bold $text-muted`; `lines` keeps line breaks.
    """
    safe = safe_text(text, lines=lines)
    return Content.styled(safe, style) if style else Content(safe)


class Plain(Static):
    """Text shown as it is; `show` replaces it."""

    def __init__(
        self,
        text: object = "",
        *,
        style: str = "",
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        """Show `text`, which may have several lines."""
        super().__init__(plain(text, style, lines=True), id=id, classes=classes, markup=False)

    def show(self, text: object, style: str = "") -> None:
        """Replace the text."""
        self.update(text if isinstance(text, Content) else plain(text, style, lines=True))
