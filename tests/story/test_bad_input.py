"""Bad input to every command about people, instruments, audits, reports, stores and practice.

Each gets one exit code, one sentence that says what is wrong and how to mend it, and no traceback;
the workshop is as it was.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from typing import TYPE_CHECKING, Any, Final

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Commission = Callable[..., Any]

HOSTILE: Final = "\x1b[31m[bold]evil[/bold]\n\u202e$(touch pwned)"
LEAD: Final = ("--lead-passphrase-fd", "77")
NONE_SUCH: Final = "audit-20300101-ZZZZ"


@pytest.fixture
def place(workshop: Any, commission: Commission, tmp_path: Path) -> Path:
    """A folder with files that are not what they should be."""
    job = workshop.honest[0]
    assert commission("export", job, "-o", tmp_path / "job.jsonl").code == 0
    whole = (tmp_path / "job.jsonl").read_bytes()
    (tmp_path / "cut.jsonl").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "changed.jsonl").write_bytes(whole.replace(b'"verdict":"pass"', b'"verdict":"x"'))
    (tmp_path / "junk.db").write_text("this is no store\n")
    (tmp_path / "word.yaml").write_text("only a word\n")
    (tmp_path / "bytes.yaml").write_bytes(bytes(range(128, 256)))
    (tmp_path / "mine.pdf").write_text("mine")
    (tmp_path / "folder.pdf").mkdir()
    return tmp_path


CASES: Final[tuple[tuple[str, str], ...]] = (
    # people
    ("people roles nobody --role lead", "'nobody' is not in the register. Registered:"),
    ("people retire HOSTILE --reason left", "is not in the register. Registered:"),
    ("people add Zoe --role chef", "Roles: technician, lead, witness, auditor."),
    ("people add HOSTILE --role technician", "Name: "),
    ("people add NEW --role technician", "there is no terminal to type it on. Use --passphrase-fd"),
    ("people add NEW --role technician LEAD", "File descriptor 77 cannot be read"),
    (
        "people add KNOWN --role technician LEAD",
        "ids are never used again. Take another id: rika-holt-2.",
    ),
    ("people renew nobody --reason lost LEAD", "is not in the register"),
    ("people revoke rika-holt --reason lost --by jon-aster", "no lead with a valid key. Leads:"),
    ("people list --store junk.db", "is not a store"),
    # instruments
    ("instruments add EMPTY 1", "Kind: '' is none. Use 1 to 120 characters."),
    ("instruments add HOSTILE 1 LEAD", "Kind: "),
    ("instruments add multimeter 9 --due 2030-02-31", "Write it as 2030-12-31."),
    ("instruments add multimeter 9 --range HOSTILE", "Write it as: 60 V: 0.5 %"),
    ("instruments add multimeter 4711", "is registered as multimeter-1"),
    ("instruments checked nosuch seen", "is no instrument of the register. Registered:"),
    ("instruments calibrated 4711 --on 2999-01-01 --due 2999-02-01", "has not come yet"),
    ("instruments retire 4711 --reason worn", "there is no terminal to type it on."),
    ("instruments list --store junk.db", "is not a store"),
    # audit
    ("audit", "The screens need a terminal; `commission audit --help`"),
    ("audit run --job 20300101-ZZZZ", "There is no job 20300101-ZZZZ. `commission jobs`"),
    ("audit run --job HOSTILE", "`commission jobs` lists them."),
    ("audit run --technician HOSTILE", "In none of "),
    ("audit run --since yesterday", "Write it as 2030-12-31."),
    ("audit run --sample most", "Write zero=95/5"),
    ("audit run --sample aql=nan", "There are: 0.65"),
    ("audit run --record", "Who audits? Say --by and one of: Ada Nwosu"),
    ("audit run --record --by KNOWN", "is neither auditor nor lead. May audit:"),
    ("audit show NONE_SUCH", "`commission audit list` lists them."),
    ("audit show HOSTILE", "`commission audit list` lists them."),
    ("audit answer NONE_SUCH 1 --text so --by KNOWN", "`commission audit list` lists them."),
    ("audit remark NONE_SUCH --text so", "`commission audit list` lists them."),
    ("audit close NONE_SUCH --conclusion so", "`commission audit list` lists them."),
    ("audit overview --since never", "Write it as 2030-12-31."),
    ("audit run --store junk.db", "is not a store"),
    ("audit run --store nowhere.db", "Name it with --store."),
    # reports
    ("report 20300101-ZZZZ -o a.pdf", "`commission jobs` lists the jobs."),
    ("report HOSTILE -o a.pdf", "`commission jobs` lists the jobs."),
    ("report register -o a.pdf", "is a record, but no job."),
    ("report NONE_SUCH -o a.pdf", "`commission audit list` lists them."),
    ("report JOB -o a.docx", "Use .html, .pdf, .csv, .json."),
    ("report JOB -o mine.pdf", "is there already"),
    ("report JOB -o folder.pdf --force", "folder.pdf cannot be written"),
    ("report JOB -o missing/a.pdf", "Name a file in a folder that is there"),
    ("report JOB -o a.pdf --kind HOSTILE", "There are: handover sheet"),
    # stores
    ("sync nowhere.db", "There is no store at"),
    ("sync junk.db", "is not a store"),
    ("sync OWN", "is this bench's own store. Name the other one."),
    ("sync mysql://server/x", "is not a kind of store that can be opened."),
    ("verify missing.jsonl", "There is no file and no record"),
    ("verify job.jsonl --head short", "64 hexadecimal digits"),
    ("verify job.jsonl --register cut.jsonl", "is no whole register"),
    ("verify job.jsonl --register job.jsonl", "is no whole register"),
    # procedures, practice, trials, calculators
    ("procedures approve nosuch", "There is no procedure and no file 'nosuch'. Shipped:"),
    ("procedures approve word.yaml", "word.yaml cannot be used. Mend what stands above."),
    ("practice nosuch --auto --plain", "There is no procedure and no file 'nosuch'. Shipped:"),
    ("practice HOSTILE --auto --plain", "There is no procedure and no file"),
    ("practice bytes.yaml --auto --plain", "Save it as UTF-8."),
    ("practice quick-persistence --fault nosuch --auto --plain", "There is no fault 'nosuch'."),
    ("practice quick-persistence --hand nosuch --auto --plain", "There are: honest"),
    ("practice", "The screens need a terminal."),
    ("prove nosuch", "There is no procedure and no file 'nosuch'. Shipped:"),
    ("prove quick-persistence --faults HOSTILE", "There is no fault, group, severity or file"),
    ("prove quick-persistence --faults bytes.yaml", "cannot be used as a file of faults."),
    ("prove quick-persistence --pilots hasty", "There is no pilot 'hasty'"),
    ("prove quick-persistence -o a.docx", "Use .html, .pdf, .csv, .json."),
    ("prove quick-persistence -o mine.pdf", "is there already"),
    ("cross-check 20300101-ZZZZ", "`commission jobs` lists them."),
    ("cross-check HOSTILE", "`commission jobs` lists them."),
    ("manual nosuch", "`commission calc` lists them."),
    ("manual -o job.jsonl", "Name a folder that can be written to."),
)


@pytest.mark.parametrize(("words", "said"), CASES, ids=[words for words, _ in CASES])
def test_bad_input_is_refused_in_a_sentence(
    workshop: Any, commission: Commission, place: Path, monkeypatch: pytest.MonkeyPatch,
    words: str, said: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(place)
    store = workshop.bench.store
    heads = {stream: store.last(stream) for stream in store.streams()}
    before = {one.name for one in place.iterdir()}
    stands_for = {
        "HOSTILE": (HOSTILE,), "LEAD": LEAD, "KNOWN": ("Rika Holt",), "NEW": ("Zoe Quist",),
        "EMPTY": ("",), "NONE_SUCH": (NONE_SUCH,), "JOB": (workshop.honest[0],),
        "OWN": (workshop.bench.places.store,),
    }  # fmt: skip
    told = commission(*(part for word in words.split() for part in stands_for.get(word, (word,))))
    assert told.code == 2, told
    assert said in told.err
    assert told.out == ""
    assert "Traceback" not in told.err
    assert not any(sign in told.err for sign in ("\x1b", "\u202e"))
    assert {one.name for one in place.iterdir()} == before
    assert {stream: store.last(stream) for stream in store.streams()} == heads


@pytest.mark.parametrize("file", ["cut.jsonl", "changed.jsonl", "bytes.yaml"])
def test_a_file_that_is_no_whole_record_is_not_whole(
    commission: Commission, place: Path, file: str
) -> None:
    told = commission("verify", place / file)
    assert told.code == 1
    assert "NOT WHOLE" in told.out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("people list", 0, "`commission people add` begins."),
        ("instruments list", 0, "No instrument is registered"),
        ("jobs", 0, "No jobs yet. There is no store at"),
        ("people retire ada --reason left", 2, "There is no store at"),
        ("instruments retire 4711 --reason worn", 2, "There is no store at"),
        ("audit run", 2, "There is no store at"),
        ("audit list", 0, "No audits yet"),
        ("report 20300101-ZZZZ -o a.pdf", 2, "There is no store at"),
        ("cross-check 20300101-ZZZZ", 2, "There is no"),
    ],
)
def test_an_empty_bench_says_how_to_begin(
    commission: Commission, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    words: str, code: int, said: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    told = commission(*words.split(), "--store", tmp_path / "empty.db")
    assert (told.code, told.out) == (code, "")
    assert said in told.err


def test_a_register_without_jobs_has_nothing_to_audit(
    commission: Commission, tmp_path: Path
) -> None:
    store = tmp_path / "new.db"
    words = ("people", "add", "Ada Nwosu", "--role", "lead", "--store", store)
    assert commission(*words, typed="correct horse battery staple\n").code == 0
    told = commission("audit", "run", "--store", store)
    assert told.code == 2
    assert "There are no jobs yet, so there is nothing to audit." in told.err


@pytest.fixture
def key(workshop: Any, tmp_path: Path) -> Path:
    """The file of the lead's key, in a copy of the workshop's store."""
    with sqlite3.connect(workshop.bench.places.store) as here:
        here.execute("VACUUM INTO ?", (str(tmp_path / "bench.db"),))
    here.close()
    keys = tmp_path / "bench.db.keys"
    shutil.copytree(workshop.bench.places.keys, keys)
    keys.chmod(0o700)
    (found,) = keys.glob("mara-quill-*.pem")
    return found


def damaged(key: Path) -> None:
    key.write_bytes(key.read_bytes()[:60])


def anothers(key: Path) -> None:
    (other,) = key.parent.glob("ben-ito-*.pem")
    key.write_bytes(other.read_bytes())


def gone(key: Path) -> None:
    key.unlink()


def open_to_all(key: Path) -> None:
    key.chmod(0o644)


@pytest.mark.parametrize(
    ("spoil", "typed", "said"),
    [
        (damaged, "mara", "is no key file, or is damaged. Put the file back from a copy"),
        (anothers, "ben", "holds another key than the register has for mara-quill."),
        (gone, "mara", "is missing. Put it back from a copy, or have a lead renew the key"),
        (open_to_all, "mara", "can be read by others (mode 644). Make it yours alone: chmod 600"),
        (lambda _: None, "rika", "the register has it as wrong try 1 in a row. Type it again."),
    ],
)
def test_a_key_that_cannot_be_opened_says_why_and_what_to_do(
    commission: Commission, key: Path, spoil: Callable[[Path], None], typed: str, said: str
) -> None:
    spoil(key)
    store = key.parents[1] / "bench.db"
    reading, writing = os.pipe()
    os.write(writing, f"correct horse battery {typed}\n".encode())
    os.close(writing)
    words = ("instruments", "checked", "4711", "9.00 V of 9", "--lead-passphrase-fd", reading)
    told = commission(*words, "--store", store)
    os.close(reading)
    assert (told.code, told.out) == (2, "")
    assert said in told.err
    assert "Traceback" not in told.err


def test_a_lone_lead_whose_key_is_gone_is_told_the_own_way(
    commission: Commission, key: Path
) -> None:
    gone(key)
    words = ("people", "renew", "mara-quill", "--reason", "the disk broke")
    store = ("--store", key.parents[1] / "bench.db")
    reading, writing = os.pipe()
    os.write(writing, b"correct horse battery mara\n")
    os.close(writing)
    told = commission(*words, "--lead-passphrase-fd", reading, *store)
    os.close(reading)
    assert told.code == 2
    assert "--lost" in told.err
    told = commission(*words, "--lost", *store, typed="another long phrase\n")
    assert told.code == 0, told.err
