"""What a crash leaves: one calm sentence for the person, and a log without anyone's data.

The log names the error's type and the places in the code that it passed through. No local
variables, and no message that could quote what was typed or read.
"""

from __future__ import annotations

import os
import platform
import sys
import tempfile
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from commission import __version__

EXIT_CODE: Final = 70
"""A fault inside the program, as in sysexits.h."""
_TELLS_NO_DATA: Final = (AttributeError, ImportError, NameError, NotImplementedError, MemoryError)


def write_log(error: BaseException, folder: Path, now: datetime | None = None) -> Path | None:
    """Return the log written about `error`, readable by its owner only; None if it cannot be.

    It goes to `folder`, or where that cannot be written to the folder for temporary files.
    """
    moment = now or datetime.now(UTC)
    name = f"crash-{moment:%Y%m%dT%H%M%S}-{os.getpid()}.log"
    for place in (folder, Path(tempfile.gettempdir())):
        path = place / name
        try:
            place.mkdir(parents=True, exist_ok=True)
            descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(descriptor, "w", encoding="utf-8") as log:
                log.write(describe(error, moment))
        except OSError:
            continue
        return path
    return None


def describe(error: BaseException, moment: datetime) -> str:
    """Return the log's text."""
    head = (
        f"commission {__version__}, Python {platform.python_version()}, {sys.platform}\n"
        f"{moment.isoformat(timespec='seconds')}\n"
        "Messages and values are left out where they could quote what was typed.\n"
    )
    return head + "\n".join(_chain(error)) + "\n"


def sentence(log: Path | None) -> str:
    """Return what the person is told on the terminal."""
    where = f" What happened is in {log}." if log is not None else ""
    return (
        "commission stopped because of a fault of its own."
        " Everything that was confirmed is in the record; open the job again to go on." + where
    )


def _chain(error: BaseException) -> list[str]:
    lines: list[str] = []
    seen: set[int] = set()
    link: BaseException | None = error
    while link is not None and id(link) not in seen:
        seen.add(id(link))
        lines += ["", _name(link), *_frames(link)]
        link = link.__cause__ or (None if link.__suppress_context__ else link.__context__)
    return lines


def _name(error: BaseException) -> str:
    kind = f"{type(error).__module__}.{type(error).__qualname__}"
    if isinstance(error, OSError) and error.errno is not None:
        return f"{kind}: {os.strerror(error.errno)}"
    return f"{kind}: {error}" if isinstance(error, _TELLS_NO_DATA) else kind


def _frames(error: BaseException) -> list[str]:
    return [
        f"  {frame.filename}:{frame.lineno} in {frame.name}"
        for frame in traceback.extract_tb(error.__traceback__)
    ]
