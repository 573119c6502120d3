"""The bench panel: what is seen of the bike, what was said last, and the rows to choose from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical
from textual.message import Message
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission.errors import CommissionError
from commission.tui.home.lines import fit
from commission.tui.widgets import Choices, Field, Plain, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.content import Content

    from commission.practice.panel.benchtop import Benchtop
    from commission.practice.panel.rows import Row

_WORD: Final = 9
"""Width of the word before what is seen."""
_LEAST: Final = 30
_VALUE: Final = 0.6
"""The most that a value may take of a row."""


class RowList(Choices):
    """The rows; Left and Right change what stands in one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "turn(1)", "More", id="bench.more", show=False,
                tooltip="At the bench: change what stands in the row"),
        Binding("left", "turn(-1)", "Less", id="bench.less", show=False,
                tooltip="At the bench: change it back"),
    ]  # fmt: skip

    @dataclass
    class Turned(Message):
        """Left or Right was struck at a row."""

        row: str
        by: int

    def action_turn(self, by: int) -> None:
        at = self.highlighted
        option = None if at is None else self.get_option_at_index(at)
        if option is not None and option.id:
            self.post_message(self.Turned(option.id, by))


class BenchPanel(Container):
    """Shows a bench and does what is chosen there; says `Touched` after each thing done."""

    DEFAULT_CSS = """
    BenchPanel {
        width: 50;
        height: 1fr;
        layout: vertical;
        border-left: vkey $line;
        &:focus-within { border-left: outer $accent; }
        #bench-title { dock: top; height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #bench-look { height: auto; padding: 1 1 0 1; }
        #bench-seen { height: 5; }
        #bench-said { height: 3; margin: 1 0 0 0; color: $text-warning; text-style: bold; }
        #bench-does { height: 2; color: $text-muted; }
        #bench-typed { display: none; }
        RowList > .option-list--option-highlighted {
            color: $text; background: $panel; text-style: bold;
        }
        RowList:focus > .option-list--option-highlighted {
            color: $block-cursor-foreground; background: $block-cursor-background;
        }
        RowList, RowList:focus { height: 1fr; padding: 0 1; text-wrap: nowrap; }
        &.-alone { width: 1fr; layout: horizontal; border-left: none; }
        &.-alone #bench-look { width: 40; height: 1fr; padding: 0 1; }
        &.-alone #bench-said { height: 6; }
        &.-alone #bench-seen { height: 7; }
        &.-alone #bench-does { height: 3; }
        &.-alone RowList { width: 1fr; border-left: vkey $line; }
    }
    """

    @dataclass
    class Touched(Message):
        """Something was done or looked at."""

    def __init__(self, top: Benchtop) -> None:
        """Show `top`."""
        super().__init__()
        self.top = top
        self.list = RowList()
        self.field = Field(id="bench-typed", max_length=80)
        self._rows: tuple[Row, ...] = ()
        self._page = ""
        self._width = 0
        self._types = ""
        self._clock = ""

    def compose(self) -> ComposeResult:
        yield Plain(id="bench-title")
        with Vertical(id="bench-look"):
            yield Plain(id="bench-seen")
            yield Plain(id="bench-said")
            yield Plain(id="bench-does")
            yield self.field
        yield self.list

    def on_mount(self) -> None:
        self.show_bench()

    def on_resize(self) -> None:
        self.show_bench()

    def on_descendant_focus(self) -> None:
        self._show_title()

    def on_descendant_blur(self) -> None:
        self._show_title()

    def show_clock(self, text: str) -> None:
        """Show the time of the record."""
        self._clock = text
        self._show_title()

    def focus_list(self) -> None:
        """Give the bench the keys."""
        self.screen.set_focus(self.list)

    def show_bench(self) -> None:
        """Show the bench as it stands now; the bar stays on its row."""
        if not self.is_mounted:
            return
        self._show_rows()
        sights = self.top.sights()
        self.query_one("#bench-seen", Plain).show(
            "\n".join(f"{sight.word:<{_WORD}}{sight.text}" for sight in sights)
        )
        self.query_one("#bench-said", Plain).show(self.top.said, "bold $text-warning")
        self._show_title()
        self._show_does()

    def _show_title(self) -> None:
        keys = "KEYS ARE HERE" if self.has_focus_within else "F11 or Tab"
        left = f" BENCH  {keys}"
        room = max(0, self.content_size.width - 2 - len(self._clock))
        self.query_one("#bench-title", Plain).show(f"{left:<{room}}{self._clock}")

    def _show_rows(self) -> None:
        rows = self.top.rows()
        width = max(_LEAST, self.list.content_size.width - 1)
        ids = [row.id for row in rows]
        looks = (self.top.at, width, ids)
        if looks != (self._page, self._width, [row.id for row in self._rows]):
            before = self._row
            is_same = self.top.at == self._page
            self.list.set_options(
                Option(_line(row, width), id=row.id, disabled=row.heading) for row in rows
            )
            kept = ids.index(before.id) if is_same and before and before.id in ids else 0
            self.list.highlighted = kept
        else:
            for old, new in zip(self._rows, rows, strict=True):
                if old != new:
                    self.list.replace_option_prompt(new.id, _line(new, width))
        self._rows, self._page, self._width = rows, self.top.at, width

    @property
    def _row(self) -> Row | None:
        at = self.list.highlighted
        return self._rows[at] if at is not None and at < len(self._rows) else None

    def _show_does(self) -> None:
        row = self._row if self.list.can_focus else None
        parts = []
        if row is not None and len(row.label) + len(row.value) >= self._width:
            parts.append(f"{row.label}:")
        if row is not None and row.does:
            parts.append(f"Enter {row.does}.")
        if row is not None and row.sideways:
            parts.append(f"←→ {row.sideways}.")
        self.query_one("#bench-does", Plain).show(" ".join(parts) or " ")

    @on(OptionList.OptionHighlighted)
    def follow(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self._show_does()

    @on(OptionList.OptionSelected)
    def do(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        row = next((each for each in self._rows if each.id == event.option_id), None)
        if row is None:
            return
        if row.types:
            self._ask(row)
            return
        self.top.enter(row.id)
        self._done()

    @on(RowList.Turned)
    def turn(self, event: RowList.Turned) -> None:
        event.stop()
        self.top.turn(event.row, event.by)
        self._done()

    def _ask(self, row: Row) -> None:
        self._types = row.id
        self.field.value = ""
        self.field.placeholder = row.types
        self.field.display = True
        self.top.said = f"{row.types}. Enter takes it."
        self.show_bench()
        self.screen.set_focus(self.field)

    @on(Input.Changed)
    def keep_to_itself(self, event: Input.Changed) -> None:
        event.stop()

    @on(Input.Submitted)
    def take(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            try:
                self.top.take(self._types, event.value)
            except CommissionError as error:
                self.top.said = error.diagnostics()
                self.show_bench()
                return
        self.leave_field()
        self._done()

    def leave_field(self) -> bool:
        """Put the field away; return whether it was there."""
        was = bool(self.field.display)
        self.field.display = False
        if was:
            self.focus_list()
        return was

    def _done(self) -> None:
        self.show_bench()
        self.post_message(self.Touched())


def _line(row: Row, width: int) -> Content:
    if row.heading:
        return plain(fit(row.label, width), "bold underline" if row.label[:1] != " " else "")
    value = fit(row.value, int(width * _VALUE)).rstrip() if row.value else ""
    label = fit(row.label, width - len(value) - 1)
    return plain(f"{label} {value}")
