"""A real terminal for tests of what only a terminal shows: bursts, signals, exit codes.

The program runs behind a pty; `pyte` emulates what a person would see. The emulator only works
while nothing arrives, so that it neither slows the program nor blurs the times.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pyte
import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

ROOT = Path(__file__).parents[2]
KEYS = {
    "enter": b"\r", "tab": b"\t", "escape": b"\x1b", "backspace": b"\x7f", "left": b"\x1b[D",
    "right": b"\x1b[C", "up": b"\x1b[A", "down": b"\x1b[B", "home": b"\x1b[H", "end": b"\x1b[F",
    "f1": b"\x1bOP", "f2": b"\x1bOQ", "f9": b"\x1b[20~", "f10": b"\x1b[21~", "f12": b"\x1b[24~",
    "ctrl+q": b"\x11",
}  # fmt: skip
_UNKNOWN_TO_PYTE = re.compile(
    rb"\x1b\[[?>=<][0-9;]*[$]?[a-zA-Z]|\x1b\][0-9]+;[^\x07\x1b]*(?:\x07|\x1b\\)|\x1b\[[0-9;]*\$[a-z]"
)
_UNFINISHED = re.compile(rb"\x1b(\[[0-9;?<>=$ ]*)?$|\x1b\][^\x07]*$")


def key_bytes(*keys: str) -> bytes:
    """Return what a terminal sends for keys by name, and for other texts their characters."""
    return b"".join(KEYS.get(key, key.encode()) for key in keys)


class Terminal:
    """A program behind a pty, from its start until `close`."""

    def __init__(
        self,
        command: Sequence[str],
        *,
        size: tuple[int, int] = (80, 24),
        env: Mapping[str, str] | None = None,
        stdin: int | None = None,
        controlling: bool = True,
    ) -> None:
        self.size = size
        self.emulated = pyte.Screen(*size)
        self._stream = pyte.ByteStream(self.emulated)
        self._rest = b""
        self._unfed: list[tuple[float, bytes]] = []
        self.raw = bytearray()
        self.ended = False
        self.code: int | None = None
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self.modes_before = termios.tcgetattr(slave)
        self.slave = slave
        self.started = time.monotonic()
        self.pid = os.fork()
        if self.pid == 0:
            self._become(command, slave, env or {}, stdin, controlling=controlling)

    @staticmethod
    def _become(
        command: Sequence[str],
        slave: int,
        env: Mapping[str, str],
        stdin: int | None,
        *,
        controlling: bool,
    ) -> None:
        try:
            os.setsid()
            if controlling:
                fcntl.ioctl(slave, termios.TIOCSCTTY, 0)
            os.dup2(slave if stdin is None else stdin, 0)
            os.dup2(slave, 1)
            os.dup2(slave, 2)
            os.closerange(3, 64)
            kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
            basic = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8"}
            environment = {**kept, **basic, "PYTHONPATH": str(ROOT), **env}
            os.execvpe(command[0], list(command), environment)  # noqa: S606  no shell is wanted
        finally:
            os._exit(127)

    def send(self, *keys: str) -> float:
        """Strike keys, all in one write; return when."""
        moment = time.monotonic()
        os.write(self._master, key_bytes(*keys))
        return moment

    def signal(self, number: int) -> None:
        """Send the program a signal."""
        os.kill(self.pid, number)

    def resize(self, columns: int, rows: int) -> None:
        """Give the window another size."""
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        self.size = (columns, rows)
        self.emulated.resize(rows, columns)
        self.signal(signal.SIGWINCH)

    def hang_up(self) -> None:
        """Close the terminal, as a dropped link does."""
        for descriptor in (self.slave, self._master):
            os.close(descriptor)
        self.slave = self._master = -1
        self.ended = True

    def poll(self, wait: float) -> bool:
        """Read what the program wrote; return whether it wrote something within `wait` seconds."""
        if self.ended or not select.select([self._master], [], [], wait)[0]:
            return False
        try:
            data = os.read(self._master, 1 << 16)
        except OSError:
            data = b""
        if not data:
            self.ended = True
            return False
        self._unfed.append((time.monotonic(), data))
        self.raw += data
        if b"\x1b[?2026$p" in data:
            os.write(self._master, b"\x1b[?2026;2$y")
        return True

    def _feed_one(self) -> float:
        moment, data = self._unfed.pop(0)
        data = self._rest + data
        cut = _UNFINISHED.search(data)
        data, self._rest = (data[: cut.start()], data[cut.start() :]) if cut else (data, b"")
        self._stream.feed(_UNKNOWN_TO_PYTE.sub(b"", data))
        return moment

    @property
    def text(self) -> str:
        """What stands on the screen, line by line."""
        while self._unfed:
            self._feed_one()
        return "\n".join(self.emulated.display)

    def wait_for(self, pattern: str, timeout: float = 15) -> float:
        """Return when the screen first matched `pattern`; fail where it does not in time."""
        wanted = re.compile(pattern)
        end = time.monotonic() + timeout
        while time.monotonic() < end:
            if self.poll(0.02):
                continue
            while self._unfed:
                moment = self._feed_one()
                if wanted.search("\n".join(self.emulated.display)):
                    return moment
            if self.ended or self._over():
                break
        raise AssertionError(f"{pattern!r} was not shown; the screen was:\n{self.text}")

    def settle(self, quiet: float = 0.15, timeout: float = 10) -> None:
        """Wait until nothing is written any more."""
        end = time.monotonic() + timeout
        while time.monotonic() < end and self.poll(quiet):
            pass

    def _over(self) -> bool:
        if self.code is None:
            with contextlib.suppress(ChildProcessError):
                pid, status = os.waitpid(self.pid, os.WNOHANG)
                if pid:
                    self.code = os.waitstatus_to_exitcode(status)
        return self.code is not None

    def wait_end(self, timeout: float = 10) -> int:
        """Return the exit code; fail where the program does not end in time."""
        end = time.monotonic() + timeout
        while time.monotonic() < end:
            if self._over():
                while self.poll(0.05):
                    pass
                return self.code if self.code is not None else -1
            if not self.poll(0.05):
                time.sleep(0.02)
        raise AssertionError(f"the program did not end; the screen was:\n{self.text}")

    @property
    def is_restored(self) -> bool:
        """Whether the terminal is as it was: modes, cursor, main screen, no mouse reports."""
        closed = all(
            self.raw.rfind(off) > self.raw.rfind(on)
            for on, off in ((b"\x1b[?1049h", b"\x1b[?1049l"), (b"\x1b[?25l", b"\x1b[?25h"),
                            (b"\x1b[?1000h", b"\x1b[?1000l"), (b"\x1b[?2004h", b"\x1b[?2004l"))
        )  # fmt: skip
        return closed and termios.tcgetattr(self.slave) == self.modes_before

    def cpu_s(self) -> float:
        """Return the processor time the program used so far."""
        values = Path(f"/proc/{self.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(values[11]) + int(values[12])) / os.sysconf("SC_CLK_TCK")

    def close(self) -> None:
        """End the program, by force if it must be."""
        if not self._over():
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.pid, signal.SIGKILL)
            with contextlib.suppress(ChildProcessError):
                os.waitpid(self.pid, 0)
        for descriptor in (self.slave, self._master):
            with contextlib.suppress(OSError):
                os.close(descriptor)


def python(program: str, *arguments: str) -> list[str]:
    """Return the command that runs a Python program given as text."""
    return [sys.executable, "-c", program, *arguments]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A bench's own empty folder."""
    folder = tmp_path / "bench"
    folder.mkdir()
    return folder


@pytest.fixture
def terminal(home: Path) -> Iterator[Any]:
    """Start programs in terminals: `terminal(command, size=…, env=…)`; all end with the test."""
    started: list[Terminal] = []

    def start(command: Sequence[str], **options: Any) -> Terminal:
        env = {"COMMISSION_HOME": str(home), **options.pop("env", {})}
        started.append(Terminal(command, env=env, **options))
        return started[-1]

    start.python = python  # type: ignore[attr-defined]
    yield start
    for one in started:
        one.close()
