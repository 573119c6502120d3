"""Asking somebody to sign: the passphrase, and what is enough later in the same sitting."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import RefusedError, StoreError
from commission.tui.signing.form import Line, SecretForm

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from textual.app import App

    from commission.errors import UnsignedError
    from commission.record.sitting import Sitting

MEANINGS: Final = {
    "done": "the work recorded here was done as it says",
    "witnessed": "the work recorded here was witnessed",
    "released": "the bike is released on the strength of this record",
    "confirmed": "this step was confirmed at its hold point",
    "refused": "this step was not confirmed at its hold point",
    "conceded": "this shortfall is accepted as it is written",
    "resumed": "the stopped job may go on",
    "ended": "this job ends for good and its bike is not released",
    "corrected": "an answer was corrected by a lead",
    "audited": "these records were audited",
}


def ask_signature(
    app: App[None], sitting: Sitting, needed: UnsignedError, over: str,
    then: Callable[[], Awaitable[None]],
) -> None:  # fmt: skip
    """Ask for one signature, and do `then` once it is authorised; `over` says what is signed."""
    is_short = sitting.way(needed.person) == "short"
    told: list[str] = []

    def take(typed: dict[str, str]) -> str:
        try:
            if is_short:
                sitting.confirm(needed.person, typed["secret"])
            else:
                told.append(str(sitting.unlock(needed.person, typed["secret"])))
        except (RefusedError, StoreError) as error:
            return error.diagnostics()
        return ""

    async def opened(taken: bool | None) -> None:
        if taken and is_short:
            await once()
        elif taken:
            _offer_short(app, sitting, needed, "".join(told), once)

    async def once() -> None:
        await then()
        sitting.spend(needed.person)  # whatever came of it: it was for this alone

    meaning = MEANINGS.get(needed.meaning, "")
    text = (
        f"Who        {needed.name}\n"
        f"Meaning    {needed.meaning}{': ' if meaning else ''}{meaning}\n"
        f"Over       {over}"
    )
    label = "Short form" if is_short else "Passphrase"
    app.push_screen(SecretForm("Sign", text, (Line("secret", label, secret=True),), take), opened)


def _offer_short(
    app: App[None], sitting: Sitting, needed: UnsignedError, told: str,
    then: Callable[[], Awaitable[None]],
) -> None:  # fmt: skip
    def take(typed: dict[str, str]) -> str:
        try:
            sitting.choose_short(needed.person, typed["secret"])
        except RefusedError as error:
            return error.diagnostics()
        return ""

    async def chosen(taken: bool | None) -> None:
        if taken:
            await then()
        else:
            sitting.spend(needed.person)

    minutes = f"{sitting.idle_s / 60:.0f} minutes"
    text = (
        f"{told}{chr(10) * 2 if told else ''}"
        "The key is open. A short form of 4 to 11 characters signs later in this sitting, until"
        f" the bench is left alone for {minutes}. Leave it empty to type the passphrase each time."
    )
    line = Line("secret", "Short form, or empty", secret=True)
    app.push_screen(SecretForm(f"{needed.name}: key open", text, (line,), take), chosen)
