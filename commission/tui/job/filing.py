"""Keeping a photo or a file with the job: its path, a check that it is there, and its digest."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on
from textual.message import Message
from textual.widgets import Input

from commission.tui.job.fields import FieldsArea

if TYPE_CHECKING:
    from commission.job.ask import Ask


class FileArea(FieldsArea):
    """A path; the first Enter looks at the file, the second one keeps it."""

    @dataclass
    class FileChosen(Message):
        """A person chose the file to keep for the ask called `field`."""

        field: str
        path: Path

    def __init__(self, ask: Ask) -> None:
        """Ask for the path of a file."""
        super().__init__((ask,))
        self._looked_at: Path | None = None

    def changed(self) -> None:
        self._looked_at = None

    @on(Input.Submitted)
    def take_field(self, event: Input.Submitted) -> None:
        event.stop()
        event.prevent_default()
        path = Path(self.input.value.strip()).expanduser()
        fault = _fault(path, self.input.value)
        if fault:
            self.refuse(fault)
        elif self._looked_at == path:
            self.post_message(self.FileChosen(self.ask.name, path))
        else:
            self._look_at(path)

    def _look_at(self, path: Path) -> None:
        try:
            size = path.stat().st_size
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            self.refuse(f"{path.name} cannot be read: {error.strerror or error}.")
            return
        self._looked_at = path
        self.refuse("")
        said = f"{path.name}, {size_words(size)}, SHA-256 {digest[:16]}…  Enter again keeps it."
        self._echo.show(said, "bold")


def size_words(size: int) -> str:
    """Return a file size as people read it."""
    for unit, factor in (("MB", 1_000_000), ("kB", 1_000)):
        if size >= factor:
            return f"{size / factor:.1f} {unit}"
    return f"{size} bytes"


def _fault(path: Path, typed: str) -> str:
    if not typed.strip():
        return "type the path of the file first."
    if path.is_dir():
        return f"{path} is a folder; type the path of one file in it."
    if not path.is_file():
        parent = path.parent
        where = "" if parent.is_dir() else f" There is no folder {parent}."
        return f"there is no file {path.name} there.{where}"
    return ""
