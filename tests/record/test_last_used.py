"""The values last used: kept beside the store, whole or not at all, and never in the way."""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.record import last_used
from commission.record.last_used import LastUsed, Typed

if TYPE_CHECKING:
    from pathlib import Path

ONE = LastUsed({"speed": Typed("35", "km/h", "mph")}, {"road_speed": "m/s"})


def test_what_was_kept_is_read_again_beside_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "new" / "calculators.json"
    assert last_used.keep(path, "wheel-speed", ONE) == ""
    assert last_used.keep(path, "range", LastUsed()) == ""
    assert last_used.read(path) == ({"wheel-speed": ONE, "range": LastUsed()}, "")


def test_nothing_but_the_file_is_left_in_the_folder(tmp_path: Path) -> None:
    path = tmp_path / "calculators.json"
    last_used.keep(path, "wheel-speed", ONE)
    assert [each.name for each in tmp_path.iterdir()] == ["calculators.json"]


def test_a_missing_file_is_empty_without_a_word(tmp_path: Path) -> None:
    assert last_used.read(tmp_path / "none.json") == ({}, "")


def test_a_folder_in_its_place_is_told_and_nothing_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "calculators.json"
    path.mkdir()
    assert "cannot be read" in last_used.read(path)[1]
    assert "were not kept" in last_used.keep(path, "range", ONE)
    assert [each.name for each in tmp_path.iterdir()] == ["calculators.json"]


def test_a_text_that_is_no_unicode_is_refused_and_the_old_file_stays(tmp_path: Path) -> None:
    path = tmp_path / "calculators.json"
    last_used.keep(path, "wheel-speed", ONE)
    lone = LastUsed({"speed": Typed("\ud800", "km/h", "km/h")})
    assert "were not kept" in last_used.keep(path, "range", lone)
    assert last_used.read(path) == ({"wheel-speed": ONE}, "")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    assert "were not kept" in last_used.keep(tmp_path / "calculators.json", "range", ONE)


def test_a_file_too_large_for_this_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "calculators.json"
    path.write_bytes(b" " * 2_000_000)
    assert "passed over" in last_used.read(path)[1]


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_passed_over(
    tmp_path_factory: pytest.TempPathFactory, raw: bytes
) -> None:
    path = tmp_path_factory.mktemp("any") / "calculators.json"
    path.write_bytes(raw)
    kept, notice = last_used.read(path)
    assert kept == {}
    assert "passed over" in notice


def test_it_stands_beside_the_store_that_is_used(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("COMMISSION_HOME", str(tmp_path / "home"))
    assert last_used.place(None) == tmp_path / "home" / "calculators.json"
    assert last_used.place(str(tmp_path / "x.db")) == tmp_path / "calculators.json"
    assert last_used.place("strange://store") == tmp_path / "home" / "calculators.json"
