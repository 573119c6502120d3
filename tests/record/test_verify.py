"""What `verify` finds, what `rebuild` mends, and that a shell finds the same."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from commission.errors import DamagedError, StoreError
from commission.job.entry import GENESIS, Draft
from commission.record.chain import Reason
from commission.record.exporting import export_to
from commission.record.line import digest_of
from commission.record.verifying import examine_file, examine_stream, rebuild

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.record.bench import Bench
    from tests.record.conftest import Work

SHELL = Path(__file__).parent / "verify_with_sha256sum.sh"


def exported(bench: Bench, job: str, folder: Path) -> Path:
    path = folder / "job.jsonl"
    export_to(bench.lines(job), path, force=True, partial=False)
    return path


def in_shell(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["bash", SHELL], cwd=folder, capture_output=True, text=True, check=False)


def changed(lines: list[bytes], seq: int, old: str, new: str) -> list[bytes]:
    """Return lines with one changed and the chain made good again, as a forger would."""
    made: list[bytes] = []
    prev: str = GENESIS
    for number, line in enumerate(lines, 1):
        text = line.decode()
        if number == seq:
            assert old in text
            text = text.replace(old, new)
        made.append((text[:-66] + prev + '"}').encode())
        prev = digest_of(made[-1])
    return made


def fault_of_file(lines: list[bytes], folder: Path) -> tuple[int, Reason]:
    path = folder / "forged.jsonl"
    path.write_bytes(b"".join(line + b"\n" for line in lines))
    fault = examine_file(path).fault
    assert fault is not None
    return fault.seq, fault.reason


def test_store_and_export_are_whole_and_of_one_head(bench: Bench, job: str, tmp_path: Path) -> None:
    in_store = examine_stream(bench.store, job)
    in_file = examine_file(exported(bench, job, tmp_path), in_store.head)
    assert in_store.is_whole, in_store.fault
    assert in_file == in_store
    assert in_store.head == bench.jobs()[0].head


def test_shell_loop_with_sha256sum_says_the_same(bench: Bench, job: str, tmp_path: Path) -> None:
    path = exported(bench, job, tmp_path)
    done = in_shell(tmp_path)
    assert done.stdout == f"whole; head {bench.jobs()[0].head}\n"
    assert done.returncode == 0
    path.write_bytes(path.read_bytes().replace(b'"54.0"', b'"54.1"'))
    done = in_shell(tmp_path)
    assert done.returncode == 1
    assert done.stdout.startswith('broken: {"stream":')


@pytest.mark.parametrize(
    ("text", "name"),
    [("Größe Ω “quoted” \\ back\\\\slash % $HOME `x` *", "Zoë"), ("tab\there\nline", "A\u2028B")],
)
def test_shell_loop_takes_any_text(
    work: Work, bench: Bench, tmp_path: Path, text: str, name: str
) -> None:
    people = {name: ("technician",)}
    with bench.start(work.loaded, {"frame": text}, people, name) as session:
        session.record([Draft("noted", name, body={"grade": "", "text": text})])
    exported(bench, session.job, tmp_path)
    assert in_shell(tmp_path).stdout == f"whole; head {session.head}\n"
    assert examine_stream(bench.store, session.job).is_whole


def test_every_changed_byte_of_an_exported_file_is_found(
    make_lines: Callable[[int], list[bytes]], tmp_path: Path
) -> None:
    lines = make_lines(3)
    path, whole = tmp_path / "notes.jsonl", b"".join(line + b"\n" for line in lines)
    for place in range(len(whole) - 1):  # the file's last byte ends the last line, as its end does
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 2]) + whole[place + 1 :])
        fault = examine_file(path, digest_of(lines[-1])).fault
        assert fault is not None
        assert fault.seq == whole[:place].count(b"\n") + 1, (place, fault)


def test_open_job_is_whole_too(work: Work, bench: Bench, tmp_path: Path) -> None:
    with work.start(bench) as session:
        work.answer(session, {"value": "54.0"})
        assert examine_stream(bench.store, session.job).is_whole
        assert examine_file(exported(bench, session.job, tmp_path)).entries == 2


def test_forged_chain_must_still_be_a_legal_job(bench: Bench, job: str, tmp_path: Path) -> None:
    lines = list(bench.lines(job))
    forged = changed(lines, 2, '"step":"pack"', '"step":"cover"')
    assert fault_of_file(forged, tmp_path) == (2, Reason.ILLEGAL)
    forged = changed(lines, 2, '"parts":{', '"part":{')
    assert fault_of_file(forged, tmp_path) == (2, Reason.ILLEGAL)


def test_forged_chain_must_keep_keys_and_clocks(bench: Bench, job: str, tmp_path: Path) -> None:
    lines = list(bench.lines(job))
    twice = changed(lines, 2, '"typed":"54.0"', '"typed":"54.0","typed":"55.0"')
    assert fault_of_file(twice, tmp_path) == (2, Reason.KEYS)
    wrong_type = changed(lines, 3, '"attempt":1', '"attempt":"1"')
    assert fault_of_file(wrong_type, tmp_path) == (3, Reason.KEYS)
    at = json.loads(lines[-1])["at"]
    later = changed(lines, len(lines), at, at.replace("2026-", "2027-"))
    assert fault_of_file(later, tmp_path) == (len(lines), Reason.CLOCK)


def test_embedded_procedure_that_cannot_be_read_is_named(
    bench: Bench, job: str, tmp_path: Path
) -> None:
    opened = json.loads(next(iter(bench.lines(job))))
    opened["body"]["procedure"].update(text="no procedure", digest=digest_of(b"no procedure"))
    line = json.dumps(opened, ensure_ascii=False, separators=(",", ":")).encode()
    assert fault_of_file([line], tmp_path) == (1, Reason.PROCEDURE)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE job SET done = 1", "says done 1, the entries 4"),
        ("UPDATE job SET head = 'x'", "says head 'x'"),
        ("DELETE FROM job", "does not have it"),
        ("UPDATE reading SET typed = '55.0'", "table of readings"),
        ("DELETE FROM setting", "table of settings"),
    ],
)
def test_changed_projection_differs_until_it_is_rebuilt(
    bench: Bench, job: str, tamper: Callable[[str], None], statement: str, said: str
) -> None:
    before = bench.jobs()
    tamper(statement)
    fault = examine_stream(bench.store, job).fault
    assert fault is not None
    assert fault.reason is Reason.PROJECTION
    assert said in fault.text
    assert rebuild(bench.store) == (1, ())
    assert examine_stream(bench.store, job).is_whole
    assert bench.jobs() == before


def test_projections_hold_what_the_job_says(bench: Bench, job: str) -> None:
    change = bench.store.change_of(job)
    assert change is not None
    rows = [(row.step, row.name, row.typed, row.unit) for row in change.readings]
    assert rows[0] == ("pack", "value", "54.0", "V")
    assert {row[2] for row in rows} == {"54.0", "25", "45"}
    (setting,) = change.settings
    assert (setting.setting, setting.found, setting.written) == ("limit", "25 km/h", "45 km/h")
    assert setting.fate == "written, not proved"


def test_rebuild_keeps_the_list_of_a_job_that_is_not_whole(
    work: Work, bench: Bench, job: str, tamper: Callable[[str], None]
) -> None:
    work.start(bench).close()
    before = bench.jobs()
    tamper("UPDATE entry SET line = replace(CAST(line AS TEXT), '54.0', '54.1') WHERE seq = 2")
    count, broken = rebuild(bench.store)
    assert (count, [(each.stream, each.fault.seq) for each in broken if each.fault]) == (
        2, [(job, 2)],
    )  # fmt: skip
    assert bench.jobs() == before


def test_export_replaces_nothing_unasked(bench: Bench, job: str, tmp_path: Path) -> None:
    path = tmp_path / "job.jsonl"
    path.write_text("mine")
    with pytest.raises(StoreError, match="there already"):
        export_to(bench.lines(job), path, force=False, partial=False)
    assert path.read_text() == "mine"
    done = export_to(bench.lines(job), path, force=True, partial=False)
    assert path.read_bytes() == b"".join(line + b"\n" for line in bench.lines(job))
    assert done.head == bench.jobs()[0].head
    assert [each.name for each in tmp_path.glob(".*")] == []


def test_export_of_what_is_damaged_is_whole_or_asked_for(tmp_path: Path) -> None:
    def breaking() -> Iterator[bytes]:
        yield b"one"
        raise DamagedError("part of it cannot be read")

    path = tmp_path / "job.jsonl"
    with pytest.raises(DamagedError, match="part of it"):
        export_to(breaking(), path, force=False, partial=False)
    assert list(tmp_path.iterdir()) == []
    done = export_to(breaking(), path, force=False, partial=True)
    assert (done.entries, done.damage) == (1, "part of it cannot be read")
    assert path.read_bytes() == b"one\n"


def test_export_where_nothing_can_be_written_says_so(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot be written"):
        export_to([b"x"], tmp_path / "none" / "job.jsonl", force=False, partial=False)
