"""The dialogs of an audit: a remark, an answer, the end with its signature. Each writes once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.audit.book import AuditBook
from commission.errors import CommissionError, RefusedError, UnsignedError
from commission.tui.notice import Notice
from commission.tui.signing.asking import ask_signature
from commission.tui.signing.form import Line, Refusal, SecretForm

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import App

    from commission.audit.state import AuditState
    from commission.record.bench import Bench

    Then = Callable[[AuditState], None]


@dataclass(frozen=True, slots=True)
class About:
    """What a remark is about; empty and 0 for the whole audit."""

    job: str = ""
    seq: int = 0
    finding: int = 0

    def __str__(self) -> str:
        if not (self.job or self.finding):
            return "the audit as a whole"
        parts = (
            f"finding {self.finding}" if self.finding else "",
            f"job {self.job}" if self.job else "",
            f"entry {self.seq}" if self.seq else "",
        )
        return ", ".join(part for part in parts if part)


class Saying:
    """What is said in one audit, on one app."""

    def __init__(self, app: App[None], bench: Bench, state: AuditState, then: Then) -> None:
        """Write to the audit of `state`; `then` is told what it is after each entry."""
        self._app, self._bench, self._state, self._then = app, bench, state, then
        self._book = AuditBook(bench)

    def remark(self, about: About) -> None:
        """Ask for a remark of the auditor."""
        if self._is_closed():
            return
        by = "" if self._state.opened is None else self._state.opened.auditor
        text = f"By {by}, about {about}. It stays in the audit's record."

        def enter(typed: dict[str, str]) -> AuditState:
            return self._book.remark(
                self._audit, typed["text"], job=about.job, seq=about.seq, finding=about.finding
            )

        self._ask("Remark", text, (Line("text", "Remark"),), enter)

    def answer(self, number: int) -> None:
        """Ask for the answer to a finding, and who gives it."""
        if self._is_closed():
            return
        one = self._state.findings[number]
        text = (
            f"Finding {number}: {one.text}\n\nThe answer of whose work it is about, or of anybody"
            " who knows."
        )

        def enter(typed: dict[str, str]) -> AuditState:
            return self._book.answer(self._audit, number, typed["text"], typed["by"])

        lines = (Line("by", "Who answers", one.by), Line("text", "Answer"))
        self._ask("Answer", text, lines, enter)

    def close(self) -> None:
        """Ask for the conclusion, then for the auditor's signature where people are registered."""
        if self._is_closed():
            return
        unanswered, findings = len(self._state.unanswered()), len(self._state.findings)
        open_ones = f" {unanswered} faults are UNANSWERED and stay so." if unanswered else ""
        text = f"{findings} findings.{open_ones} A closed audit is for reading only, for good."
        said: list[str] = []

        def take(typed: dict[str, str]) -> str:
            if not " ".join(typed["text"].split()):
                return "Say in a sentence what the audit comes to."
            said[:] = [typed["text"]]
            return ""

        def taken(was: bool | None) -> None:
            if was:
                self._close(said[0])

        form = SecretForm("Close the audit", text, (Line("text", "Conclusion"),), take)
        self._app.push_screen(form, taken)

    @property
    def _audit(self) -> str:
        opened = self._state.opened
        if opened is None:
            raise RefusedError("The audit has no opening.")
        return opened.audit

    def _is_closed(self) -> bool:
        if self._state.closed is None:
            return False
        self._app.notify("The audit is closed: it can only be read.", markup=False)
        return True

    def _close(self, conclusion: str) -> None:
        try:
            state = self._book.close(self._audit, conclusion)
        except UnsignedError as needed:

            async def again() -> None:
                try:
                    self._then(self._book.close(self._audit, conclusion))
                except CommissionError as error:
                    self._app.push_screen(Notice("Not closed", error.diagnostics()))

            over = f"{self._audit}, {self._state.seq} entries, {conclusion}"
            ask_signature(self._app, self._bench.sitting, needed, over, again)
        except CommissionError as error:
            self._app.push_screen(Notice("Not closed", error.diagnostics()))
        else:
            self._then(state)

    def _ask(
        self, title: str, text: str, lines: tuple[Line, ...],
        enter: Callable[[dict[str, str]], AuditState],
    ) -> None:  # fmt: skip
        came: list[AuditState] = []

        def take(typed: dict[str, str]) -> str | Refusal:
            try:
                came[:] = [enter(typed)]
            except CommissionError as error:
                return Refusal.of(error)
            return ""

        def taken(was: bool | None) -> None:
            if was:
                self._then(came[0])

        self._app.push_screen(SecretForm(title, text, lines, take), taken)
