"""The screen of one job: route, card, last record lines, and what the keys lead to.

It composes and routes. What may happen is for `commission.job.moves`, what is written for `Desk`.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Container, Horizontal, Vertical
from textual.message import Message

from commission.errors import StoreError
from commission.job import moves
from commission.job.route import numbers, route
from commission.job.withheld import entries_as_witness_sees
from commission.job.witnessing import kept_from_witness
from commission.tui.job import dialogs, holding
from commission.tui.job.area import Area
from commission.tui.job.areas import area_for
from commission.tui.job.card import StepCard
from commission.tui.job.cell_rows import cell_rows
from commission.tui.job.cells import CellsArea
from commission.tui.job.filing import FileArea
from commission.tui.job.frame import JobHeader, RecordTail, StatusLine
from commission.tui.job.lookups import Lookups
from commission.tui.job.mode import Kind, Mode, mode_of
from commission.tui.job.plain_cards import EndedCard, RereadCard
from commission.tui.job.reading import Readings
from commission.tui.job.route_panel import RoutePanel
from commission.tui.job.signing import SignArea
from commission.tui.job.told import titles_of
from commission.tui.palette import Command
from commission.tui.widgets import KeyBar

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.app import ComposeResult

    from commission.tui.job.session import JobSession
    from commission.tui.job.told import Told

_TAIL_SHORT, _TAIL_TALL = 2, 4
_TALL = 30


class JobScreen(Readings, Lookups):
    """One job being worked on, one step at a time."""

    AUTO_FOCUS = ""
    about = (
        "One step at a time. A caution is read first; Space marks and Enter confirms what is done."
        " What is typed is echoed as understood; Enter records it."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "route", "Route", id="job.route",
                tooltip="Show the route; choose a step to look at or correct it"),
        Binding("f6", "why", "Why", id="job.why", show=False,
                tooltip="Show or hide why the step is done, and its cautions in full"),
        Binding("pagedown", "scroll_told(1)", "Read on", id="job.read_on", show=False,
                tooltip="Scroll the text of the card"),
        Binding("pageup", "scroll_told(-1)", "Read back", id="job.read_back", show=False,
                tooltip="Scroll the text of the card back"),
        Binding("escape", "to_open_step", "Open step", id="job.open_step", show=False,
                tooltip="Go back to the open step"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    JobScreen {
        layers: base over;
        #body { height: 1fr; }
        #middle { width: 1fr; height: 1fr; }
        #slot { height: 1fr; padding: 1 0 0 0; }
        &.-tall RecordTail { height: 5; }
        &.-tall StepCard > Area { margin-top: 1; }
        &.-short .title { margin: 0; }
        &.-short CautionBox { margin: 0; }
        &.-short .-read.-crowded .avoidance { display: none; }
        &.-short .-read.-more .avoidance { display: block; }
        RoutePanel { display: none; }
        &.-with-route RoutePanel { display: block; }
        &.-over RoutePanel {
            display: block;
            layer: over;
            dock: left;
            background: $surface;
        }
    }
    """
    ROUTE_FROM = 100
    """Columns from which the route stands beside the card."""

    def __init__(self, session: JobSession, technician: str = "") -> None:
        """Work on `session`; without a `technician` the app's, or who opened the job."""
        super().__init__(session, technician)
        self.titles = titles_of(session.state)
        self._viewed = ""
        self._mode: Mode | None = None
        self._card: StepCard | RereadCard | EndedCard | None = None
        self._typed: dict[tuple[str, str, str, int], dict[str, str]] = {}
        self._key = ("", "", "", 0)
        self._shown_at = 0.0
        self._header = JobHeader("")
        self._route = RoutePanel()
        self._slot = Container(id="slot")
        self._tail = RecordTail()
        self._status = StatusLine("")

    def compose(self) -> ComposeResult:
        yield self._header
        with Horizontal(id="body"):
            yield self._route
            with Vertical(id="middle"):
                yield self._slot
                yield self._tail
        yield self._status
        yield KeyBar()

    @property
    def area(self) -> Area:
        if self._card is None:
            raise RuntimeError("there is no card before the first one is shown")
        return self._card.area

    @property
    def mode(self) -> Mode:
        if self._mode is None:
            raise RuntimeError("there is no situation before the first one is shown")
        return self._mode

    async def on_mount(self) -> None:
        await self.show_job()
        state = self.session.state
        back = [moves.come_back(state, self.technician)] if state.away else []
        await self.record(lambda: back)

    def on_resize(self) -> None:
        wide = self.size.width >= self.ROUTE_FROM
        self.set_class(wide, "-with-route")
        if wide:
            self.remove_class("-over")
        if self._mode is not None:
            self._show_frame()

    async def show_job(self) -> None:
        """Show the job as it stands now: a new card, or the table in hand with its new rows."""
        state = self.session.state
        mode = mode_of(state, self._viewed, self.session.now())
        if mode.kind is not Kind.LOOK:
            self._viewed = ""
        before, self._mode = self._mode, mode
        is_same = before is not None and before.place == mode.place
        if is_same and isinstance(self.area, CellsArea) and mode.asking and mode.planned:
            self.area.show_rows(cell_rows(state, mode.asking, mode.planned.step.kind))
        else:
            await self._replace_card(mode, before)
        self.look_beside(mode)
        self._show_frame()

    async def _replace_card(self, mode: Mode, before: Mode | None) -> None:
        if before is not None and before.place != mode.place:
            self._typed[self._key] = self.area.typed
        area = area_for(mode, self.session, self.technician)
        self._key = (*mode.place, self._attempt(mode))
        area.put_back(self._typed.pop(self._key, {}))
        with self.app.step_change():
            await self._put(mode, area)
            self.area.focus_entry()
            self._shown_at = Message().time

    async def _put(self, mode: Mode, area: Area) -> None:
        """Show a step in the card of the one before where there is one."""
        card = self._card
        if isinstance(card, StepCard) and mode.planned is not None and mode.kind is not Kind.REREAD:
            gated = mode.kind is Kind.CAUTION
            await card.renew(self.session.state, mode.planned, mode.asking, area, gated=gated)
            return
        with self.app.batch_update():
            await self._slot.remove_children()
            self._card = self._card_for(mode, area)
            await self._slot.mount(self._card)

    def _attempt(self, mode: Mode) -> int:
        """Return the attempt a card is for: what was typed for one is never offered to the next."""
        return 0 if mode.planned is None else self.session.state.steps[mode.planned.id].attempt

    def _card_for(self, mode: Mode, area: Area) -> StepCard | RereadCard | EndedCard:
        state = self.session.state
        if mode.kind is Kind.REREAD:
            return RereadCard(state, area)
        if mode.planned is None:
            return EndedCard(state, self.session.head, area)
        return StepCard(state, mode.planned, mode.asking, area, gated=mode.kind is Kind.CAUTION)

    def _show_frame(self) -> None:
        state = self.session.state
        self._header.show_job(state, self.technician)
        count = _TAIL_TALL if self.size.height >= _TALL else _TAIL_SHORT
        kept = kept_from_witness(state)
        entries = entries_as_witness_sees(state, self.session.recent(count))
        self._tail.show_entries(entries, self.titles, kept_from=kept)
        due = moves.open_step(state)
        self._status.show_state(
            state, "" if due is None or state.outcome else numbers(state)[due.id]
        )
        if self.has_class("-with-route") or self.has_class("-over"):
            self._show_route()
        self.refresh_bindings()

    def _show_route(self) -> None:
        at = "" if self.mode.planned is None else self.mode.planned.id
        self._route.show(self.session.state, at)

    def _is_meant(self, event: Message) -> bool:
        """Return whether what was given was given to the card that is shown, not to one before."""
        event.stop()
        return event.time >= self._shown_at

    @on(Area.Given)
    async def take_answer(self, event: Area.Given) -> None:
        if self._is_meant(event):
            await self.submit(event.given)

    @on(SignArea.Signed)
    async def take_signature(self, event: SignArea.Signed) -> None:
        if not self._is_meant(event):
            return
        role = getattr(self.mode.planned.step, "role", "") if self.mode.planned else ""
        await self.sign(event.name, event.field, role)

    @on(FileArea.FileChosen)
    async def keep_file(self, event: FileArea.FileChosen) -> None:
        if not self._is_meant(event):
            return
        try:
            kept = self.session.attach(event.path)
        except StoreError as error:
            self.could_not_write(error)
        else:
            await self.submit({event.field: kept})

    @on(Area.Confirmed)
    async def pass_gate(self, event: Area.Confirmed) -> None:
        if not self._is_meant(event):
            return
        state, planned, by = self.session.state, self.mode.planned, self.technician
        match event.gate:
            case "caution" if planned is not None:
                await self.record(lambda: (moves.acknowledge(state, planned.id, by),))
            case "reread":
                await self.record(lambda: (moves.reread(state, by),))
            case "hold" if planned is not None:
                self.ask(holding.hold(self.session, planned.id, by))
            case "concede" if planned is not None:
                self.ask(dialogs.concession(self.session, planned.id, by))
            case "stopped":
                self.ask(dialogs.resume(self.session, by))
            case "look":
                await self.action_to_open_step()
            case _:
                pass

    @on(CellsArea.CellReplaced)
    def replace_cell(self, event: CellsArea.CellReplaced) -> None:
        event.stop()
        if self.mode.planned is not None:
            step = self.mode.planned.id
            self.ask(
                dialogs.replace_cell(self.session, step, event.part, event.given, self.technician)
            )

    @on(CellsArea.ListWanted)
    def take_list(self, event: CellsArea.ListWanted) -> None:
        event.stop()
        from commission.tui.job.import_dialog import ImportDialog

        async def taken(given: dict[str, str] | None) -> None:
            if given:
                await self.submit(given)

        if self.mode.asking is not None:
            self.app.push_screen(ImportDialog(self.mode.asking.asks, event.text), taken)

    @on(RoutePanel.StepChosen)
    async def look_at(self, event: RoutePanel.StepChosen) -> None:
        event.stop()
        await self.go_to(event.step)

    async def go_to(self, step: str) -> None:
        """Show a step: the open one to be answered, another to be looked at."""
        due = moves.open_step(self.session.state)
        self._viewed = "" if due is not None and due.id == step else step
        self.remove_class("-over")
        await self.show_job()
        self.area.focus_entry()

    async def action_to_open_step(self) -> None:
        self.remove_class("-over")
        if self._viewed:
            self._viewed = ""
            await self.show_job()
        self.area.focus_entry()

    def action_route(self) -> None:
        if self._route.list.has_focus:
            self.remove_class("-over")
            self.area.focus_entry()
        else:
            self.set_class(self.size.width < self.ROUTE_FROM, "-over")
            self._show_route()
            self._route.focus_list()

    def action_why(self) -> None:
        if isinstance(self._card, StepCard):
            self._card.toggle_more()

    def action_scroll_told(self, pages: int) -> None:
        if isinstance(self._card, StepCard):
            self._card.scroll_told(pages)

    def tell_card(self, paragraph: Told) -> None:
        if isinstance(self._card, StepCard):
            self._card.tell(paragraph)

    def commands(self) -> Iterable[Command]:
        """Return the steps, for the search, and looks that have no key."""
        looks = [
            Command("Cross-checks", self.action_cross_checks, "what no single field shows"),
            Command("Last visit", self.action_last_visit, "this bike as left then and found now"),
        ]
        if not self.session.state.outcome:
            said = "ends the job for good, with a reason"
            looks.append(Command("End without release", self.action_end_job, said))
        return looks + [
            Command(f"{line.number} {line.title}", partial(self.go_to, line.step), line.word)
            for line in route(self.session.state)
        ]
