"""The form of one calculator: its inputs, the result at every key, and what stands behind it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input

from commission.calculators.catalogue import get
from commission.calculators.outcome import Outcome, outcome
from commission.calculators.picture import has_picture
from commission.calculators.unit_choices import choices, load_units
from commission.calculators.worksheet import can_be_wanted, new
from commission.record import last_used
from commission.safe_text import safe_text
from commission.tui.calculated import cautions_of, number_in
from commission.tui.calculators import keeping, notes
from commission.tui.calculators.pane import Pane
from commission.tui.calculators.rows import FieldRow, InputRow, OutputRow
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual import events
    from textual.app import ComposeResult

    from commission.calculators.worksheet import Worksheet
    from commission.tui.app import CommissionApp


class CalculatorForm(Screen[None]):
    """One calculator. Enter, Down and Up go through the fields; nothing here is recorded."""

    AUTO_FOCUS = "InputRow Field"
    about = (
        "One calculator: the result follows every key. A number may carry a unit (35 mph). Type"
        " into a result to ask it back: what gives this? Nothing here enters a job's record."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "app.focus_next", "Next field", id="calculator.next", show=False),
        Binding("up", "app.focus_previous", "Field before", id="calculator.before", show=False),
        Binding("f2", "copy", "Copy", id="calculator.copy", show=False,
                tooltip="Copy inputs and results to the clipboard, where the terminal allows it"),
        Binding("f3", "unit", "Unit", id="calculator.unit",
                tooltip="Show this field in its next unit, or its next choice; the value stays"),
        Binding("f4", "other", "Solve for", id="calculator.other", show=False,
                tooltip="Solve for another input, where a result is asked back"),
        Binding("f5", "plot", "Plot", id="calculator.plot", tooltip="Show the plot, or the next"),
        Binding("f6", "behind", "Formula", id="calculator.behind",
                tooltip="Show formula, conventions, traps and source"),
        Binding("f7", "example", "Example", id="calculator.example", show=False,
                tooltip="Fill in the worked example"),
        Binding("f8", "empty", "Empty all", id="calculator.empty", show=False,
                tooltip="Empty all fields, units as declared"),
        Binding("pagedown", "scroll_behind(1)", "Page down", id="calculator.pagedown", show=False),
        Binding("pageup", "scroll_behind(-1)", "Page up", id="calculator.pageup", show=False),
        Binding("f10", "app.back", "Back", id="calculator.back",
                tooltip="Back; the values typed here are kept"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    CalculatorForm {
        #body { height: 1fr; }
        #sheet { height: auto; max-height: 62%; overflow-y: auto; padding: 0 1;
                 scrollbar-size-vertical: 1; }
        #cautions { height: auto; color: $text-warning; padding: 0 1 0 1; }
        #state { height: auto; padding: 0 1; }
        #hint { height: 2; padding: 0 2; text-overflow: ellipsis;
                &.-lines { text-wrap: nowrap; } }
        &.-tall #cautions, &.-tall #state { margin: 1 0; }
        &.-tall #hint { margin: 1 0; }
        &.-narrow {
            #sheet { max-height: 50%; }
            .label { width: 23; }
            .unit { width: 8; }
            InputRow > Field, OutputRow > .value { width: 13; }
        }
        &.-wide {
            .label { width: 50; }
            Pane { layout: horizontal; }
            Pane.-plotted #plot { display: block; }
            Pane.-plot #behind { display: block; }
            #plot, #behind { width: 1fr; }
        }
    }
    """

    @dataclass
    class Ready(Message):
        """Units are known and the values last used were read."""

        kept: last_used.LastUsed | None
        notice: str

    app: CommissionApp

    def __init__(self, name: str) -> None:
        """Show the calculator of this name; raises `CalculationError` where there is none."""
        super().__init__()
        self.name_of = name
        self.sheet: Worksheet = new(get(name))
        """What stands in the fields."""
        self.result = Outcome({}, {})
        """What it gives."""
        self.is_ready = False
        self._is_example_wished = False
        self._kept = self.sheet

    def compose(self) -> ComposeResult:
        declared = self.sheet.calculator
        yield TitleBar(declared.title, f"{declared.topic} · {declared.name}")
        with Vertical(id="body"):
            # No container of the library's that scrolls by keys: Down goes to the next field.
            with Vertical(id="sheet"):
                yield Plain(cautions_of(declared, in_full=True), id="cautions")
                for each in declared.inputs:
                    yield InputRow(each)
                yield Plain(id="state")
                for output in declared.outputs:
                    yield OutputRow(output, asked_back=can_be_wanted(output))
            yield Plain(id="hint")
            yield Pane(declared)
        yield KeyBar()

    def on_mount(self) -> None:
        self._show()
        self.call_after_refresh(self._prepare)

    def on_unmount(self) -> None:
        if self.sheet is self._kept:
            return
        path = last_used.place(self.app.store)
        problem = last_used.keep(path, self.name_of, keeping.kept_of(self.sheet))
        if problem:
            self.app.notify(problem, severity="warning", markup=False)

    @work(thread=True, exclusive=True, group="prepare")
    def _prepare(self) -> None:
        declared = self.sheet.calculator
        load_units([*(one.unit for one in declared.inputs), *(o.unit for o in declared.outputs)])
        kept, notice = last_used.read(last_used.place(self.app.store))
        self.post_message(self.Ready(kept.get(self.name_of), notice))

    @on(Ready)
    def start(self, message: Ready) -> None:
        self.is_ready = True
        if message.notice:
            self.notify(message.notice, severity="warning", markup=False)
        if message.kept is not None and self.sheet is self._kept:
            self.sheet = self._kept = keeping.restored(self.sheet.calculator, message.kept)
        self._show()
        if self._is_example_wished:
            self.action_example()

    @on(Input.Changed)
    def follow(self, event: Input.Changed) -> None:
        event.stop()
        row = event.input.parent
        text = safe_text(event.value)
        if isinstance(row, InputRow) and event.value != self.sheet.entries[row.of].text:
            self._set(self.sheet.with_text(row.of, text))
        elif isinstance(row, OutputRow) and event.value != self.sheet.wanted_of(row.of):
            self._set(self.sheet.with_wanted(row.of, text))

    @on(Input.Submitted)
    def go_on(self, event: Input.Submitted) -> None:
        event.stop()
        row = event.input.parent
        if isinstance(row, OutputRow) and row.of == self.sheet.wanted:
            self._take()
        else:
            self.focus_next()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        for row in self._rows():
            row.mark(in_hand=row is event.widget.parent)
        self._show_hint()
        self.refresh_bindings()

    def on_descendant_blur(self, event: events.DescendantBlur) -> None:
        row = event.widget.parent
        if isinstance(row, InputRow) and self.is_ready:
            changed = self.sheet.with_own_unit(row.of)
            if changed.entries[row.of] != self.sheet.entries[row.of]:
                self._set(changed)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer what does something for the field in hand."""
        del parameters
        match action:
            case "unit":
                return self._has_units
            case "other":
                return bool(self.sheet.wanted)
            case "plot":
                return has_picture(self.sheet.calculator)
            case _:
                return True

    @property
    def in_hand(self) -> FieldRow | None:
        """The row that has the keys."""
        focused = self.focused
        row = focused.parent if focused is not None else None
        return row if isinstance(row, FieldRow) else None

    def action_unit(self) -> None:
        if self.in_hand is not None and self.is_ready:
            self._set(self.sheet.with_next_unit(self.in_hand.of))

    def action_other(self) -> None:
        self._set(self.sheet.with_next_over(self.result.solved))

    def action_plot(self) -> None:
        self.query_one(Pane).turn()

    def action_behind(self) -> None:
        self.query_one(Pane).show_behind()

    def action_scroll_behind(self, pages: int) -> None:
        self.query_one(Pane).scroll(pages)

    def action_example(self) -> None:
        self._is_example_wished = not self.is_ready
        if self.is_ready:
            self._set(self.sheet.with_example())

    def action_empty(self) -> None:
        self._set(new(self.sheet.calculator))

    def action_copy(self) -> None:
        if not self.result.answers:
            self.notify("There is no result to copy.", severity="warning", markup=False)
            return
        self.app.copy_to_clipboard(safe_text(notes.copied(self.sheet, self.result), lines=True))
        self.notify("Copied, if this terminal lets programs copy.", markup=False)

    def _take(self) -> None:
        solution = self.result.solution
        if solution is None:
            return
        solved = self.result.solved
        self._set(self.sheet.with_taken(solved, solution.value))
        next(row for row in self._rows() if row.of == solved).query_one(Input).focus()

    @property
    def _has_units(self) -> bool:
        row = self.in_hand if self.is_mounted else None
        if isinstance(row, InputRow):
            return row.declared.kind == "choice" or len(choices(row.declared.unit)) > 1
        return isinstance(row, OutputRow) and len(choices(row.declared.unit)) > 1

    def _rows(self) -> Iterator[FieldRow]:
        return iter(self.query(FieldRow))

    def _set(self, sheet: Worksheet) -> None:
        self.sheet = sheet
        self._show()
        self.refresh_bindings()

    def _show(self) -> None:
        sheet = self.sheet
        if self.is_ready:
            self.result = outcome(sheet)
        result = self.result
        with self.app.batch_update():
            for row in self._rows():
                if isinstance(row, InputRow) and self.is_ready:
                    note = notes.beside_input(sheet, result, row.declared)
                    row.show(sheet.entries[row.of], note, notes.placeholder(sheet, row.declared))
                elif isinstance(row, OutputRow):
                    answer = result.answers.get(row.of)
                    value = (
                        "" if answer is None
                        else number_in(row.declared, answer, sheet.units[row.of])[0]
                    )  # fmt: skip
                    row.show(value, sheet.units[row.of], self.sheet.wanted_of(row.of))
            self.query_one("#state", Plain).show(*notes.state_line(result, ready=self.is_ready))
            self._show_hint()
            if self.is_ready:
                self.query_one(Pane).follow(sheet, result)

    def _show_hint(self) -> None:
        row = self.in_hand
        note = ("", "")
        if isinstance(row, InputRow) and self.is_ready:
            note = notes.below_input(self.result, row.declared)
        elif isinstance(row, OutputRow) and self.is_ready:
            note = notes.below_output(self.sheet, self.result, row.of)
        hint = self.query_one("#hint", Plain)
        hint.set_class("\n" in note[0], "-lines")
        hint.show(*note)
