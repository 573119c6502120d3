"""The register's instruments on a screen: how each stands, and what may be entered of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import DataTable

from commission.errors import CommissionError
from commission.record.clocks import machine
from commission.safe_text import safe_text
from commission.tui.notice import Notice
from commission.tui.signing.form import SecretForm
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult

    from commission.record.bench import Bench
    from commission.register.instrument import Instrument
    from commission.tui.register.forms import Asked

EMPTY: Final = (
    "No instrument is registered on this bench.\n\n"
    "Readings are as sure as their procedure asks; their records say so.\n\n"
    "F2 adds one. From then on readings of its kind say which instrument they were taken with, and"
    " are judged by the accuracy of its range and its calibration."
)
_HEADINGS: Final = ("Id", "Stands", "Until", "Called", "Serial")
_WIDEST: Final = 18
_SHOWN_RANGES: Final = 3


class InstrumentsScreen(Screen[None]):
    """Instruments of a bench; the table always has the keys."""

    AUTO_FOCUS = "DataTable"
    about = (
        "The instruments of this bench. What is entered holds from then on; readings keep what"
        " they were taken with. Where people are registered a lead signs each change, and whoever"
        " looked signs a check."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "change('add')", "Add", id="instruments.add", tooltip="Add an instrument"),
        Binding("f4", "change('calibrated')", "Calibrated", id="instruments.calibrated",
                tooltip="Enter a calibration of the highlighted instrument"),
        Binding("f5", "change('checked')", "Checked", id="instruments.checked",
                tooltip="Enter a look at a known value with the highlighted instrument"),
        Binding("f6", "change('ranges')", "Ranges", id="instruments.ranges", show=False,
                tooltip="Give the highlighted instrument other ranges"),
        Binding("f8", "change('retire')", "Retire", id="instruments.retire", show=False,
                tooltip="Let the highlighted instrument go, for good"),
        Binding("f10", "app.back", "Back", id="instruments.back", tooltip="Back"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    InstrumentsScreen {
        DataTable { height: 1fr; margin: 1 1 0 1; background: $background;
            scrollbar-size-vertical: 1; scrollbar-size-horizontal: 1; }
        #nothing { height: 1fr; margin: 2 3; display: none; }
        .detail { height: 8; padding: 0 2; border-top: hkey $line; }
        &.-empty DataTable, &.-empty .detail { display: none; }
        &.-empty #nothing { display: block; }
    }
    """

    def __init__(self, bench: Bench) -> None:
        """Show the instruments of `bench`."""
        super().__init__()
        self._bench = bench
        self._instruments: tuple[Instrument, ...] = ()
        self._today = ""
        self.table: DataTable[Text] = DataTable(cursor_type="row")
        self._detail = Plain(classes="detail")

    def compose(self) -> ComposeResult:
        yield TitleBar("register", "instruments of this bench")
        yield self.table
        yield Plain(EMPTY, id="nothing")
        yield self._detail
        yield KeyBar()

    def on_mount(self) -> None:
        for heading in _HEADINGS:
            self.table.add_column(Text(heading))
        self.show_instruments()

    def show_instruments(self) -> None:
        """Read the register and show it, those that may be used first."""
        self._today = machine().now().at
        try:
            found = self._bench.book.register.instruments.values()
        except CommissionError as error:
            self.set_class(True, "-empty")
            said = f"The register cannot be shown.\n\n{error.diagnostics()}"
            self.query_one("#nothing", Plain).show(said, "$text-error")
            return
        at = self.table.cursor_row
        self._instruments = tuple(sorted(found, key=lambda one: not one.is_active))
        self.set_class(not self._instruments, "-empty")
        self.table.clear()
        for one in self._instruments:
            self.table.add_row(*(Text(safe_text(cell)) for cell in _row(one, self._today)))
        if self._instruments:
            self.table.move_cursor(row=min(at, len(self._instruments) - 1))
        self._show_detail()
        self.refresh_bindings()

    @property
    def instrument(self) -> Instrument | None:
        """The highlighted instrument."""
        at = self.table.cursor_row
        return self._instruments[at] if 0 <= at < len(self._instruments) else None

    @on(DataTable.RowHighlighted)
    def follow_cursor(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        self._show_detail()
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer what concerns one instrument only where one is highlighted that is in use."""
        if action != "change" or not parameters or parameters[0] == "add":
            return True
        one = self.instrument if self.is_mounted else None
        return one is not None and one.is_active

    def action_change(self, what: str) -> None:
        from commission.tui.register import instrument_forms as forms

        made: dict[str, Callable[[Bench, Instrument], Asked]] = {
            "calibrated": forms.calibrated, "checked": forms.checked, "ranges": forms.ranges,
            "retire": forms.retire,
        }  # fmt: skip
        try:
            if what == "add":
                asked = forms.add(self._bench)
            elif self.instrument is not None:
                asked = made[what](self._bench, self.instrument)
            else:
                return
        except CommissionError as error:
            self.app.push_screen(Notice("Not now", error.diagnostics()))
            return
        form = SecretForm(asked.title, asked.text, asked.lines, asked.take)
        self.app.push_screen(form, lambda _: self.show_instruments())

    def _show_detail(self) -> None:
        one = self.instrument
        self._detail.show("" if one is None else _detail(one))


def _row(one: Instrument, today: str) -> tuple[str, ...]:
    stands = one.standing(today)
    shown = "retired" if not one.is_active else "good" if stands == "good" else stands.upper()
    return one.id, shown, one.due or "-", _cut(one.label), _cut(one.serial)


def _cut(text: str) -> str:
    return text if len(text) <= _WIDEST else f"{text[: _WIDEST - 1]}…"


def _detail(one: Instrument) -> str:
    lines = [f"{one.label}, {one.kind} {one.serial} ({one.id}), since {one.added.at[:10]}"]
    if one.retired is not None:
        lines.append(f"retired {one.retired.at[:10]}: {one.reason}")
    shown = one.ranges_now[:_SHOWN_RANGES]
    lines += [f"±({each.accuracy}) up to {each.ends}" for each in shown]
    if len(one.ranges_now) > len(shown):
        lines.append(f"and {len(one.ranges_now) - len(shown)} more ranges (F6)")
    if not shown:
        lines.append("no ranges: its readings are as sure as the procedure asks")
    last = one.calibrations[-1]
    if last.on:
        number = f", certificate {last.certificate}" if last.certificate else ""
        lines.append(f"calibrated {last.on}{number}")
    if one.last_check is not None:
        word = "good" if one.last_check.good else "BAD"
        check = one.last_check
        lines.append(f"checked {check.at.at[:10]} by {check.by}, {word}: {check.text}")
    return "\n".join(lines)
