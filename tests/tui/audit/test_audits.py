"""Audits on the screen: chosen, checked, answered, closed with a signature, read again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.book import AuditBook
from commission.audit.choose import Selection, population
from commission.errors import RefusedError
from commission.record.verifying import examine_stream, known_register
from commission.tui.audit.audited_jobs import AuditedJobs
from commission.tui.audit.checking import Checking, LeftError, Order
from commission.tui.audit.choosing import ChooseJobs
from commission.tui.audit.kept import Audits
from commission.tui.audit.running import Running
from commission.tui.audit.screen import AuditScreen
from commission.tui.audit.walk import Walk
from commission.tui.notice import Notice
from commission.tui.report.dialog import WriteSheet
from commission.tui.signing.form import SecretForm
from commission.tui.widgets import Field

if TYPE_CHECKING:
    from commission.audit.state import AuditState
    from commission.record.bench import Bench

SIZES = [(80, 24), (120, 40)]
IDS = ["80x24", "120x40"]
SPACE = {" ": "space", "-": "minus", ".": "full_stop", "=": "equals_sign"}


async def type_text(pilot: Any, text: str) -> None:
    await pilot.press(*(SPACE.get(one, one) for one in text))
    await pilot.pause()


async def type_line(pilot: Any, text: str) -> None:
    await type_text(pilot, text)
    await pilot.press("enter")
    await pilot.pause()


@pytest.fixture
def choose(open_audits: Any, until: Any) -> Any:
    """Open the form for a new audit, the people of all jobs known."""

    async def opened(pilot: Any) -> Any:
        await open_audits(pilot)
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseJobs), "the form")
        form = pilot.app.screen
        await until(pilot, lambda: form.chosen is not None and form._people, "the jobs")
        return form

    return opened


@pytest.fixture
def check_all(choose: Any, until: Any) -> Any:
    """Check all jobs and wait for the findings."""

    async def checked(pilot: Any, by: str = "ben") -> Any:
        await choose(pilot)
        await type_line(pilot, "Second quarter")
        await type_line(pilot, by)
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(pilot.app.screen, AuditScreen), "the findings")
        return pilot.app.screen

    return checked


def kept(bench: Bench) -> AuditState:
    book = AuditBook(bench)
    return book.read(book.audits()[-1])


async def test_an_empty_list_says_how_to_begin(
    bench: Bench, app_on: Any, open_audits: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_audits(pilot)
        assert "No audit is kept" in snapshot(app, "audits-empty-80x24")
        await pilot.press("f2")
        await pilot.pause()
        await pilot.pause()
        assert "nothing can be audited" in snapshot(app, "audit-choose-empty-80x24")
    assert not bench.jobs()


@pytest.mark.parametrize("size", SIZES, ids=IDS)
async def test_counts_follow_what_is_typed_and_a_sample_is_explained(
    dozen: Bench, app_on: Any, choose: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        form = await choose(pilot)
        assert form.chosen is not None
        assert len(form.chosen.lines) == len(dozen.jobs())
        await type_line(pilot, "Second quarter")
        await type_line(pilot, "ben")
        await type_line(pilot, "holm")
        await pilot.press("f4", "f4", "f4", "f4")
        chosen = form.chosen
        assert chosen is not None
        assert chosen.selection.technician == "Dag Holm"
        assert chosen.lines == population(dozen.store, chosen.selection).lines
        assert chosen.digest == population(dozen.store, chosen.selection).digest
        snapshot(app, f"audit-choose-{size[0]}x{size[1]}")
        await pilot.press("f4", "f4", "f4")
        assert form.query_one("#sample", Field).value == "zero=95/10"
        chosen = form.chosen
        assert chosen is not None
        assert chosen.plan is not None
        assert chosen.plan.size == len(chosen.drawn)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("technician", "nobody", "there are: Ada Nwosu"),
        ("since", "2030-13-01", "write a day as"),
        ("outcome", "splendid", "there are:"),
        ("practice", "perhaps", "yes or no"),
        ("sample", "many", "zero=95/5"),
        ("procedure", "e", "which of"),
    ],
)
async def test_what_cannot_be_is_said_beside_its_field_and_nothing_begins(
    dozen: Bench, app_on: Any, choose: Any, shown: Any, field: str, typed: str, said: str
) -> None:
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        form = await choose(pilot)
        form.query_one(f"#{field}", Field).value = typed
        await pilot.pause()
        assert f"! {said}" in shown(app)
        await pilot.press("f2")
        await pilot.pause()
        assert isinstance(app.screen, Notice)
    assert not AuditBook(dozen).audits()


@pytest.mark.parametrize("by", ["", "ada", "nobody"])
async def test_who_may_not_audit_begins_nothing(
    dozen: Bench, app_on: Any, choose: Any, by: str
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        form = await choose(pilot)
        form.query_one("#purpose", Field).value = "Second quarter"
        form.query_one("#auditor", Field).value = by
        await pilot.press("f2")
        await pilot.pause()
        assert isinstance(app.screen, Notice)
    assert not AuditBook(dozen).audits()


@pytest.mark.parametrize("size", SIZES, ids=IDS)
async def test_what_was_planted_is_found_worst_first_and_faults_apart_from_signs(
    dozen: Bench, app_on: Any, check_all: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await check_all(pilot)
        state = kept(dozen)
        found = {(one.check, one.severity, one.job) for one in state.findings.values()}
        assert ("whole", "critical", "20300112-BCDG") in found
        assert ("unsigned", "major", "20310507-ZZZZ") in found
        assert ("short-steps", "review", "20300107-BCDK") in found
        text = snapshot(app, f"audit-findings-{size[0]}x{size[1]}")
        assert text.index("critical") < text.index("review")
        await pilot.press("f4", "f4")
        await pilot.pause()
        text = snapshot(app, f"audit-sign-{size[0]}x{size[1]}")
        assert "False alarms" in text
        assert "fraud" not in text


async def test_findings_are_answered_and_the_audit_is_closed_with_a_signature(
    dozen: Bench, app_on: Any, check_all: Any, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        audit = await check_all(pilot)
        await pilot.press("f2")
        await pilot.pause()
        await type_line(pilot, "Seen at the bench.")
        await pilot.press("f5")
        await pilot.pause()
        await type_line(pilot, "nobody")
        await type_line(pilot, "I do not know.")
        assert "NOT TAKEN" in shown(app)
        await pilot.press("up", *["backspace"] * 6)
        await type_line(pilot, "ada")
        await type_line(pilot, "")
        assert isinstance(app.screen, AuditScreen)
        assert audit.state.answers[0].by == "Ada Nwosu"
        assert audit.state.remarks[0].text == "Seen at the bench."
        await pilot.press("f6")
        await pilot.pause()
        await type_line(pilot, "")
        assert "what the audit comes to" in shown(app)
        await type_line(pilot, "One record is not to be relied on.")
        await type_line(pilot, "not his phrase")
        assert "wrong try 1" in snapshot(app, "audit-close-80x24")
        assert kept(dozen).closed is None
        await type_line(pilot, "correct horse ben")
        await type_line(pilot, "4711")
        await until(pilot, lambda: audit.state.closed is not None, "the end")
        assert "READ ONLY" in snapshot(app, "audit-closed-80x24")
        seq = audit.state.seq
        await pilot.press("f2", "f5", "f6")
        await pilot.pause()
        assert isinstance(app.screen, AuditScreen)
        assert kept(dozen).seq == seq
        name = AuditBook(dozen).audits()[-1]
    examined = examine_stream(dozen.store, name, known=known_register(dozen.store))
    assert examined.is_whole
    assert examined.signed is not None
    assert examined.signed.good == 1


async def test_a_short_form_closes_an_audit_later_in_the_same_sitting(
    dozen: Bench, app_on: Any, check_all: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        audit = await check_all(pilot)
        dozen.sitting.unlock("ben", "correct horse ben", "4711")
        dozen.sitting.spend("ben")
        await pilot.press("f6")
        await pilot.pause()
        await type_line(pilot, "Nothing to be done.")
        assert "Short form" in shown(app)
        await type_line(pilot, "4711")
        await until(pilot, lambda: audit.state.closed is not None, "the end")
    closed = kept(dozen).closed
    assert closed is not None
    assert closed.is_signed


async def test_leaving_the_signature_leaves_the_audit_open(
    dozen: Bench, app_on: Any, check_all: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await check_all(pilot)
        await pilot.press("f6")
        await pilot.pause()
        await type_line(pilot, "Nothing to be done.")
        assert isinstance(app.screen, SecretForm)
        await pilot.press("f10")
        await pilot.pause()
        assert isinstance(app.screen, AuditScreen)
    assert kept(dozen).closed is None


@pytest.mark.parametrize("size", SIZES, ids=IDS)
@pytest.mark.usefixtures("dozen")
async def test_an_earlier_audit_is_opened_again_from_the_list(
    app_on: Any, check_all: Any, until: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        before = (await check_all(pilot)).state
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, Audits) and app.screen._lines, "the list")
        assert "Second quarter" in snapshot(app, f"audits-{size[0]}x{size[1]}")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, AuditScreen), "the audit")
        assert app.screen.state == before


async def test_a_damaged_audit_is_listed_and_says_why_it_is_not_opened(
    dozen: Bench, app_on: Any, open_audits: Any, shown: Any, until: Any
) -> None:
    dozen.store.append("audit-20310506-XXXX", 1, [b'{"stream":"audit-20310506-XXXX"}'], None)
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_audits(pilot)
        assert "DAMAGED" in shown(app)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Notice), "the reason")


class Slow(Checking):
    """Waits to be left before it begins."""

    def go(self, told: Any, is_cancelled: Any, found_more: Any = None) -> AuditState:
        assert self._left.wait(8)
        return super().go(told, is_cancelled, found_more)


def order(bench: Bench) -> Order:
    found = population(bench.store, Selection())
    jobs = tuple(line.job for line in found.lines)
    return Order("Second quarter", "ben", Selection(), "", jobs, found.digest)


@pytest.mark.parametrize("where", ["the list", "the audit"])
async def test_the_same_key_as_on_a_job_writes_the_report(
    dozen: Bench, app_on: Any, open_audits: Any, until: Any, tmp_path: Any, shown: Any, where: str
) -> None:
    state = Checking(dozen, order(dozen)).go(lambda _: None, lambda: False)
    assert state.opened is not None
    app, file = app_on(), tmp_path / "report.json"
    async with app.run_test(size=(80, 24)) as pilot:
        await open_audits(pilot)
        if where == "the audit":
            await pilot.press("enter")
            await until(pilot, lambda: isinstance(app.screen, AuditScreen), "the audit")
        await pilot.press("f11")
        await until(pilot, lambda: isinstance(app.screen, WriteSheet), "the dialog")
        dialog = app.screen
        await until(pilot, lambda: dialog.file.value, "the offered file")
        assert dialog.file.value == f"{state.opened.audit}-report.pdf"
        assert "Second quarter" in shown(app)
        dialog.file.value = str(file)
        await pilot.press("enter")
        await until(pilot, lambda: not isinstance(app.screen, WriteSheet), "written")
    assert "audit report" in file.read_text(encoding="utf-8")


async def test_leaving_while_jobs_are_checked_records_nothing(
    dozen: Bench, app_on: Any, open_audits: Any, until: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_audits(pilot)
        app.push_screen(Running(dozen, Slow(dozen, order(dozen))))
        await until(pilot, lambda: isinstance(app.screen, Running), "the progress")
        assert "0 of 12 jobs" in snapshot(app, "audit-running-80x24")
        await pilot.press("f10")
        await pilot.pause()
        assert isinstance(app.screen, Audits)
        await app.workers.wait_for_complete()
    assert not AuditBook(dozen).audits()


def test_jobs_left_half_way_leave_nothing_behind(dozen: Bench) -> None:
    checking = Checking(dozen, order(dozen))
    done: list[int] = []

    def told(count: int) -> None:
        done.append(count)
        if count == 3:
            checking.leave()

    with pytest.raises(LeftError):
        checking.go(told, lambda: False)
    assert done == [1, 2, 3]
    assert not AuditBook(dozen).audits()


def test_jobs_that_changed_since_they_were_chosen_are_not_audited(
    dozen: Bench, add_job: Any
) -> None:
    checking = Checking(dozen, order(dozen))
    add_job(dozen, "20310508-ZZZY")
    with pytest.raises(RefusedError, match="have changed"):
        checking.go(lambda _: None, lambda: False)
    assert not AuditBook(dozen).audits()


async def test_findings_wait_for_what_was_opened_over_the_progress(
    dozen: Bench, app_on: Any, open_audits: Any, until: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_audits(pilot)
        app.push_screen(Running(dozen, Checking(dozen, order(dozen))))
        app.push_screen(Notice("Something", "to be read first"))
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(app.screen, Notice)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, AuditScreen), "the findings")
    assert len(AuditBook(dozen).audits()) == 1


async def test_text_from_records_takes_no_effect_on_the_screen(
    dozen: Bench, add_job: Any, app_on: Any, check_all: Any, until: Any, shown: Any
) -> None:
    hostile = "[red]OFR[/red] \x1b[31m[/dev/null] \u202e"
    add_job(dozen, "20310508-ZZZY", "back-fills", bike={"frame": hostile, "model": hostile})
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        audit = await check_all(pilot)
        row = next(one for one in audit._rows if one.finding.job == "20310508-ZZZY")
        opened = audit.state.opened
        assert opened is not None
        said = "[red]not[/red] [/dev/null]"
        audit.show_state(AuditBook(dozen).answer(opened.audit, row.number, said, "ada"))
        await type_text(pilot, "zzzy")
        assert said in shown(app)
        await pilot.press("enter")
        await until(pilot, lambda: "[red]OFR[/red]" in shown(app), "the walk")
        assert "\x1b" not in shown(app)
        assert "\u202e" not in shown(app)


async def test_an_auditor_who_worked_in_a_job_is_said_not_to_be_independent(
    dozen: Bench, app_on: Any, check_all: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await check_all(pilot, "cleo")
        assert "NOT INDEPENDENT: the auditor worked in 1" in shown(app)
        await pilot.press("f3")
        await until(pilot, lambda: isinstance(app.screen, AuditedJobs), "the jobs")
        assert shown(app).count("the auditor worked in it") == 1
        await pilot.press("down", "enter")
        await until(pilot, lambda: isinstance(app.screen, Walk), "the walk")
        jobs = sorted(line.job for line in dozen.jobs())
        await until(pilot, lambda: f"{jobs[1]}   TRIAL" in shown(app), "the second job")


@pytest.mark.usefixtures("dozen")
async def test_audits_are_found_from_everywhere_and_helped_by_their_bindings(
    app_on: Any, check_all: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: app.bench is not None, "the bench")
        await pilot.press("f9")
        await pilot.pause()
        await type_text(pilot, "overviews")
        assert "First-pass rates" in shown(app)
        await pilot.press("escape")
        await pilot.pause()
        await check_all(pilot)
        await pilot.press("f1")
        await pilot.pause()
        text = shown(app)
        for said in ("worst first", "Record the answer", "Close the audit with a conclusion"):
            assert said in text


@pytest.mark.usefixtures("dozen")
async def test_grades_are_told_without_colour(
    app_on: Any, check_all: Any, snapshot: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await check_all(pilot)
        text = snapshot(app, "audit-findings-nocolor-80x24")
        for word in ("!! critical", "!  major", "?  review"):
            assert word in text


async def test_a_damaged_register_is_said_when_an_audit_is_begun(
    dozen: Bench, app_on: Any, choose: Any, shown: Any
) -> None:
    dozen.store.append("register", dozen.book.place.entry + 1, [b'{"stream":"register"}'], None)
    dozen.book._read = None  # as another process reads it
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        form = await choose(pilot)
        form.query_one("#purpose", Field).value = "Second quarter"
        form.query_one("#auditor", Field).value = "ben"
        await pilot.press("f2")
        await pilot.pause()
        assert isinstance(app.screen, Notice)
        assert "register" in shown(app)
    assert not AuditBook(dozen).audits()
