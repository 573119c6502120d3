"""What a crash leaves in the log, and what it does not."""

from __future__ import annotations

import stat
from datetime import UTC, datetime
from pathlib import Path

from commission.tui import crash

NOW = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)


def fallen() -> Exception:
    typed = "correct horse"
    try:
        refuse(typed)
    except RuntimeError as error:
        return error
    return ValueError("never")


def refuse(typed: str) -> None:
    try:
        dict[str, str]()[typed]
    except KeyError as error:
        raise RuntimeError(f"no key {typed}") from error


def test_log_names_the_errors_and_places_but_no_values() -> None:
    text = crash.describe(fallen(), NOW)
    assert "builtins.RuntimeError" in text
    assert "builtins.KeyError" in text
    assert "in refuse" in text
    assert "2031-05-06T12:00:00+00:00" in text
    assert "correct horse" not in text


def test_messages_that_cannot_quote_anybody_are_kept() -> None:
    assert "has no attribute" in crash.describe(AttributeError("'X' has no attribute 'y'"), NOW)
    assert "No space left on device" in crash.describe(OSError(28, "x", "/secret/name"), NOW)
    assert "secret" not in crash.describe(OSError(28, "x", "/secret/name"), NOW)


def test_log_is_for_its_owner_only(tmp_path: Path) -> None:
    log = crash.write_log(fallen(), tmp_path / "new", NOW)
    assert log is not None
    assert log.parent == tmp_path / "new"
    assert stat.S_IMODE(log.stat().st_mode) == 0o600


def test_an_earlier_log_is_never_overwritten(tmp_path: Path) -> None:
    first = crash.write_log(fallen(), tmp_path, NOW)
    second = crash.write_log(ValueError(), tmp_path, NOW)
    assert first is not None
    assert second != first
    assert "RuntimeError" in first.read_text()
    if second is not None:
        second.unlink()


def test_sentence_is_calm_and_says_where_the_log_is() -> None:
    said = crash.sentence(Path("/bench/crash.log"))
    assert "Everything that was confirmed is in the record" in said
    assert "/bench/crash.log" in said
    assert "log" not in crash.sentence(None)
