"""The controller's program on the bench's computer: read, type, save, export, detect, update.

What it shows is its own copy: fetching brings what the controller says (a stale screen stays as it
is), connecting afresh always does. What was typed is in the controller only after it was saved, and
where it goes then depends on the page that saved it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import CommissionError, RefusedError
from commission.practice.controller import USUAL
from commission.practice.panel.rows import PlainPage, Row, Said
from commission.practice.probes.bench import PROGRAM
from commission.practice.probes.settings import held, shown
from commission.practice.probes.workshop import NEW_FIRMWARE
from commission.procedure.vocabulary import role_of
from commission.quantities import parse_reading, unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.state import Given
    from commission.practice.bike import Bike
    from commission.practice.panel.world import World
    from commission.procedure.model import Setting

OTHER_ROUTE: Final = "another page"
_RUN_S: Final = 60.0
_DARK: Final = "The program finds no controller: nothing is switched on."
_YES: Final = {"yes": True, "y": True, "no": False, "n": False}
_COOLING: Final = {
    "right way": "They run, and move air or coolant the right way.",
    "wrong way": "They run, and move it the WRONG way.",
    "still": "Nothing moves.",
}
EXPORTED: Final = "settings.csv"


class ProgramPage(PlainPage):
    """The settings of the procedure, as the program shows them."""

    title = "Controller's program"

    def __init__(self, world: World) -> None:
        """Sit down at the program; it has not read anything yet."""
        self._world = world
        self._settings = world.plan.settings
        self._has_read = False
        self._probes = {each.step.probe for each in world.plan.steps}

    @property
    def _bike(self) -> Bike:
        return self._world.bike

    @property
    def is_connected(self) -> bool:
        """Whether the controller answers."""
        return self._bike.display_on

    def rows(self) -> tuple[Row, ...]:
        """See `Page`."""
        return (*self._tools(), *self._values())

    def _tools(self) -> Iterator[Row]:
        lit = "controller found" if self.is_connected else "NO controller"
        yield Row("fetch", "Fetch the settings", lit, "shows what the controller says")
        yield Row("connect", "Connect afresh", "", "closes the connection and opens it again")
        unsaved = len(self._bike.controller.entered)
        note = f"{unsaved} not saved" if unsaved else ""
        yield Row("save", "Save, usual page", note, "sends what was typed, and stores it")
        yield Row("other", "Save, another page", note, "the same from another page of the program")
        yield Row("export", "Export to a file", "", "writes the list; F8 in the job imports it")
        if "sensor.angle" in self._probes:
            percent = f"{100 * self._bike.program.detection_current:.0f} % current"
            yield Row("detect", "Run the detection", percent, "turns the motor and finds angles")
            yield Row("current", "Detection current", percent, "raises it by a quarter")
        if "cooling.running" in self._probes:
            yield Row("cool", "Pump and fan", "", "switches their outputs on")
        if "controller.update" in self._probes:
            yield Row("update", "Load firmware", NEW_FIRMWARE, "replaces the firmware")

    def _values(self) -> Iterator[Row]:
        controller = self._bike.build.controller
        if "controller.session" in self._probes and self.is_connected:
            version = self._bike.controller.firmware or controller.firmware
            yield Row("about", "Serial, firmware", f"{controller.serial}, {version}")
            yield Row("name", "Program", PROGRAM)
        yield Row("settings", "Settings as shown" if self._has_read else "Nothing fetched yet",
                  heading=True)  # fmt: skip
        if not self._has_read:
            return
        for name, setting in self._settings.items():
            typed = role_of(setting) in self._bike.controller.entered
            sort = _sort(setting)
            yield Row(name, setting.label, f"{self._value(setting)}{' *' if typed else ''}",
                      "types another value", types=f"{setting.label}: {sort}")  # fmt: skip

    def _value(self, setting: Setting) -> str:
        try:
            text = shown(self._bike, setting)
        except (CommissionError, KeyError):
            return "unreadable"
        return f"{text} {setting.unit}" if setting.unit else text

    def enter(self, row: str) -> Said:
        """See `Page`."""
        self._world.now_s()
        self._world.touched += 1
        if row in self._settings or row in ("settings", "about", "name"):
            return Said()
        if row == "export":
            return Said(self._export())
        if not self.is_connected:
            return Said(_DARK)
        return Said(self._at_the_controller(row))

    def _at_the_controller(self, row: str) -> str:
        match row:
            case "fetch" | "connect":
                return self._fetch(afresh=row == "connect")
            case "save" | "other":
                return self._save(USUAL if row == "save" else OTHER_ROUTE)
            case "cool":
                return _COOLING[self._bike.cooling()]
            case "update":
                self._bike.program.update_firmware(NEW_FIRMWARE)
                return "Firmware loaded. Fetch the settings: they are the factory's."
            case "current":
                self._bike.program.raise_detection_current()
                return ""
        return self._detect()

    def _fetch(self, *, afresh: bool) -> str:
        self._has_read = True
        if afresh:
            self._bike.program.connect()
            return "Connected afresh, and fetched."
        self._bike.controller.fetch()
        return "Fetched."

    def _save(self, route: str) -> str:
        controller = self._bike.controller
        count = len(controller.entered)
        if not count:
            return "Nothing was typed that is not saved."
        controller.save(route)
        controller.fetch()
        return f"Saved: {count}. Whether it stays is seen after a key cycle."

    def _detect(self) -> str:
        self._bike.wait(_RUN_S)
        degrees = unit("deg")
        angles = (degrees.from_si(angle) for angle in self._bike.program.detect())
        self._has_read = True
        return "Angles: " + ", ".join(f"{angle:.1f}°" for angle in angles)

    def _export(self) -> str:
        if not self._has_read:
            return "Fetch the settings first."
        lines = ["# PRACTICE", "name,value,unit"]
        for name, setting in self._settings.items():
            text = self._value(setting).removesuffix(f" {setting.unit}")
            lines.append(f"{name},{text},{setting.unit or ''}")
        return self._world.write(EXPORTED, "\n".join([*lines, ""]))

    def take(self, row: str, typed: str) -> Said:
        """See `Page`."""
        setting = self._settings[row]
        if not self.is_connected:
            raise RefusedError(_DARK)
        self._world.touched += 1
        self._bike.controller.enter(role_of(setting), held(setting, _given(setting, typed)))
        return Said("On the screen, not saved yet.")


def _sort(setting: Setting) -> str:
    match setting.type:
        case "choice":
            return " / ".join(setting.choices)
        case "yes_no":
            return "yes / no"
        case "quantity":
            return setting.unit or ""
        case _:
            return setting.type


def _given(setting: Setting, typed: str) -> Given:
    """Return what a typed text means for a setting.

    Raises:
        CommissionError: it is no such value.
    """
    text = " ".join(typed.split())
    match setting.type:
        case "quantity" | "integer":
            reading = parse_reading(text, setting.unit or "")
            return {"typed": reading.typed, "unit": reading.unit}
        case "yes_no":
            if text.casefold() in _YES:
                return _YES[text.casefold()]
        case "choice":
            fitting = [one for one in setting.choices if one.casefold().startswith(text.casefold())]
            if len(fitting) == 1 or text in setting.choices:
                return text if text in setting.choices else fitting[0]
        case _:
            return text
    raise RefusedError(f"{text or 'Nothing'} is none of: {_sort(setting)}.")
