"""What the function keys of a job's screen lead to: ledger, record, notes, corrections, leaving."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType

from commission.job.withheld import as_witness_sees, entries_as_witness_sees
from commission.job.witnessing import kept_from_witness
from commission.tui.job import dialogs
from commission.tui.job.desk import Desk
from commission.tui.job.mode import Kind
from commission.tui.notice import Notice

if TYPE_CHECKING:
    from collections.abc import Mapping

STAY = "Stay"
LEAVE = "Leave without recording it"


class Lookups(Desk):
    """The keys that open another screen or a dialog; nothing here needs the card."""

    titles: Mapping[str, str]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f3", "settings", "Settings", id="job.settings",
                tooltip="Show the settings ledger: found, intended, written, left"),
        Binding("f4", "record", "Record", id="job.record",
                tooltip="Show the whole record of this job"),
        Binding("f5", "notes", "Notes", id="job.notes", show=False,
                tooltip="Open items: note one, close one"),
        Binding("f7", "correct", "Correct", id="job.correct", show=False,
                tooltip="Correct the answer of the step that is shown, with a reason"),
        Binding("f11", "report", "Report", id="job.report", show=False,
                tooltip="Write this job's state sheet, record or settings to a file"),
        Binding("shift+f10,f22", "end_job", "End", id="job.end", show=False,
                key_display="Shift+F10",
                tooltip="End the job for good without releasing the bike, with a reason"),
        Binding("f10", "leave", "Leave", id="job.leave",
                tooltip="Leave the job; it can be taken up again at this step"),
    ]  # fmt: skip

    def action_settings(self) -> None:
        from commission.tui.job.ledger_screen import LedgerScreen

        self.app.push_screen(LedgerScreen(as_witness_sees(self.session.state)))

    def action_cross_checks(self) -> None:
        from commission.tui.job.found_screen import FoundScreen

        self.app.push_screen(FoundScreen(as_witness_sees(self.session.state)))

    def action_record(self) -> None:
        from commission.tui.job.record_screen import RecordScreen

        state = self.session.state
        entries = entries_as_witness_sees(state, self.session.recent(state.seq))
        kept = kept_from_witness(state)
        screen = RecordScreen(entries, self.titles, self.session.head, kept_from=kept)
        self.app.push_screen(screen)

    def action_report(self) -> None:
        from commission.tui.report.dialog import WriteReport

        opened = self.session.state.opened
        if opened is not None and self.app.bench is not None:
            about = f"{opened.bike.get('frame', '')} {opened.bike.get('model', '')}".strip()
            finished = bool(self.session.state.outcome)
            dialog = WriteReport(self.app.bench, opened.job, about, is_finished=finished)
            self.app.push_screen(dialog)

    def action_notes(self) -> None:
        from commission.tui.job.notes_screen import NEW, NotesScreen

        def chosen(seq: int | None) -> None:
            if seq == NEW:
                self.ask(dialogs.note(self.session, self.technician))
            elif seq is not None:
                self.ask(dialogs.close_note(self.session, seq, self.technician))

        self.app.push_screen(NotesScreen(as_witness_sees(self.session.state)), chosen)

    def action_correct(self) -> None:
        from commission.tui.job.correcting import choose_what

        planned = self.mode.planned
        if planned is None:
            return
        if self.mode.kind in {Kind.CONCEDE, Kind.STOPPED}:
            self.ask(dialogs.resume(self.session, self.technician))
        else:
            choose_what(self, self.session, planned.id, self.technician, self.ask)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        del parameters
        if action == "end_job":
            return not self.session.state.outcome
        return action != "correct" or self._has_answer()

    def _has_answer(self) -> bool:
        try:
            planned = self.mode.planned
        except RuntimeError:
            return False
        return planned is not None and self.session.state.steps[planned.id].answer is not None

    def action_end_job(self) -> None:
        self.ask(dialogs.end_without_release(self.session, self.technician))

    def action_leave(self) -> None:
        if not self.area.typed:
            self.dismiss()
            return

        def chosen(choice: str | None) -> None:
            if choice == LEAVE:
                self.dismiss()

        text = "What is typed on this card is not recorded yet."
        self.app.push_screen(Notice("Leave the job?", text, (STAY, LEAVE)), chosen)
