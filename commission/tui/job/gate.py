"""The two-key gate: Space marks, Enter confirms.

One key alone never passes it, nor does a burst of Enters. Any other printable key takes the mark
away again, so a scanned code with a space in it does not pass either.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual import on
from textual.binding import Binding, BindingType
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Input

from commission.tui.job.area import Area
from commission.tui.widgets import Field, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual import events
    from textual.app import ComposeResult
    from textual.content import Content

CANNOT: Final = "cannot"
_DONE: Final = "done"
_CANNOT_TEXT: Final = "This cannot be done."


class Mark(Widget, can_focus=True):
    """A box that Space marks; where something may turn out impossible, Backspace says so."""

    DEFAULT_CSS = """
    Mark {
        height: 3;
        border: round $border-blurred;
        padding: 0 1;
        &:focus { border: round $border; }
        &.-locked { color: $text-disabled; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "mark('done')", "Mark", id="job.mark", show=False,
                tooltip="Mark what stands here"),
        Binding("backspace", "mark('cannot')", "Cannot", id="job.cannot", show=False,
                tooltip="Mark that it cannot be done"),
    ]  # fmt: skip
    marked = reactive("")
    """`done`, `cannot` or empty."""
    locked = reactive(default=False)
    """Whether it cannot be marked yet."""

    def __init__(self, text: str, *, may_fail: bool = False) -> None:
        """Show `text` beside the box; `may_fail` lets Backspace mark that it cannot be done."""
        super().__init__()
        self.text = text
        self.may_fail = may_fail

    def renew(self, fresh: Mark) -> None:
        """Be what `fresh` is, not marked."""
        self.text, self.may_fail = fresh.text, fresh.may_fail
        self.marked, self.locked = "", fresh.locked
        self.refresh()

    def render(self) -> Content:
        if self.marked == CANNOT:
            return plain(f"[–]  {_CANNOT_TEXT}", "bold $text-warning")
        box = "[×]" if self.marked else "[ ]"
        return plain(f"{box}  {self.text}", "bold" if self.marked else "")

    def action_mark(self, what: str) -> None:
        if self.locked or (what == CANNOT and not self.may_fail):
            return
        self.marked = "" if self.marked == what else what

    def on_key(self, event: events.Key) -> None:
        if event.is_printable and event.key != "space":
            self.marked = ""

    def on_paste(self) -> None:
        self.marked = ""

    def watch_locked(self, locked: bool) -> None:
        self.set_class(locked, "-locked")
        if locked:
            self.marked = ""


class GateArea(Area):
    """A sentence to mark and confirm; posts `Confirmed` with the gate's name."""

    KEPT = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "confirm", "Confirm", id="job.confirm", show=False,
                tooltip="Confirm what is marked"),
    ]  # fmt: skip

    def __init__(
        self, gate: str, text: str, *, locked: bool = False, may_fail: bool = False
    ) -> None:
        """Gate `gate` with the sentence `text`."""
        super().__init__()
        self.gate = gate
        self.mark = Mark(text, may_fail=may_fail)
        self.mark.locked = locked
        self._keys = Plain(self._hint, classes="hint")

    def compose(self) -> ComposeResult:
        yield self.mark
        yield self.refusal
        yield self._keys

    @property
    def _hint(self) -> str:
        cannot = "  Backspace: it cannot be done." if self.mark.may_fail else ""
        return f"Space marks it, then Enter confirms.{cannot}"

    def ask_as(self, fresh: GateArea) -> None:
        self.gate = fresh.gate
        self.mark.renew(fresh.mark)
        self._keys.show(self._hint)
        self.refuse("")

    def focus_entry(self) -> None:
        self.mark.focus()

    def action_confirm(self) -> None:
        if self.mark.locked:
            self.refuse("the time is not over yet.")
        elif self.mark.marked:
            self.refuse("")
            self.confirmed()
        else:
            self.refuse("press Space first to mark it, then Enter.")

    def confirmed(self) -> None:
        """Post what a confirmed gate means."""
        self.post_message(self.Confirmed(self.gate))


class DoneArea(GateArea):
    """Something to do and to say that it is done, or that it cannot be and why."""

    KEPT = True
    DEFAULT_CSS = """
    DoneArea > Field { display: none; margin: 1 0 0 0; }
    DoneArea.-reason > Field { display: block; }
    """

    def __init__(self, field: str, text: str, *, locked: bool = False, reason: str = "") -> None:
        """Give `done` for the ask `field`; or `cannot`, with why for the ask called `reason`.

        Without a `reason` to ask for, it can only be done.
        """
        super().__init__("done", text, locked=locked, may_fail=bool(reason))
        self.field = field
        self.reason = reason
        self.why_not = Field(placeholder="Why it cannot be done, then Enter")

    def compose(self) -> ComposeResult:
        yield self.mark
        yield self.why_not
        yield self.refusal
        yield self._keys

    @property
    def typed(self) -> dict[str, str]:
        return {self.reason: self.why_not.value} if self.why_not.value else {}

    def put_back(self, typed: Mapping[str, str]) -> None:
        self.why_not.value = typed.get(self.reason, "")

    def ask_as(self, fresh: Any) -> None:  # noqa: ANN401  as `Area.ask_as`
        super().ask_as(fresh)
        self.field, self.reason = fresh.field, fresh.reason
        self.why_not.value = fresh.why_not.value
        self.remove_class("-reason")

    def confirmed(self) -> None:
        if self.mark.marked != CANNOT:
            self.post_message(self.Given({self.field: _DONE}))
        else:
            self.add_class("-reason")
            self.why_not.focus()

    @on(Input.Submitted)
    def give_reason(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.post_message(self.Given({self.field: CANNOT, self.reason: event.value}))
        else:
            self.refuse("say why it cannot be done.")
