"""Writing for the job's screen: what is recorded, what is asked in dialogs, what refusals say.

Everything is written here, in the handler of the key that meant it, before anything on the screen
says so; never in a worker, which would die with its screen.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from textual.screen import Screen

from commission.errors import CommissionError, RefusedError, StoreError, UnsignedError
from commission.job import moves
from commission.job.joining import as_person
from commission.job.moves_instruments import InstrumentError
from commission.tui.job import dialogs
from commission.tui.job.form import Form
from commission.tui.notice import Notice

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterable, Mapping

    from commission.job.entry import Draft
    from commission.job.instrument import Citable
    from commission.tui.app import CommissionApp
    from commission.tui.job.area import Area
    from commission.tui.job.dialogs import Dialog
    from commission.tui.job.mode import Mode
    from commission.tui.job.session import JobSession

NOT_RECORDED = "Nothing was recorded."


class Desk(Screen[None]):
    """A screen with the right to write to one job; it closes the session when it is left."""

    app: CommissionApp

    def __init__(self, session: JobSession, technician: str = "") -> None:
        """Work on `session`; without a `technician` the app's, or who opened the job."""
        super().__init__()
        self.session = session
        self._technician = technician

    @property
    def technician(self) -> str:
        """Who is named in what is recorded here."""
        if not self._technician:
            opened = self.session.state.opened
            name = getattr(self.app, "technician", "")
            self._technician = name or ("" if opened is None else opened.by)
        return self._technician

    @property
    def area(self) -> Area:
        """Where the present card is answered."""
        raise NotImplementedError

    @property
    def mode(self) -> Mode:
        """The situation that is shown."""
        raise NotImplementedError

    @property
    def instrument(self) -> Citable | None:
        """What the reading in hand is taken with; None where nothing is cited."""
        return None

    async def show_job(self) -> None:
        """Show the job as it stands now."""
        raise NotImplementedError

    def on_unmount(self) -> None:
        """Record that work was left, whatever ended this screen, and let others have the job."""
        state = self.session.state
        try:
            if state.opened is not None and not state.outcome and not state.away:
                self.session.record([moves.leave(state, self.technician)])
        except CommissionError as error:
            self.log.error(error.diagnostics())  # noqa: TRY400  a full disk is no crash
        finally:
            self.session.close()

    def write(self, make: Callable[[], Iterable[Draft]]) -> bool:
        """Record what `make` gives and what follows of itself; say so where it was refused."""
        try:
            drafts = tuple(make())
            if drafts:
                self.session.record(drafts)
        except UnsignedError as needed:
            self.ask_signature(needed, partial(self.record, make))
            return False
        except InstrumentError as needed:
            leave = dialogs.instrument_leave(self.session, needed, self.technician)
            self.ask(leave, partial(self.record, make))
            return False
        except RefusedError as error:
            self.area.refuse(error.diagnostics())
            return False
        except StoreError as error:
            self.could_not_write(error)
            return False
        self._settle()
        return True

    def ask_signature(self, needed: UnsignedError, then: Callable[[], Awaitable[None]]) -> None:
        """Ask somebody to sign what is to be recorded; `then` records it."""
        from commission.tui.signing.asking import ask_signature

        entries, head = self.session.state.seq, self.session.head
        over = f"{entries} entries, head {head[:32]}…"
        ask_signature(self.app, self.session.sitting, needed, over, then)

    def could_not_write(self, error: StoreError) -> None:
        """Say that nothing was recorded, why, and what to do."""
        text = f"{error.diagnostics()}\n\n{NOT_RECORDED} What you typed is still on the card."
        self.app.push_screen(Notice("Not saved", text))

    async def record(self, make: Callable[[], Iterable[Draft]]) -> None:
        """Record what `make` gives, then show the job as it stands."""
        if self.write(make):
            await self.show_job()

    async def submit(self, given: Mapping[str, Any], by: str = "") -> None:
        """Record an answer to the step in hand, as typed."""
        planned = self.mode.planned
        if planned is not None:
            await self.record(
                lambda: moves.submit(
                    self.session.state,
                    planned.id,
                    given,
                    by or self.technician,
                    self.session.now(),
                    self.instrument,
                )
            )

    async def sign(self, name: str, field: str, role: str) -> None:
        """Record the signature of the person called `name`, who joins as `role` if need be."""
        planned = self.mode.planned
        if planned is None:
            return

        def make() -> tuple[Draft, ...]:
            person = as_person(self.session, name, role, self.technician)
            given, now = {field: "done"}, self.session.now()
            signed = moves.submit(person.state, planned.id, given, person.name, now)
            return (*person.drafts, *signed)

        await self.record(make)

    def ask(self, dialog: Dialog, then: Callable[[], Awaitable[None]] | None = None) -> None:
        """Show a dialog that stays until what it asks is recorded or it is left; then `then`."""

        def take(given: dict[str, str]) -> str:
            try:
                dialog.take(given)
            except UnsignedError as needed:
                self.ask_signature(needed, form.hand_on_again)
                return needed.diagnostics()
            except InstrumentError as needed:
                leave = dialogs.instrument_leave(self.session, needed, self.technician)
                self.ask(leave, form.hand_on_again)
                return needed.diagnostics()
            except RefusedError as error:
                return error.diagnostics()
            except StoreError as error:
                return f"{error.diagnostics()} {NOT_RECORDED}"
            self._settle()
            return ""

        async def closed(taken: bool | None) -> None:
            if taken:
                await (then or self.show_job)()

        form = Form(dialog.title, dialog.text, dialog.asks, take)
        self.app.push_screen(form, closed)

    def _settle(self) -> None:
        try:
            self.session.settle()
        except StoreError as error:
            self.could_not_write(error)
