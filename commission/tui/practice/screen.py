"""The job screen with the bench beside it; the job's rules are those of every job.

In a wide window both stand side by side, in a narrow one F11 (or Tab) changes between them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

from commission.job import moves
from commission.practice.desk import TECHNICIAN
from commission.practice.panel.benchtop import Benchtop
from commission.tui.job.area import Area
from commission.tui.job.cells import CellsArea
from commission.tui.job.filing import FileArea
from commission.tui.job.frame import PRACTICE
from commission.tui.job.lookups import STAY
from commission.tui.job.mode import Kind
from commission.tui.job.route_panel import RoutePanel
from commission.tui.job.screen import JobScreen
from commission.tui.job.told import local_clock
from commission.tui.job.waiting import WaitArea, WaitFieldsArea
from commission.tui.notice import Notice
from commission.tui.practice.panel import BenchPanel
from commission.tui.widgets import KeyBar, Plain

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from commission.practice.opened import Opened

END: Final = "End practice: what was wrong?"
BESIDE_FROM: Final = 110
"""Columns from which card and bench stand side by side."""
_TICK_S: Final = 1.0


class PracticeRoute(RoutePanel):
    """The route, marked."""

    DEFAULT_CSS = """
    PracticeRoute .mark { height: 1; padding: 0 1; text-style: bold reverse; width: auto; }
    """

    def compose(self) -> ComposeResult:
        yield Plain(f" {PRACTICE} ", classes="mark")
        yield from super().compose()


class PracticeJob(JobScreen):
    """One job on a virtual bike, worked on by a person."""

    about = (
        "Practice: a whole job on a virtual bike. The card asks as it does in life; the bench has"
        " the bike. F11 or Tab changes between them. What the bench shows is typed into the card."
        " At the end it is told what was wrong, and what was seen and missed."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f11", "bench", "Bench", id="practice.bench", key_display="F11/Tab",
                tooltip="Go to the bench, and back to the card"),
        Binding("tab,shift+tab", "bench", "Bench", show=False, priority=True),
        Binding("f3", "settings", "Settings", id="job.settings", show=False,
                tooltip="Show the settings ledger: found, intended, written, left"),
        Binding("f4", "record", "Record", id="job.record", show=False,
                tooltip="Show the whole record of this job"),
        Binding("f10", "leave", "End", id="job.leave",
                tooltip="End practice, and be told what was wrong"),
    ]  # fmt: skip
    ROUTE_FROM = 160

    def __init__(self, opened: Opened) -> None:
        """Work on an opened practice job."""
        super().__init__(opened.session, TECHNICIAN)
        self.opened = opened
        self.world = opened.world
        self.panel = BenchPanel(Benchtop(opened.world))
        self._route = PracticeRoute()
        self._middle = Vertical(id="middle")
        self._at_bench = False

    def compose(self) -> ComposeResult:
        yield self._header
        with Horizontal(id="body"):
            yield self._route
            with self._middle:
                yield self._slot
                yield self._tail
            yield self.panel
        yield self._status
        yield KeyBar()

    def on_mount(self) -> None:  # type: ignore[override]  # each class's own hook is called
        self._place()
        self.set_interval(_TICK_S, self._show_clock)
        self._show_clock()

    def on_unmount(self, event: events.Unmount) -> None:  # type: ignore[override]
        event.prevent_default()
        super().on_unmount()
        self.opened.bench.close()

    def on_resize(self) -> None:
        self._place()

    @property
    def _is_beside(self) -> bool:
        return self.size.width >= BESIDE_FROM

    def _place(self) -> None:
        beside = self._is_beside
        self.panel.set_class(not beside, "-alone")
        self.panel.display = beside or self._at_bench
        self._middle.display = beside or not self._at_bench

    def _show_clock(self) -> None:
        self.panel.show_clock(local_clock(self.session.now().at))

    async def show_job(self) -> None:
        """Show the job as it stands, and let the bench know which step is in hand."""
        await super().show_job()
        asking = self.mode.asking
        wait = 0.0 if asking is None or asking.wait is None else asking.wait.remaining
        due = moves.open_step(self.session.state)
        self.world.open_step("" if due is None else due.id, wait)
        self._show_clock()
        self.panel.show_bench()
        self._offer_file()

    def _offer_file(self) -> None:
        """Name the file that was written at the bench where the card asks for one."""
        area, path = self.area, self.world.last_file
        if isinstance(area, FileArea) and path is not None and not area.input.value:
            area.input.value = str(path)
            area.input.action_end()

    @on(BenchPanel.Touched)
    def follow_clock(self, event: BenchPanel.Touched) -> None:
        event.stop()
        self._show_clock()
        self._offer_file()
        area, planned = self.area, self.mode.planned
        if isinstance(area, WaitArea | WaitFieldsArea) and planned is not None:
            asking = moves.asking(self.session.state, planned.id, self.session.now())
            area.timer.run_down_to(0.0 if asking.wait is None else asking.wait.remaining)

    @on(CellsArea.ListWanted)
    def take_list(self, event: CellsArea.ListWanted) -> None:
        event.stop()
        event.prevent_default()
        from commission.tui.job.import_dialog import ImportDialog

        async def taken(given: dict[str, str] | None) -> None:
            if given:
                await self.submit(given)

        if self.mode.asking is not None:
            dialog = ImportDialog(self.mode.asking.asks, event.text)
            if self.world.last_file is not None:
                dialog.path.value = str(self.world.last_file)
            self.app.push_screen(dialog, taken)

    @on(Area.Confirmed)
    def end_practice(self, event: Area.Confirmed) -> None:
        if event.gate == "ended":
            event.stop()
            self.action_leave()

    async def action_bench(self) -> None:
        self._at_bench = not self.panel.has_focus_within
        if self._is_beside:
            self._give_keys()
            return
        with self.app.step_change():
            self._place()
            self._give_keys()

    def _give_keys(self) -> None:
        if self._at_bench:
            self.panel.focus_list()
        else:
            self.area.focus_entry()

    async def action_to_open_step(self) -> None:
        """Go one thing back: the field of the bench, its page, the bench, then the step."""
        if self.panel.has_focus_within:
            if not self.panel.leave_field() and not self.panel.top.back():
                await self.action_bench()
            self.panel.show_bench()
            return
        await super().action_to_open_step()

    def action_leave(self) -> None:
        state = self.session.state
        if state.outcome or self.mode.kind in {Kind.ENDED, Kind.STOPPED, Kind.CONCEDE}:
            self.review()
            return

        def chosen(choice: str | None) -> None:
            if choice == END:
                self.review()

        text = "The bike is put away, and this job cannot be taken up again."
        self.app.push_screen(Notice("End practice?", text, (STAY, END)), chosen)

    def review(self, stopped_at: str = "", who: str = "You") -> None:
        """Show what it came to, in the place of the job."""
        from commission.tui.practice.reviewing import ReviewScreen

        state = self.session.state
        entries = self.session.recent(state.seq)
        self.app.switch_screen(ReviewScreen(self.world, state, entries, stopped_at, who))
