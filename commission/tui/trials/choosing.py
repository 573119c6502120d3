"""Choose a procedure to be tried, and watch the trials run; they run beside the screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import OptionList
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from commission.errors import CommissionError
from commission.tui.widgets import Choices, KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.practice.matrix import Matrix

_BAR = 40


class _LeftError(Exception):
    """The person left while trials were made."""


class ChooseTrial(Screen[None]):
    """The shipped procedures; Enter tries one against every fault of the catalogue."""

    AUTO_FOCUS = "#procedures"
    about = (
        "Each fault of the catalogue is built into virtual bikes, and a robot that knows nothing"
        " of it does the whole job. Nothing of it is recorded."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "try_it", "Try it", id="trials.try", priority=True,
                tooltip="Try the highlighted procedure"),
        Binding("f10", "app.back", "Back", id="choose.back", tooltip="Leave this screen"),
        Binding("escape", "app.back", "Back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    ChooseTrial {
        #heading { margin: 1 2; }
        #procedures { height: 1fr; margin: 0 2; }
        #bar { height: 3; margin: 1 2; }
    }
    """

    @dataclass
    class Went(Message):
        """Some more trials were made."""

        done: int
        total: int

    @dataclass
    class Proved(Message):
        """All were made."""

        matrix: Matrix

    @dataclass
    class Refused(Message):
        """They could not be made."""

        error: CommissionError

    def __init__(self) -> None:
        """Start with nothing tried."""
        super().__init__()
        self._slugs: list[str] = []
        self._busy = False

    def compose(self) -> ComposeResult:
        yield TitleBar("Fault trials")
        yield Plain("Which procedure is to be tried?", id="heading")
        yield Choices(id="procedures")
        yield Plain(id="bar")
        yield KeyBar()

    def on_mount(self) -> None:
        from commission.procedure.load import shipped

        found = shipped()
        self._slugs = [slug for slug, _, _ in found]
        choices = self.query_one(Choices)
        choices.set_options(Option(plain(f"{title}   ({slug})")) for slug, title, _ in found)
        main = "controller-exchange"
        choices.highlighted = self._slugs.index(main) if main in self._slugs else 0

    @on(OptionList.OptionSelected)
    def chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_try_it()

    def action_try_it(self) -> None:
        at = self.query_one(Choices).highlighted
        if at is None or self._busy:
            return
        self._busy = True
        self._say("Building bikes …")
        self.prove(self._slugs[at])

    @work(thread=True, exclusive=True, group="trials")
    def prove(self, slug: str) -> None:
        from commission.practice import proving
        from commission.practice.trial import cores
        from commission.procedure.load import load, shipped

        worker = get_current_worker()

        def told(done: int, total: int) -> None:
            if worker.is_cancelled:
                raise _LeftError
            self.post_message(self.Went(done, total))

        try:
            loaded = load({name: file for name, _, file in shipped()}[slug])
            matrix = proving.prove(
                loaded, proving.chosen(None), seeds=1, sound=40, pilots=proving.PILOTS,
                jobs=cores(), told=told,
            )  # fmt: skip
        except CommissionError as error:
            self.post_message(self.Refused(error))
        except _LeftError:
            return
        else:
            self.post_message(self.Proved(matrix))

    @on(Went)
    def show_bar(self, message: Went) -> None:
        full = _BAR * message.done // message.total
        bar = "#" * full + "." * (_BAR - full)
        self._say(f"{bar}\n{message.done} of {message.total} trials. F10 leaves them.")

    @on(Proved)
    def show_result(self, message: Proved) -> None:
        from commission.tui.trials.screen import Trials

        self._busy = False
        self._say("")
        self.app.push_screen(Trials(message.matrix))

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        self._busy = False
        self._say(message.error.diagnostics())

    def _say(self, text: str) -> None:
        self.query_one("#bar", Plain).show(text)
