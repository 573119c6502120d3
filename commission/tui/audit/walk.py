"""A job walked as it happened: its timeline, and all of the entry in hand; read only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import DataTable

from commission.errors import CommissionError
from commission.job.signature import SIGNATURE
from commission.safe_text import safe_text
from commission.tui.audit import walk_text
from commission.tui.audit.beside import Both, detail_width, list_width
from commission.tui.audit.paragraphs import laid_out
from commission.tui.audit.saying import About, Saying
from commission.tui.audit.walked import Walked, by_entry, read_walked
from commission.tui.job.frame import PRACTICE
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult

    from commission.audit.state import AuditState
    from commission.record.bench import Bench
    from commission.tui.app import CommissionApp

_HEADINGS: Final = (("", 2), ("No", 4), ("Time", 8), ("After", 9), ("By", 3), ("Came of it", 10),
                    ("Step or entry", 0))  # fmt: skip
_WIDE: Final = 100
"""From so many columns on names are written out."""
_NAME: Final = 14


class Walk(Screen[None]):
    """The timeline has the keys: Up and Down go back and on."""

    AUTO_FOCUS = "DataTable"
    about = (
        "A job as it happened, entry by entry: what was asked, typed and judged, by whom, how long"
        " it took. Before an entry, ! is a fault, ? a sign, S a signature, R a remark of yours."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "remark", "Remark", id="walk.remark",
                tooltip="Note something about the entry in hand, in the audit's record"),
        Binding("f3", "finding(-1)", "Finding before", id="walk.before", show=False,
                tooltip="Go back to the finding before"),
        Binding("f4", "finding(1)", "Next finding", id="walk.next",
                tooltip="Go on to the next entry that a finding rests on"),
        Binding("f7", "read('up')", "Read up", id="walk.read_up", show=False,
                tooltip="Scroll back what is said of the entry"),
        Binding("f8", "read('down')", "Read on", id="walk.read_down",
                tooltip="Scroll what is said of the entry"),
        Binding("home", "go('first')", "First entry", id="walk.first", show=False, priority=True),
        Binding("end", "go('last')", "Last entry", id="walk.last", show=False, priority=True),
        Binding("f10", "app.back", "Back", id="walk.back", tooltip="Back to the findings"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Walk {
        #whole { height: auto; max-height: 3; padding: 1 1 0 1; }
        DataTable { height: 1fr; background: $background; background-tint: transparent;
                    overflow-x: hidden; scrollbar-size-vertical: 1; }
        DataTable > .datatable--cursor { background: $block-cursor-background;
                    color: $block-cursor-foreground; text-style: bold; }
        VerticalScroll { height: 11; }
        &.-tall VerticalScroll { height: 18; }
    }
    """
    app: CommissionApp

    @dataclass
    class Read(Message):
        """The job was read."""

        walked: Walked

    @dataclass
    class Refused(Message):
        """It could not be read."""

        error: CommissionError

    def __init__(
        self,
        bench: Bench,
        state: AuditState,
        job: str,
        number: int = 0,
        then: Callable[[AuditState], None] | None = None,
    ) -> None:
        """Walk a job of an audit, from a finding on; `then` is told of what is remarked."""
        super().__init__()
        self._bench, self._state, self._job, self._number = bench, state, job, number
        self._then = then
        self._found = by_entry(state.findings.items(), job)
        self._walked: Walked | None = None
        self.table: DataTable[Text] = DataTable(cursor_type="row")

    def compose(self) -> ComposeResult:
        yield TitleBar(f"Job {self._job}", "READ ONLY")
        yield Plain("Reading the record …", id="whole")
        with Both():
            yield self.table
            yield VerticalScroll(Plain(id="detail"), can_focus=False)
        yield KeyBar()

    def on_mount(self) -> None:
        self._read()

    def on_resize(self) -> None:
        self._fill(self.table.cursor_row)

    @property
    def at(self) -> int:
        """The place of the entry in hand."""
        return self.table.cursor_row

    @work(thread=True, exclusive=True, group="walk")
    def _read(self) -> None:
        try:
            walked = read_walked(self._bench.store, self._job, self._bench.clocks.now().at)
        except CommissionError as error:
            self.post_message(self.Refused(error))
        else:
            self.post_message(self.Read(walked))

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        self.query_one("#whole", Plain).show(message.error.diagnostics(), "$text-error")

    @on(Read)
    def show_job(self, message: Read) -> None:
        self._walked = walked = message.walked
        state = walked.job.state
        title = "" if walked.plan is None else walked.plan.procedure.title
        bike = "" if state is None or state.opened is None else state.opened.bike.get("frame", "")
        mark = f"{PRACTICE}, " if walked.job.is_practice else ""
        self.query_one(TitleBar).set_ends(f"{self._job}   {bike}   {title}", f"{mark}READ ONLY")
        self._say_whole(walked)
        self._fill(self._first(walked))

    @on(DataTable.RowHighlighted)
    def follow_cursor(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        self._show_detail()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer remarks while the audit is open, and findings where the job has some."""
        del parameters
        if action == "remark":
            return self._state.closed is None
        return bool(self._found) if action == "finding" else True

    def action_finding(self, way: int) -> None:
        walked = self._walked
        if walked is None:
            return
        places = [at for at, one in enumerate(walked.entries) if one.seq in self._found]
        ahead = [at for at in places if (at > self.at if way > 0 else at < self.at)]
        if ahead:
            self._go_to(ahead[0] if way > 0 else ahead[-1])
        else:
            word = "after" if way > 0 else "before"
            self.notify(f"No finding {word} this entry.", markup=False)

    def action_go(self, where: str) -> None:
        last = 0 if self._walked is None else len(self._walked.entries) - 1
        self.table.move_cursor(row=0 if where == "first" else last)

    def action_read(self, way: str) -> None:
        scroll = self.query_one(VerticalScroll)
        scroll.scroll_relative(y=4 if way == "down" else -4, animate=False)

    def action_remark(self) -> None:
        walked = self._walked
        if walked is not None and walked.entries:
            seq = walked.entries[self.at].seq
            numbers = self._found.get(seq, [0])
            saying = Saying(self.app, self._bench, self._state, self._remarked)
            saying.remark(About(self._job, seq, numbers[0]))

    def _remarked(self, state: AuditState) -> None:
        self._state = state
        self._fill(self.at)
        if self._then is not None:
            self._then(state)

    def _first(self, walked: Walked) -> int:
        """Return the place to begin at: the finding's first entry, or the start."""
        finding = self._state.findings.get(self._number)
        if finding is None or not finding.seq:
            return 0
        seqs = [one.seq for one in walked.entries]
        return seqs.index(finding.seq) if finding.seq in seqs else min(walked.sound, len(seqs) - 1)

    def _say_whole(self, walked: Walked) -> None:
        job, total = walked.job, len(walked.entries)
        if job.fault is not None:
            said = (f"NOT WHOLE from entry {job.fault.seq} on: {job.fault.reason}, "
                    f"{job.fault.text}.")  # fmt: skip
            self.query_one("#whole", Plain).show(said, "bold $text-error")
            return
        audited = self._audited_entries()
        more = f" It had {audited} when it was audited." if audited not in (0, total) else ""
        self.query_one("#whole", Plain).show(
            f"Whole: {total} entries, head {job.head[:16]}…; {_signatures(walked)}.{more}"
        )

    def _audited_entries(self) -> int:
        opened = self._state.opened
        jobs = () if opened is None else opened.jobs
        return next((int(one["entries"]) for one in jobs if one["job"] == self._job), 0)

    def _fill(self, at: int) -> None:
        walked = self._walked
        if walked is None or not self.is_mounted:
            return
        self.table.clear(columns=True)
        size = list_width(self.app.size.width)
        wide = size >= _WIDE
        widths = [_NAME if wide and name == "By" else width for name, width in _HEADINGS]
        rest = size - sum(widths) - 2 * len(widths) - 1  # two beside each, and the scroll bar
        for (name, _), width in zip(_HEADINGS, widths, strict=True):
            self.table.add_column(Text(name), width=width or max(12, rest))
        self.table.add_rows(
            [Text(safe_text(cell), overflow="ellipsis", no_wrap=True) for cell in
             walk_text.cells(walked, place, self._found, self._state, wide=wide)]
            for place in range(len(walked.entries))
        )  # fmt: skip
        self._go_to(at)
        self._show_detail()

    def _go_to(self, at: int) -> None:
        """Take an entry in hand, with as much before it on the screen as after it."""
        self.table.move_cursor(row=at, scroll=False)

        def centre() -> None:
            self.table.scroll_to(y=max(0, at - self.table.size.height // 2), animate=False)

        self.call_after_refresh(centre)

    def _show_detail(self) -> None:
        walked = self._walked
        if walked is None or not 0 <= self.at < len(walked.entries):
            return
        told = walk_text.detail(walked, self.at, self._found, self._state)
        self.query_one("#detail", Plain).show(laid_out(told, detail_width(self.app.size.width)))
        self.query_one(VerticalScroll).scroll_home(animate=False)
        self.refresh_bindings()


def _signatures(walked: Walked) -> str:
    """Return how many signatures there are; of a whole record all of them are good."""
    places = [one.body[SIGNATURE] for one in walked.entries if SIGNATURE in one.body]
    good = sum(place is not None for place in places)
    unsigned = len(places) - good
    if not places:
        return "nothing in it takes a signature"
    word = "signature" if good == 1 else "signatures"
    return f"{good} {word} good" + (f", {unsigned} NOT SIGNED" if unsigned else "")
