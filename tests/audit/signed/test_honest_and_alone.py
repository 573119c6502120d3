"""What is honest gives no finding: signed jobs, and a workshop of one that checks itself."""

from __future__ import annotations

from typing import Any

ADA, BEN, CLEO = "Ada Nwosu", "Ben Ito", "Cleo Ek"
LONE = {ADA: ("technician", "lead", "witness")}


def without_second_reading(text: str) -> str:
    before, _, after = text.partition("        hold: witness\n        witness: {independent")
    return before + after.partition("\n")[2]


def test_a_signed_job_gives_no_finding(staffed: Any, crew: Any) -> None:
    with (work := staffed.start(crew)).session:
        assert staffed.said(work.do_all()) == []


def alone(shop: Any, text: str) -> list[bytes]:
    """Return the lines of a job that Ada does, witnesses and releases."""
    with (work := shop.start(LONE, text)).session:
        work.witness = work.lead = ADA
        work.submit("pack", value="54.0")
        work.submit("lamp", value="done")
        shop.wait(1800)
        work.confirm("lamp")
        work.submit("as_found", limit="25")
        work.submit("set", limit="45")
        work.to_the_end(fuse="0.5")
        lines: list[bytes] = work.lines
        return lines


def test_a_workshop_of_one_that_checks_itself_after_the_time_gives_no_finding(shop: Any) -> None:
    shop.hire(ADA, "lead", "technician", "witness")
    lines = alone(shop, without_second_reading(shop.text))
    assert b'"mode":"delayed self-check"' in b"".join(lines)
    assert shop.said(lines) == []


def test_a_self_check_where_others_could_have_looked_is_found(shop: Any) -> None:
    shop.hire(ADA, "lead", "technician", "witness")
    shop.hire(BEN, "witness")
    ((check, severity, text),) = shop.said(alone(shop, without_second_reading(shop.text)))
    assert (check, severity) == ("holds", "major")
    assert text == "Confirmed by Ada Nwosu alone; witness by the register was also Ben Ito."
