"""Answers that are typed: one field at a time in one plain input, echoed as understood.

One input for all fields keeps keys in a burst in order: Enter moves what is asked, never the
focus, so a scanner's next code cannot land in the field before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widgets import Input

from commission.tui.job.area import Area
from commission.tui.job.beside import Beside
from commission.tui.job.echo import TAKE_OFFERED, Echo, echo
from commission.tui.job.scale import Bounds, bar
from commission.tui.widgets import Field, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from textual.app import ComposeResult

    from commission.job.ask import Ask
    from commission.tui.job.beside import Known

MOST_CHARACTERS = 400
_LEAST_SCALE, _MOST_SCALE = 24, 64
_SEVERAL = 2
_NEAR = 5
"""Fields listed in a short window: the one in hand and those about it."""


class FieldsArea(Area):
    """One or several typed answers; gives all of them at Enter on the last."""

    KEPT = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "back", "Field before", id="job.field.back", show=False,
                tooltip="Go back to the field before"),
        Binding("down", "forward", "Next field", id="job.field.next", show=False,
                tooltip="Go on to the next field that was given before"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    FieldsArea {
        & > .scale { height: auto; }
        & > .fields { height: auto; &.-none { display: none; } }
        & > Field, & > Field:focus {
            height: 3;
            border: round $border-blurred;
            padding: 0 1;
            background: $background;
            text-style: none;
            border-title-color: $text;
            border-subtitle-color: $text;
        }
        & > Field:focus { border: round $border; }
    }
    """

    def __init__(self, asks: Sequence[Ask], bounds: Callable[[Ask], Bounds] | None = None) -> None:
        """Ask for `asks` in order; `bounds` gives the limits to show for each."""
        super().__init__()
        self.asks = tuple(asks)
        self._bounds = bounds or (lambda _ask: Bounds(None, None))
        self._texts: dict[str, str] = {}
        self._at = 0
        self._fields = Plain(classes="fields")
        self._scale = Plain(classes="scale")
        self._echo = Plain(classes="echo")
        self.input = Field(max_length=MOST_CHARACTERS)
        self.beside = Beside()

    def compose(self) -> ComposeResult:
        yield self._fields
        yield self._scale
        yield self.input
        yield self._echo
        yield self.beside
        yield self.refusal

    def on_mount(self) -> None:
        self._show()

    def on_resize(self) -> None:
        self._show_scale()
        # A window's class is short or not only once its own resize is through.
        self.call_after_refresh(self._show_fields)

    @property
    def ask(self) -> Ask:
        """The field that is asked now."""
        return self.asks[self._at]

    @property
    def typed(self) -> dict[str, str]:
        texts = {**self._texts, self.ask.name: self.input.value}
        return {name: text for name, text in texts.items() if text}

    def put_back(self, typed: Mapping[str, str]) -> None:
        self._texts = dict(typed)
        given = [at for at, ask in enumerate(self.asks) if typed.get(ask.name)]
        self._at = given[-1] if given else 0
        self.input.value = self._texts.get(self.ask.name, "")
        self.input.action_end()

    def ask_as(self, fresh: FieldsArea) -> None:
        self.asks, self._bounds = fresh.asks, fresh._bounds
        self._texts, self._at = fresh._texts, fresh._at
        self.beside.known = fresh.beside.known
        self.input.value = fresh.input.value
        self.input.action_end()
        self.refuse("")
        self._show()

    def focus_entry(self) -> None:
        self.input.focus()

    def understood(self, ask: Ask | None = None) -> Echo:
        """Return how the text of `ask`, or of the field asked now, is understood."""
        ask = ask or self.ask
        text = self.input.value if ask is self.ask else self._texts.get(ask.name, "")
        return echo(ask, text, self._bounds(ask))

    def know(self, known: Known) -> None:
        """Show what is known beside the readings."""
        self.beside.known = known
        self._show_echo()

    @on(Input.Changed)
    def show_what_is_understood(self, event: Input.Changed) -> None:
        event.stop()
        self.refuse("")
        self._show_echo()
        self._show_scale()
        self.changed()

    @on(Input.Submitted)
    def take_field(self, event: Input.Submitted) -> None:
        event.stop()
        understood = self.understood()
        if not understood.understood:
            said = understood.said if self.input.value.strip() else "type it first, then Enter."
            self.refuse(said)
            return
        offered = self.input.value.strip() == TAKE_OFFERED and bool(self.ask.offered)
        self._texts[self.ask.name] = understood.text if offered else self.input.value
        if offered:
            self.input.value = understood.text
        if self._at + 1 < len(self.asks):
            self._go(self._at + 1)
        else:
            self._give()

    def changed(self) -> None:
        """React to a text that changed; for areas that compute from it."""

    def give(self, given: dict[str, str]) -> None:
        """Hand on what was given in all fields."""
        self.post_message(self.Given(given))

    def action_back(self) -> None:
        self._texts[self.ask.name] = self.input.value
        self._go(max(0, self._at - 1))

    def action_forward(self) -> None:
        if self.understood().understood and self._at + 1 < len(self.asks):
            self._texts[self.ask.name] = self.input.value
            self._go(self._at + 1)

    def _give(self) -> None:
        given: dict[str, str] = {}
        for at, ask in enumerate(self.asks):
            understood = self.understood(ask)
            if not understood.understood:
                self._go(at)
                self.refuse(understood.said or "this field is still empty.")
                return
            if understood.text:
                given[ask.name] = understood.text
        self.give(given)

    def _go(self, at: int) -> None:
        self._at = at
        self.input.value = self._texts.get(self.ask.name, "")
        self.input.action_end()
        self.refuse("")
        self._show()

    def _show(self) -> None:
        self.input.border_title = plain(self.ask.label)
        self.input.border_subtitle = plain(self.ask.unit)
        self._fields.set_class(len(self.asks) < _SEVERAL, "-none")
        self._show_fields()
        self._show_echo()
        self._show_scale()

    def _show_fields(self) -> None:
        lines = [self._line(at) for at in range(len(self.asks))]
        if self.screen.has_class("-short") and len(lines) > _NEAR:
            first = min(max(0, self._at - _NEAR // 2), len(lines) - _NEAR)
            lines = lines[first : first + _NEAR]
        self._fields.show("\n".join(lines))

    def _line(self, at: int) -> str:
        ask = self.asks[at]
        text = self._texts.get(ask.name, "")
        sign = "›" if at == self._at else ("+" if text else "·")
        shown = f"{text} {ask.unit}".strip() if text else "…"
        return f"{sign} {at + 1}  {ask.label}: {shown}"

    def _show_echo(self) -> None:
        understood = self.understood()
        wrong = understood.outside or (self.input.value and not understood.understood)
        said = understood.said
        if (
            not self.input.value
            and len(self.asks) >= _SEVERAL
            and self.ask.criterion
            and not self.ask.choices
        ):
            said = f"Good: {self.ask.criterion}. {said}"
        self._echo.show(said or " ", "$text-warning" if wrong else "$text-muted")
        self.beside.show_for(self.ask, self.input.value, understood.value)

    def _show_scale(self) -> None:
        bounds = self._bounds(self.ask)
        width = min(_MOST_SCALE, self.size.width - 4)
        lines = bar(self.understood().value, bounds, width) if width >= _LEAST_SCALE else ("", "")
        self._scale.display = bool(lines[0])
        self._scale.show("\n".join(lines))
