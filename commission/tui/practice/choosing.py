"""Choose what to practise: a procedure, and a bike that is sound or is not."""

from __future__ import annotations

import time
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission.errors import CommissionError, RefusedError
from commission.tui.job.frame import PRACTICE
from commission.tui.palette import Command, Palette
from commission.tui.practice.opening import Wanted
from commission.tui.start import procedures
from commission.tui.widgets import Choices, Field, KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.job.plan import Plan
    from commission.practice.faults import Fault
    from commission.practice.opened import Opened
    from commission.practice.preparing import Prepared
    from commission.tui.app import CommissionApp
    from commission.tui.start.procedures import Offered

HOW: Final = (
    "A whole job without a bike: the card asks, F11 or Tab goes to the bench.\n"
    "There Up and Down choose, Enter does it, Left and Right change it.\n"
    "Type into the card what the bench shows; at the end hear what was wrong."
)
SURPRISE, SOUND, WRONG, NAMED = range(4)
_BIKES: Final = (
    "A surprise: sound, or something is wrong",
    "A sound bike",
    "Something is wrong, and you find out what",
    "A fault by name …",
)
_WIDEST: Final = 6
_BUSY: Final = "The bike is being built …"


class ChoosePractice(Screen[None]):
    """Asks for a procedure and a bike; the shortest procedure comes first."""

    AUTO_FOCUS = "#procedures"
    about = (
        "Practice on a virtual bike. Nothing of it is a job of the bench: its records are kept"
        " apart and say that they are practice."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "start", "Start", id="practice.start", tooltip="Start the job"),
        Binding("f4", "earlier", "Earlier ones", id="practice.earlier",
                tooltip="The practice jobs of before"),
        Binding("f5", "watch", "Watch it done", id="practice.watch",
                tooltip="A robot does the job on the screen; it can be stopped at each step"),
        Binding("f10", "app.back", "Back", id="practice.back", tooltip="Leave practice"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    ChoosePractice {
        #how { margin: 0 2 0 2; color: $text; height: 3; }
        &.-tall #how { margin: 1 2 1 2; }
        .heading { color: $text-muted; text-style: bold; margin: 0 2; }
        #procedures { height: 6; margin: 0 2; text-wrap: nowrap; text-overflow: ellipsis; }
        &.-tall #procedures { height: 11; }
        #purpose { height: 3; margin: 0 2 0 3; color: $text-muted; }
        &.-tall #purpose { height: 3; margin: 1 2 1 3; }
        #bikes { height: 4; margin: 0 2; text-wrap: nowrap; text-overflow: ellipsis; }
        Horizontal { height: 1; margin: 0 2; }
        .label { width: 14; }
        #seed { width: 16; }
        .note { width: 1fr; padding: 0 0 0 1; color: $text-muted; }
        #said { height: 2; margin: 0 2; color: $text-warning; text-style: bold; }
        &.-tall #said { margin: 1 2; }
        Choices > .option-list--option-highlighted {
            color: $text; background: $panel; text-style: bold;
        }
        Choices:focus > .option-list--option-highlighted {
            color: $block-cursor-foreground; background: $block-cursor-background;
        }
    }
    """
    app: CommissionApp

    @dataclass
    class Offers(Message):
        """The shipped procedures were read."""

        offered: tuple[Offered, ...]

    @dataclass
    class Refused(Message):
        """The job was not started."""

        error: CommissionError

    @dataclass
    class Started(Message):
        """The bike stands there and the job is open."""

        opened: Opened
        watch: bool

    def __init__(self, wanted: Wanted = Wanted()) -> None:  # noqa: B008  frozen
        """Offer everything, or begin at once what is `wanted`."""
        super().__init__()
        self._wanted = wanted
        self._offered: tuple[Offered, ...] = ()
        self._fault: Fault | None = None
        self._busy = False

    def compose(self) -> ComposeResult:
        yield TitleBar("Practice on a virtual bike", PRACTICE)
        yield Plain(HOW, id="how")
        yield Plain("Which job?", classes="heading")
        yield Choices(Option(plain("Reading …"), disabled=True), id="procedures")
        yield Plain(id="purpose")
        yield Plain("Which bike?", classes="heading")
        yield Choices(*(Option(plain(f" {text}")) for text in _BIKES), id="bikes")
        with Horizontal():
            yield Plain(" Its number", classes="label")
            yield Field("" if self._wanted.seed is None else str(self._wanted.seed), id="seed",
                        max_length=12)  # fmt: skip
            yield Plain("any whole number; empty: the demonstrator", classes="note")
        yield Plain(id="said")
        yield KeyBar()

    def on_mount(self) -> None:
        self.query_one("#bikes", Choices).highlighted = 0
        self._read()
        if self._wanted.at_once:
            self._begin(self._wanted.watch, self._wanted)

    @on(Offers)
    def show_offers(self, message: Offers) -> None:
        self._offered = message.offered
        choices = self.query_one("#procedures", Choices)
        choices.set_options(
            Option(plain(f" {offer.takes:>{_WIDEST}}  {offer.title}")) for offer in self._offered
        )
        choices.highlighted = 0

    @on(OptionList.OptionHighlighted, "#procedures")
    def show_purpose(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        offered = self._offered[event.option_index : event.option_index + 1]
        self.query_one("#purpose", Plain).show("".join(offer.purpose for offer in offered))

    @on(OptionList.OptionSelected, "#procedures")
    def go_on_to_bikes(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.set_focus(self.query_one("#bikes"))

    @on(OptionList.OptionSelected, "#bikes")
    def choose_bike(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_index == NAMED and self._fault is None:
            self._name_fault()
        else:
            self.action_start()

    @on(OptionList.OptionHighlighted, "#bikes")
    def keep_quiet(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()

    @on(Input.Submitted, "#seed")
    def start_from_number(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_start()

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        self._busy = False
        self._say(message.error.diagnostics())

    @on(Started)
    def show_job(self, message: Started) -> None:
        from commission.tui.practice.screen import PracticeJob
        from commission.tui.practice.watching import WatchedJob

        self._busy = False
        self._fault = None
        self._say("")
        self.app.push_screen((WatchedJob if message.watch else PracticeJob)(message.opened))

    def action_start(self) -> None:
        self._start(watch=False)

    def action_watch(self) -> None:
        self._start(watch=True)

    def action_earlier(self) -> None:
        from commission.tui.practice.earlier import EarlierPractice

        self.app.push_screen(EarlierPractice(self._wanted.store))

    def _start(self, *, watch: bool) -> None:
        if self.query_one("#bikes", Choices).highlighted == NAMED and self._fault is None:
            self._name_fault()
        elif self._offered:
            self._begin(watch, None)

    def _begin(self, watch: bool, wanted: Wanted | None) -> None:
        typed = self.query_one("#seed", Field).value.strip()
        if typed and not (typed.isascii() and typed.isdigit()):
            self._say("The bike's number is a whole number, or empty.")
            return
        if self._busy:
            return
        self._busy = True
        self._say(_BUSY)
        at = self.query_one("#procedures", Choices).highlighted or 0
        which = self.query_one("#bikes", Choices).highlighted or 0
        file = self._offered[at].file if wanted is None else None
        self._build(file, wanted, which, int(typed) if typed else None, watch)

    @work(thread=True, exclusive=True, group="read")
    def _read(self) -> None:
        self.post_message(self.Offers(procedures.shipped()[::-1]))  # short ones first

    @work(thread=True, exclusive=True, group="start")
    def _build(
        self, file: procedures.File | None, wanted: Wanted | None, which: int, seed: int | None,
        watch: bool,
    ) -> None:  # fmt: skip
        from commission.job.plan import from_record
        from commission.practice import opened, preparing

        try:
            loaded = wanted.loaded if wanted is not None else procedures.loaded(file or "")
            if loaded is None:
                raise RefusedError("There is no procedure.")
            plan = from_record(loaded.text)
            if wanted is None:
                bike = self._bike(plan, which, seed)
            elif wanted.fault == preparing.RANDOM:
                bike = preparing.findable(plan, seed)
            else:
                fault = None if wanted.fault is None else preparing.named(wanted.fault)
                bike = preparing.prepared(plan, fault, seed)
            job = opened.open_job(
                loaded, plan, bike, self._wanted.store, real_s=None if watch else time.monotonic
            )
        except CommissionError as error:
            self.post_message(self.Refused(error))
            return
        if not self.post_message(self.Started(job, watch)):
            job.session.close()
            job.bench.close()

    def _bike(self, plan: Plan, which: int, seed: int | None) -> Prepared:
        from commission.practice import preparing

        if which == SURPRISE:
            return preparing.surprise(plan, seed)
        if which == WRONG:
            return preparing.findable(plan, seed)
        return preparing.prepared(plan, self._fault if which == NAMED else None, seed)

    def _name_fault(self) -> None:
        from commission.practice import faults

        def run(command: Command | None) -> None:
            if command is not None:
                command.run()

        known = faults.shipped().faults
        self.app.push_screen(
            Palette([Command(each.title, partial(self._take, each), each.id) for each in known]),
            run,
        )

    def _take(self, fault: Fault) -> None:
        self._fault = fault
        self._say(f"It will have: {fault.title} ({fault.id}). Enter or F2 starts.")

    def _say(self, text: str) -> None:
        self.query_one("#said", Plain).show(text, "bold $text-warning")
