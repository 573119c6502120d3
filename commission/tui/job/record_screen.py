"""The whole record of a job, entry by entry, as it was written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.tui.job.body_words import body_words
from commission.tui.job.lists import ListScreen
from commission.tui.job.told import entry_said, local_clock

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from commission.job.entry import Digest, Entry

_LONGEST = 600
_KEPT = (
    "What was given here is shown once the witness of this step has read it too: "
    "a reading that is known beforehand is easily read again."
)


class RecordScreen(ListScreen):
    """Every entry; below, the one in hand with its body."""

    about = "Every entry of this job's record, newest last. Nothing in it can be changed."

    def __init__(
        self, entries: Sequence[Entry], titles: Mapping[str, str], head: Digest,
        *, kept_from: str = "",
    ) -> None:  # fmt: skip
        """Show `entries`, of which `head` is the digest of the last.

        Nothing given at the step `kept_from` is shown: its witness has yet to read it too.
        """
        said = [entry_said(entry, titles, kept_from=kept_from) for entry in entries]
        super().__init__(
            f"Record · {len(entries)} entries · head {head[:16]}",
            ("entry", "time", "by", "what"),
            [
                (str(entry.seq), local_clock(entry.at), entry.by, words)
                for entry, words in zip(entries, said, strict=True)
            ],
            [
                f"{words}\n{_detail(entry, kept=entry.step == kept_from)}"
                for entry, words in zip(entries, said, strict=True)
            ],
            at_end=True,
            practice=bool(entries) and entries[0].body.get("practice") is True,
        )


def _detail(entry: Entry, *, kept: bool) -> str:
    text = _KEPT if kept else body_words(entry.body)
    if len(text) > _LONGEST:
        text = f"{text[:_LONGEST]}… (export the job to see all of it)"
    return f"{entry.at}  {entry.kind} {entry.step or ''}  prev {entry.prev[:16]}…\n{text}"
