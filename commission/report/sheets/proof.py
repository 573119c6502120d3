"""How anybody can check that a record is the one this sheet was made from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.report.document import Block, Heading, Paragraph, Points, Proof

if TYPE_CHECKING:
    from commission.job.entry import Digest
    from commission.report.subject import Subject


def blocks(subject: Subject) -> list[Block]:
    """Return the head digest and how to verify a job's record against it."""
    return of_record(subject.opened.job, len(subject.entries), subject.head, "job.jsonl")


def of_record(stream: str, entries: int, head: Digest, file: str) -> list[Block]:
    """Return the head digest of any record, and how to verify it when exported as `file`."""
    return [
        Heading("How the record can be verified"),
        Paragraph(
            "The record is a chain: each entry carries the SHA-256 of the one before. The digest"
            " below is that of its newest entry, so whoever has this sheet can tell a record that"
            " was changed, or cut short, since."
        ),
        Points(
            (
                f"Ask the workshop for the exported record: commission export {stream} -o {file}",
                f"With the program: commission verify {file} --head DIGEST",
                (
                    "Without it, the newest line's digest must be the one below:"
                    f" tail -n 1 {file} | tr -d '\\n' | sha256sum"
                    " (the README has the few lines of shell that check the whole chain, and the"
                    " signatures with openssl)."
                ),
            ),
            ordered=True,
        ),
        Proof(stream, entries, head),
    ]
