"""`commission audit` and `commission procedures`, by their own process."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

ADA = "correct horse battery"


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    environment = {**os.environ, "COMMISSION_HOME": str(tmp_path / "home")}
    environment.pop("COMMISSION_STORE", None)

    def call(*words: str, phrase: str = "", option: str = "") -> Any:
        given, passed = [], []
        if phrase:
            reading, writing = os.pipe()
            os.write(writing, f"{phrase}\n".encode())
            os.close(writing)
            given, passed = [option, str(reading)], [reading]
        try:
            return subprocess.run(
                [sys.executable, "-m", "commission", *words, *given], capture_output=True,
                text=True, check=False, env=environment, pass_fds=passed,
                stdin=subprocess.DEVNULL,
            )  # fmt: skip
        finally:
            for one in passed:
                os.close(one)

    return call


@pytest.fixture
def practised(run: Any, tmp_path: Path) -> str:
    """A practice store with an honest and a copied job."""
    store = str(tmp_path / "practice.db")
    for hand in ("honest", "copies"):
        done = run("practice", "quick-persistence", "--auto", "--plain", "--hand", hand,
                   "--store", store)  # fmt: skip
        assert done.returncode == 0, done.stderr
    return store


def test_practice_is_left_out_unless_it_is_asked_for(run: Any, practised: str) -> None:
    done = run("audit", "run", "--store", practised)
    assert done.returncode == 2
    assert "--practice" in done.stderr
    done = run("audit", "run", "--practice", "--store", practised, "--json")
    told = json.loads(done.stdout)
    assert done.returncode == 0
    assert (len(told["jobs"]), told["good"]) == (2, True)
    assert told["population"]["jobs"] == 2


def test_a_drawn_sample_says_how_it_was_drawn(run: Any, practised: str) -> None:
    words = ("audit", "run", "--practice", "--store", practised, "--sample", "count=1")
    first, second = run(*words, "--json"), run(*words, "--json")
    assert json.loads(first.stdout) == json.loads(second.stdout)
    told = json.loads(first.stdout)["sample"]
    assert (told["plan"], told["size"], len(told["seed"])) == ("count=1", 1, 64)
    assert "count=1" in run(*words).stderr


@pytest.mark.parametrize(
    "words",
    [
        ("run", "--sample", "half"),
        ("run", "--since", "yesterday"),
        ("run", "--job", "20300101-ZZZZ"),
        ("run", "--technician", "Nobody"),
        ("run", "--record"),
        ("show", "audit-20300101-ZZZZ"),
    ],
)
def test_bad_words_are_refused_in_one_sentence(
    run: Any, practised: str, words: tuple[str, ...]
) -> None:
    more = ("--practice",) if words[0] == "run" and "--job" not in words else ()
    done = run("audit", *words, *more, "--store", practised)
    assert (done.returncode, done.stdout) == (2, "")
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr


def test_no_store_is_said_so(run: Any, tmp_path: Path) -> None:
    done = run("audit", "run", "--store", str(tmp_path / "none.db"))
    assert done.returncode == 2
    assert "none.db" in done.stderr


def test_an_audit_is_kept_answered_closed_and_verified(run: Any, practised: str) -> None:
    at = ("--store", practised)
    kept = json.loads(
        run("audit", "run", "--practice", "--record", "--by", "Ola Brandt", "--json", *at).stdout
    )["audit"]
    assert "2 jobs" in run("audit", "list", *at).stdout
    assert "unanswered" in run("audit", "list", *at).stdout
    assert run("audit", "remark", kept, "--text", "Seen at the bench", *at).returncode == 0
    assert run("audit", "close", kept, "--conclusion", "All well", *at).returncode == 0
    told = json.loads(run("audit", "show", kept, "--json", *at).stdout)
    assert told["closed"]["conclusion"] == "All well"
    assert [one["text"] for one in told["remarks"]] == ["Seen at the bench"]
    assert kept in run("audit", "list", *at).stdout
    assert run("verify", kept, *at).returncode == 0
    assert run("audit", "close", kept, "--conclusion", "Again", *at).returncode == 2


def test_a_damaged_job_gives_a_finding_and_exit_1(run: Any, practised: str) -> None:
    import sqlite3

    with sqlite3.connect(practised) as meddler:
        for (name,) in meddler.execute("SELECT name FROM sqlite_master WHERE type='trigger'"):
            meddler.execute(f'DROP TRIGGER "{name}"')
        meddler.execute("UPDATE entry SET line = substr(line, 2) WHERE seq = 7")
    done = run("audit", "run", "--practice", "--store", practised)
    assert done.returncode == 1
    assert done.stdout.count("CRITICAL") == 2
    assert "entry 7" in done.stdout


def test_the_overview_counts_jobs(run: Any, practised: str) -> None:
    done = run("audit", "overview", "--practice", "--store", practised, "--json")
    assert json.loads(done.stdout)["jobs"] == 2
    text = run("audit", "overview", "--practice", "--store", practised).stdout
    assert text.startswith("2 jobs, 2 released")


def test_the_checks_are_listed_with_their_sources(run: Any) -> None:
    told = json.loads(run("audit", "checks", "--json").stdout)
    assert {"whole", "judged-again", "terminal-digits"} <= {one["id"] for one in told}
    text = run("audit", "checks").stdout
    assert "No check sees entries cut off a record's end" in text
    assert all(f"\n{one['id']}  (" in f"\n{text}" for one in told)


def test_a_lead_approves_a_procedure(run: Any) -> None:
    own, lead = "--passphrase-fd", "--lead-passphrase-fd"
    done = run("people", "add", "Ada Nwosu", "--role", "lead", phrase=ADA, option=own)
    assert done.returncode == 0, done.stderr
    done = run("procedures", "approve", "gearing-change", phrase=ADA, option=lead)
    assert done.returncode == 0, done.stderr
    told = json.loads(run("procedures", "list", "--json").stdout)
    assert [one["procedure"] for one in told] == ["gearing-change"]
    again = run("procedures", "approve", "gearing-change", phrase=ADA, option=lead)
    assert again.returncode == 2
    assert run("verify", "register").returncode == 0


def test_the_overview_finds_a_person_by_initials_and_says_what_is_not_there(
    run: Any, tmp_path: Path
) -> None:
    store = str(tmp_path / "practice.db")
    name = ("Rika Holt", "--role", "lead", "--store", store)
    done = run("people", "add", *name, phrase=ADA, option="--passphrase-fd")
    assert done.returncode == 0, done.stderr
    at = ("--practice", "--store", store)
    done = run("practice", "quick-persistence", "--auto", "--plain", "--store", store)
    assert done.returncode == 0, done.stderr
    done = run("audit", "overview", "--technician", "rh", *at)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("1 job, 1 released; 0 not whole.\n")
    assert "(1 jobs)" not in done.stdout
    told = done.stdout.splitlines()
    for line, below in zip(told, (*told[1:], ""), strict=True):
        if line[0] != " " and line != told[0]:
            assert below.startswith("  "), line
    assert told[told.index("Open concessions") + 1] == "  none"


def test_a_bench_without_audits_says_so_and_is_no_refusal(run: Any, tmp_path: Path) -> None:
    at = ("--store", str(tmp_path / "none.db"))
    done = run("audit", "list", *at)
    assert (done.returncode, done.stdout) == (0, "")
    assert "No audits yet" in done.stderr
    assert "none.db" in done.stderr
    assert json.loads(run("audit", "list", "--json", *at).stdout) == []


def test_ids_in_small_letters_are_found(run: Any, practised: str, tmp_path: Path) -> None:
    at = ("--store", practised)
    job = json.loads(run("jobs", "--json", *at).stdout)[0]["job"]
    small = job.lower()
    assert small != job
    kept = json.loads(
        run("audit", "run", "--practice", "--record", "--by", "Ola Brandt", "--json", *at).stdout
    )["audit"]
    sheet = str(tmp_path / "sheet.json")
    for words in (
        ("export", small),
        ("verify", small),
        ("report", small, "-o", sheet),
        ("report", kept.upper(), "-o", sheet, "--force"),
        ("audit", "run", "--job", small),
        ("audit", "show", kept.upper()),
        ("audit", "remark", kept.lower(), "--job", small, "--text", "Seen at the bench"),
    ):
        done = run(*words, *at)
        assert done.returncode == 0, (words, done.stderr)
    for words in (("cross-check", small), ("--plain", "open", small)):
        said = run(*words, *at).stderr
        assert "There is no job" not in said
        assert small not in said
