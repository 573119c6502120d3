"""The part of the job's screen that knows what stands beside a reading, and what it is taken with.

Instruments are looked up when a card is shown, so that nothing typed fast is recorded without one.
Like bikes and the last visit are looked up once per step in a thread: no key waits for the store.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.message import Message

from commission.errors import CommissionError
from commission.job.instrument import overdue_rule
from commission.job.judge_limits import Shown
from commission.tui.job.beside import Known
from commission.tui.job.desk import Desk
from commission.tui.job.fields import FieldsArea
from commission.tui.job.mode import Kind, Mode
from commission.tui.job.told import Told

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.instrument import Citable
    from commission.job.like_bikes import LikeBikes
    from commission.record.workshop import LastVisit
    from commission.tui.job.session import JobSession

_WHERE = "F9 “Last visit” shows all"


class Readings(Desk):
    """What a card is told beside its own step."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f8", "instrument", "Instrument", id="job.instrument", show=False,
                tooltip="Take another instrument of this kind for the reading"),
    ]  # fmt: skip

    @dataclass
    class LikeFound(Message):
        """What like bikes read at a step was looked up."""

        step: str
        like: Mapping[str, LikeBikes]

    @dataclass
    class VisitFound(Message):
        """This bike's last visit was looked up."""

        visit: LastVisit | None

    _offered: tuple[Citable, ...] = ()
    _like: tuple[str, Mapping[str, LikeBikes]] = ("", {})
    _visit: LastVisit | None = None
    _visit_asked = False

    def __init__(self, session: JobSession, technician: str = "") -> None:
        """Work on `session`; see `Desk`."""
        super().__init__(session, technician)
        self._taken: dict[str, str] = {}
        """By kind, the id of the instrument chosen last."""

    @property
    def instrument(self) -> Citable | None:
        """What the reading in hand is taken with; None where nothing is cited."""
        return self._offered[0] if self._offered else None

    def look_beside(self, mode: Mode) -> None:
        """Look up what belongs beside a card that was just shown, and show it."""
        self._offered = self._instruments(mode)
        self._tell_area(mode)
        state = self.session.state
        if self.session.workshop is None or state.opened is None or state.opened.practice:
            return
        if mode.planned is not None and mode.kind in {Kind.ANSWER, Kind.CAUTION}:
            if mode.planned.id != self._like[0]:
                self._like = (mode.planned.id, {})
                self.run_worker(
                    partial(self._find_like, mode.planned.id), thread=True, group="like",
                    exclusive=True, exit_on_error=False,
                )  # fmt: skip
            if mode.planned.kind == "read_back" and not self._visit_asked:
                self._visit_asked = True
                self.run_worker(self._find_visit, thread=True, group="visit", exit_on_error=False)
            self._tell_visit(mode)

    def _instruments(self, mode: Mode) -> tuple[Citable, ...]:
        """Return the instruments for what is asked, the one to be cited first."""
        kind = "" if mode.asking is None else mode.asking.instrument
        if not kind or self.session.workshop is None:
            return ()
        try:
            found = self.session.workshop.instruments(kind, self.session.now().at)
        except CommissionError as error:
            self.notify(f"Instruments: {error.message}", severity="warning", markup=False)
            return ()
        last = self._taken.get(kind)
        return tuple(sorted(found, key=lambda one: one.id != last))

    def _tell_area(self, mode: Mode) -> None:
        area = self.area
        if not isinstance(area, FieldsArea) or mode.planned is None or mode.asking is None:
            return
        step, like = self._like
        shown = {
            ask.name: Shown(ask.unit, getattr(mode.planned.step, "digits", 4))
            for ask in mode.asking.asks
        }
        rule = overdue_rule(self.session.state, mode.planned.id)
        known = Known({}, shown, self.instrument, rule, others=len(self._offered) > 1)
        if step == mode.planned.id and like:
            from commission.record.workshop import reading_name

            named = {
                ask.name: reading_name(mode.planned.kind, ask.name, mode.asking.part)
                for ask in mode.asking.asks
            }
            known = replace(
                known, like={ask: like[name] for ask, name in named.items() if name in like}
            )
        area.know(known)

    def _find_like(self, step: str) -> None:
        """Look up like bikes; in a thread."""
        state = self.session.state
        try:
            found = self.session.workshop and self.session.workshop.like(
                state, state.plan.planned(step)
            )
        except CommissionError as error:
            self.log.error(error.diagnostics())  # noqa: TRY400  it is a help, and not there now
            return
        if found:
            self.post_message(self.LikeFound(step, found))

    def _find_visit(self) -> None:
        """Look up the last visit; in a thread."""
        try:
            found = self.session.workshop and self.session.workshop.last_visit(self.session.state)
        except CommissionError as error:
            self.log.error(error.diagnostics())  # noqa: TRY400  as above
            return
        if found:
            self.post_message(self.VisitFound(found))

    @on(LikeFound)
    def show_like(self, event: LikeFound) -> None:
        event.stop()
        if event.step == self._like[0]:
            self._like = (event.step, event.like)
            self._tell_area(self.mode)

    @on(VisitFound)
    def show_visit(self, event: VisitFound) -> None:
        event.stop()
        self._visit = event.visit
        self._tell_visit(self.mode)

    def _tell_visit(self, mode: Mode) -> None:
        """Say on the card of a read-back what differs from the last visit."""
        visit = self._visit
        if visit is None or mode.planned is None or mode.planned.kind != "read_back":
            return
        from commission.job.last_visit import since_last_visit, summary

        said = summary(since_last_visit(visit.state, self.session.state))
        if said:
            differs = "differ" in said
            style = "$text-warning" if differs else "$text-muted"
            self.tell_card(Told("Visit", f"Since {visit.at[:10]}: {said} {_WHERE}.", style))

    def tell_card(self, paragraph: Told) -> None:
        """Show a paragraph on the card in the place of the last one told so."""
        raise NotImplementedError

    async def action_last_visit(self) -> None:
        """Show this bike's settings as left on its last visit against as found now."""
        from commission.tui.job.visit_screen import VisitScreen
        from commission.tui.notice import Notice

        visit = self._visit
        try:
            if visit is None and self.session.workshop is not None:
                visit = self.session.workshop.last_visit(self.session.state)
        except CommissionError as error:
            self.app.push_screen(Notice("The last visit cannot be read", error.diagnostics()))
            return
        if visit is None:
            text = "No earlier job of a bike with this frame number has ended on this bench."
            self.app.push_screen(Notice("No earlier visit", text))
            return
        self._visit = visit
        self.app.push_screen(VisitScreen(visit, self.session.state))

    def action_instrument(self) -> None:
        """Take the next instrument of the kind."""
        first, *rest = self._offered
        self._offered = (*rest, first)
        kind = self._offered[0].kind
        self._taken[kind] = self._offered[0].id
        self._tell_area(self.mode)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "instrument":
            return len(self._offered) > 1
        return super().check_action(action, parameters)
