"""The register's screen: everybody with roles and key, and what a lead may change."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import DataTable

from commission.errors import CommissionError
from commission.safe_text import safe_text
from commission.tui.notice import Notice
from commission.tui.signing.form import SecretForm
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult

    from commission.record.bench import Bench
    from commission.register.state import Person, Register
    from commission.tui.register.forms import Asked

EMPTY: Final = (
    "Nobody is registered on this bench.\n\n"
    "Jobs take any name and go on unsigned; their records say so.\n\n"
    "F2 adds the first person, a lead. From then on jobs take registered people, who sign."
)
_HEADINGS: Final = ("", "Name", "Roles", "Key", "Since")
_LONE: Final = frozenset({"roles", "renew", "revoke", "retire"})
"""What needs a person to be chosen."""


class RegisterScreen(Screen[None]):
    """People of a bench; the table always has the keys."""

    AUTO_FOCUS = "DataTable"
    about = (
        "The people of this bench. Each change is signed by a lead with the passphrase. Nothing is"
        " ever taken out: ids stay taken, earlier signatures hold."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "change('add')", "Add", id="register.add",
                tooltip="Add a person, who chooses a passphrase"),
        Binding("f4", "change('roles')", "Roles", id="register.roles",
                tooltip="Give the highlighted person other roles"),
        Binding("f5", "change('renew')", "New key", id="register.renew", show=False,
                tooltip="Revoke the key of the highlighted person and give another"),
        Binding("f6", "change('revoke')", "Revoke", id="register.revoke", show=False,
                tooltip="Revoke the key of the highlighted person at once"),
        Binding("f7", "instruments", "Instruments", id="register.instruments",
                tooltip="The instruments of this bench: accuracy, calibration"),
        Binding("f8", "change('retire')", "Retire", id="register.retire", show=False,
                tooltip="Let the highlighted person go, for good"),
        Binding("f11", "lock", "Lock", id="register.lock", show=False,
                tooltip="Close all keys that are open at this bench"),
        Binding("f10", "app.back", "Back", id="register.back", tooltip="Back to the jobs"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    RegisterScreen {
        DataTable { height: 1fr; margin: 1 1 0 1; background: $background;
            scrollbar-size-vertical: 1; scrollbar-size-horizontal: 1; }
        #nobody { height: 1fr; margin: 2 3; display: none; }
        .detail { height: 7; padding: 0 2; border-top: hkey $line; }
        &.-empty DataTable, &.-empty .detail { display: none; }
        &.-empty #nobody { display: block; }
    }
    """

    def __init__(self, bench: Bench) -> None:
        """Show the register of `bench`."""
        super().__init__()
        self._bench = bench
        self._register: Register | None = None
        self._people: tuple[Person, ...] = ()
        self.table: DataTable[Text] = DataTable(cursor_type="row")
        self._detail = Plain(classes="detail")

    def compose(self) -> ComposeResult:
        yield TitleBar("register", "people of this bench")
        yield self.table
        yield Plain(EMPTY, id="nobody")
        yield self._detail
        yield KeyBar()

    def on_mount(self) -> None:
        for heading in _HEADINGS:
            self.table.add_column(Text(heading))
        self.show_people()

    def show_people(self) -> None:
        """Read the register and show it."""
        try:
            register = self._bench.book.register
        except CommissionError as error:
            self.set_class(True, "-empty")
            said = f"The register cannot be shown.\n\n{error.diagnostics()}"
            self.query_one("#nobody", Plain).show(said, "$text-error")
            return
        at = self.table.cursor_row
        self._register, self._people = register, tuple(register.people.values())
        self.set_class(not self._people, "-empty")
        self.table.clear()
        for one in self._people:
            self.table.add_row(*(Text(safe_text(cell)) for cell in _row(register, one)))
        if self._people:
            self.table.move_cursor(row=min(at, len(self._people) - 1))
        self._show_detail()
        self.refresh_bindings()

    @property
    def person(self) -> Person | None:
        """The highlighted person."""
        at = self.table.cursor_row
        return self._people[at] if 0 <= at < len(self._people) else None

    @on(DataTable.RowHighlighted)
    def follow_cursor(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        self._show_detail()
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer what changes a person only where one is highlighted who is not retired."""
        if action != "change" or not parameters or parameters[0] not in _LONE:
            return True
        one = self.person if self.is_mounted else None
        return one is not None and one.is_active

    def action_change(self, what: str) -> None:
        from commission.tui.register import forms

        made: dict[str, Callable[[Bench, Person], Asked]] = {
            "roles": forms.roles, "renew": forms.renew, "revoke": forms.revoke,
            "retire": forms.retire,
        }  # fmt: skip
        try:
            if what == "add":
                asked = forms.add(self._bench)
            elif self.person is not None:
                asked = made[what](self._bench, self.person)
            else:
                return
        except CommissionError as error:
            self.app.push_screen(Notice("Not now", error.diagnostics()))
            return
        form = SecretForm(asked.title, asked.text, asked.lines, asked.take)
        self.app.push_screen(form, lambda _: self.show_people())

    def action_instruments(self) -> None:
        from commission.tui.register.instruments import InstrumentsScreen

        self.app.push_screen(InstrumentsScreen(self._bench))

    def action_lock(self) -> None:
        self._bench.sitting.lock()
        self.notify("All keys are closed.", markup=False)

    def _show_detail(self) -> None:
        one, register = self.person, self._register
        self._detail.show("" if one is None or register is None else _detail(register, one))


def _row(register: Register, one: Person) -> tuple[str, ...]:
    key = register.key_now(one.id)
    stands = ", ".join(sorted(one.roles_now)) if one.is_active else "retired"
    shown = "valid" if key else "none"
    wrong = f", {one.failures} wrong" if one.failures else ""
    return one.initials, one.name, stands, f"{shown}{wrong}", one.added.at[:10]


def _detail(register: Register, one: Person) -> str:
    until = f", retired {one.retired.at[:10]}" if one.retired else ""
    lines = [f"{one.name}  ({one.id}){until}"]
    for fingerprint in one.keys[-2:]:
        key = register.keys[fingerprint]
        span = f"from {key.added.at[:16].replace('T', ' ')}Z"
        if key.revoked:
            span += f" until {key.revoked.at[:16].replace('T', ' ')}Z ({key.reason})"
        lines += [f"key {key.fingerprint}", f"    {span}"]
    if one.failures and one.failed:
        when = one.failed.at[:16].replace("T", " ")
        lines.append(f"{one.failures} wrong passphrases in a row, the last at {when}Z")
    return "\n".join(lines)
