"""The form for a new job: a short list, seven fields, and the button that starts it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.suggester import SuggestFromList
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission.errors import CommissionError
from commission.tui.start import procedures
from commission.tui.start.entries import Entries, remarks, same, wrong_with
from commission.tui.widgets import Choices, Field, KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult

    from commission.record.bench import Bench
    from commission.record.session import Session
    from commission.tui.app import CommissionApp
    from commission.tui.start.procedures import Offered

_FIELDS: Final = (
    ("frame", "Frame number", "typed or scanned"),
    ("model", "Bike", "what kind, in words"),
    ("owner", "Owner", "a note, if you like"),
    ("technician", "Technician", "who does the work"),
    ("lead", "Lead", "who may resume and concede"),
    ("witness", "Witness", "who confirms at hold points"),
    ("controller", "Controller", "its kind, to compare by"),
)
_WIDEST_TIME: Final = 6
ANOTHER: Final = "Another file: type its path below"


class _Form(VerticalScroll, can_focus=False, inherit_bindings=False):
    """Scrolls by following the focus alone: Up and Down belong to the fields."""


class Start(Screen[None]):
    """Asks for a procedure, a bike and people; Enter goes on from field to field."""

    AUTO_FOCUS = "#procedures"
    about = (
        "A new job. Enter goes on to the next field, Up and Down move between them. Nothing is"
        " recorded until the job is started."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "start", "Start the job", id="start.start", tooltip="Start the job"),
        Binding("down", "app.focus_next", "Next field", id="start.next", show=False),
        Binding("up", "app.focus_previous", "Field before", id="start.previous", show=False),
        Binding("f10", "app.back", "Back", id="start.back",
                tooltip="Back to the jobs; nothing is recorded"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Start {
        _Form { padding: 0 2; height: 1fr; }
        &.-tall _Form { padding: 1 2 0 2; }
        .heading { color: $text-muted; text-style: bold; }
        #procedures { height: auto; max-height: 5; }
        &.-tall #procedures { max-height: 12; }
        &.-tall #procedures { margin: 0 0 1 0; }
        #purpose { height: 3; margin: 0 0 1 1; color: $text-muted; }
        /* Of its own: only what has a rule of this kind has those within it styled anew. */
        Horizontal:focus-within { background: $surface; }
        Horizontal:focus-within .label { color: $accent; text-style: bold; }
        Choices > .option-list--option-highlighted {
            color: $text; background: $panel; text-style: bold;
        }
        Choices:focus > .option-list--option-highlighted {
            color: $block-cursor-foreground; background: $block-cursor-background;
        }
        Horizontal { height: 1; }
        /* As high as the purpose, whose place it takes. */
        #path-row { margin: 1 0 2 0; }
        .label { width: 15; text-align: right; padding: 0 1 0 0; }
        Field { width: 30; }
        &.-wide Field { width: 48; }
        .note { width: 1fr; padding: 0 0 0 1; color: $text-muted; text-wrap: nowrap; }
        #go { height: 1; margin: 1 0 0 0; }
        #said { height: auto; margin: 1 0 0 0; color: $text-error; }
    }
    """

    @dataclass
    class Offers(Message):
        """The shipped procedures were read."""

        offered: tuple[Offered, ...]
        able: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
        """Who is registered with a role, by name; empty where nobody is registered."""

    @dataclass
    class Refused(Message):
        """The job was not started; nothing was recorded."""

        error: CommissionError

    @dataclass
    class Started(Message):
        """The job is open and its first entry is durable."""

        session: Session
        by: str

    app: CommissionApp

    def __init__(self, bench: Bench, technician: str = "") -> None:
        """Start a job on `bench`; `technician` is offered, to be changed or confirmed."""
        super().__init__()
        self._bench = bench
        self._technician = technician
        self._offered: tuple[Offered, ...] = ()
        self._busy = False
        self._able: Mapping[str, tuple[str, ...]] = {}

    def compose(self) -> ComposeResult:
        yield TitleBar("commission", "a new job")
        with _Form():
            yield Plain("Procedure", classes="heading")
            yield Choices(Option(plain("Reading …"), disabled=True), id="procedures")
            yield Plain(id="purpose")
            with Horizontal(id="path-row"):
                yield Plain("File", classes="label")
                yield Field(placeholder="path of a procedure", id="path")
                yield Plain(id="note-path", classes="note")
            yield Plain("Bike and people", classes="heading")
            for name, label, note in _FIELDS:
                offered = self._technician if name == "technician" else ""
                with Horizontal():
                    yield Plain(label, classes="label")
                    yield Field(offered, id=name, max_length=120)
                    yield Plain(note, id=f"note-{name}", classes="note")
            yield Choices(Option(plain("  Start the job (F2)")), id="go")
            yield Plain(id="said")
        yield KeyBar()

    def on_mount(self) -> None:
        self.query_one("#path-row").display = False
        self._read_procedures()

    @property
    def entries(self) -> Entries:
        """What is typed now."""
        return Entries(**{name: self.query_one(f"#{name}", Field).value for name, *_ in _FIELDS})

    @on(Offers)
    def show_offers(self, message: Offers) -> None:
        self._offered = message.offered
        self._offer_people(message.able)
        choices = self.query_one("#procedures", Choices)
        options = [Option(plain(_line(offer))) for offer in self._offered]
        choices.set_options([*options, Option(plain(f" {'':{_WIDEST_TIME}}  {ANOTHER}"))])
        choices.highlighted = 0

    @on(OptionList.OptionHighlighted, "#procedures")
    def show_path_field(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.query_one("#path-row").display = self._wants_path
        self.query_one("#purpose").display = not self._wants_path
        offered = self._offered[event.option_index : event.option_index + 1]
        self.query_one("#purpose", Plain).show("".join(offer.purpose for offer in offered))

    @on(OptionList.OptionSelected, "#procedures")
    def go_on_from_procedures(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.query_one("#path" if self._wants_path else "#frame").focus()

    @on(OptionList.OptionSelected, "#go")
    def press_start(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_start()

    @on(Input.Submitted)
    def go_on(self, event: Input.Submitted) -> None:
        event.stop()
        self.focus_next()

    @on(Input.Changed)
    def say_what_it_means(self, event: Input.Changed) -> None:
        event.stop()
        self._annotate(remarks(self.entries), "~ ")

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        self._busy = False
        self._say(message.error.diagnostics())

    @on(Started)
    def show_job(self, message: Started) -> None:
        opened = message.session.state.opened
        self.app.technician = message.by if opened is None else opened.by
        # Replaces this form: leaving the job leads to the jobs, not back to a form already used.
        self.app.open_job(message.session, instead=True)

    def action_start(self) -> None:
        if self._busy:
            return
        entries = self.entries
        wrong = wrong_with(entries)
        path = self.query_one("#path", Field).value.strip()
        if self._wants_path and not path:
            wrong = {"path": "needed: the path of a file", **wrong}
        self._annotate(wrong, "! ")
        if wrong:
            self.query_one(f"#{next(iter(wrong))}").focus()
            return
        if not self._offered and not self._wants_path:
            self._say("The procedures are still being read.")
            return
        self._busy = True
        self._say("")
        at = self.query_one("#procedures", Choices).highlighted or 0
        self._start(path if self._wants_path else self._offered[at].file, entries)

    @work(thread=True, exclusive=True, group="read")
    def _read_procedures(self) -> None:
        shipped = procedures.shipped()
        try:
            register = self._bench.book.register
        except CommissionError as error:
            self.post_message(self.Offers(shipped))
            self.post_message(self.Refused(error))
            return
        roles = ("technician", "lead", "witness") if register.has_people else ()
        able = {role: tuple(one.name for one in register.active(role)) for role in roles}
        self.post_message(self.Offers(shipped, able))

    @work(thread=True, group="start")
    def _start(self, file: str | procedures.File, entries: Entries) -> None:
        try:
            loaded = procedures.loaded(file)
            session = self._bench.start(loaded, entries.bike, entries.people, entries.by)
        except CommissionError as error:
            self.post_message(self.Refused(error))
            return
        if not self.post_message(self.Started(session, entries.by)):
            session.close()  # the form was left meanwhile: the job stands among the open ones

    @property
    def _wants_path(self) -> bool:
        at = self.query_one("#procedures", Choices).highlighted
        return at is not None and at == len(self._offered)

    def _annotate(self, notes: dict[str, str], prefix: str) -> None:
        for name, _, note_of in (*_FIELDS, ("path", "", "")):
            usual = ", ".join(self._able[name]) or "nobody yet" if name in self._able else note_of
            note = self.query_one(f"#note-{name}", Plain)
            said = notes.get(name)
            note.show(f"{prefix}{said}" if said else usual, "bold $text-warning" if said else "")

    def _offer_people(self, able: Mapping[str, tuple[str, ...]]) -> None:
        """Offer the registered people: beside each field, and to be completed with Right."""
        self._able = able
        for role, names in able.items():
            typed = self.query_one(f"#{role}", Field)
            typed.suggester = SuggestFromList(names, case_sensitive=False)
            if not typed.value and len(names) == 1 and not self._is_technician(role, names[0]):
                typed.value = names[0]
            elif typed.value and typed.value not in names:
                typed.value = ""  # who worked here before there was a register
        if able:
            self._annotate({}, "")

    def _is_technician(self, role: str, name: str) -> bool:
        return role == "witness" and same(name, self.query_one("#technician", Field).value)

    def _say(self, text: str) -> None:
        self.query_one("#said", Plain).show(text)
        if text:
            self.call_after_refresh(self.query_one("#said").scroll_visible)


def _line(offer: Offered) -> str:
    """Return a procedure on one line: how long it takes, and its title."""
    return f" {offer.takes:>{_WIDEST_TIME}}  {offer.title}"
