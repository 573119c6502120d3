"""The same record gives the same bytes, wherever and whenever a report is made."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from commission.report.kinds import KINDS, document_of
from commission.report.render.formats import FORMATS, render

if TYPE_CHECKING:
    from typing import Any

    from commission.report.subject import Subject

ROOT = Path(__file__).parents[2]
PROGRAM = """
import hashlib, sys
from pathlib import Path
from commission.record.line import digest_of
from commission.record.reading import fold, read
from commission.report.kinds import KINDS, document_of
from commission.report.render.formats import FORMATS, render
from commission.report.subject import Subject
lines = Path(sys.argv[1]).read_bytes().splitlines()
entries = read(lines).entries
subject = Subject(fold(entries), entries, digest_of(lines[-1]))
for kind in KINDS:
    document = document_of(kind, subject)
    for form in FORMATS:
        print(kind.slug, form, hashlib.sha256(render(document, form)).hexdigest())
"""


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def test_another_process_zone_locale_folder_and_hash_seed_give_the_same_bytes(
    released: Subject, released_lines: list[bytes], tmp_path: Path
) -> None:
    record = tmp_path / "job.jsonl"
    record.write_bytes(b"\n".join(released_lines) + b"\n")
    here = [
        f"{kind.slug} {form} {digest(render(document_of(kind, released), form))}"  # type: ignore[arg-type]
        for kind in KINDS
        for form in FORMATS
    ]
    for zone, locale, seed in (("Pacific/Kiritimati", "de_DE.UTF-8", "1"), ("UTC", "C", "77")):
        environment = {**os.environ, "TZ": zone, "LC_ALL": locale, "PYTHONHASHSEED": seed,
                       "PYTHONPATH": str(ROOT)}  # fmt: skip
        told = subprocess.run(
            [sys.executable, "-c", PROGRAM, str(record)],
            capture_output=True, text=True, check=True, cwd=tmp_path, env=environment,
        ).stdout  # fmt: skip
        assert told.splitlines() == here


@pytest.mark.parametrize("form", FORMATS)
def test_another_head_gives_other_bytes(form: Any, released: Subject) -> None:
    from dataclasses import replace

    from commission.job.entry import Digest
    from commission.report.kinds import HANDOVER

    other = replace(released, head=Digest("ab" * 32))

    assert render(document_of(HANDOVER, released), form) != render(
        document_of(HANDOVER, other), form
    )
