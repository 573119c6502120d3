"""Signs in the time that entries took, and in the clocks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding, first
from commission.job.elapsed import seconds
from commission.record.clocks import to_us

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.audit.audited import AuditedJob
    from commission.job.entry import Entry

_CLOCKS: Final = Declared(
    "clock-jump",
    "Clocks that jumped",
    "The wall clock was set, or the two clocks disagreed by more than 2 s.",
    "review",
    "NIST SP 800-92, 3.1 (from memory): inconsistent clocks make records doubtful",
)
LEAST_S: Final = {
    "measure": (2.5, 0.5), "series": (1.0, 1.5), "sweep": (1.5, 0.5), "observe": (3.0, 0.0),
    "choose": (1.0, 0.0), "identify": (0.5, 1.0), "attach": (2.0, 0.0), "read_back": (0.5, 0.4),
    "write": (0.5, 0.4), "power_cycle": (0.5, 0.4),
}  # fmt: skip
"""Seconds that nobody is faster in: for a piece at all, and for each value typed in it. Common
practice, no source; the false alarms they lead to are measured (`commission audit signs`)."""
SHORT_FROM: Final = 3
_SHORT: Final = Declared(
    "short-steps",
    "Steps shorter than they can take",
    "At least 3 pieces of answers came sooner after the entry before than the least time of their "
    "kind: a reading 3 s, a run of a series 1 s and 1.5 s for each value, a point of a sweep "
    "2.5 s, an observation 3 s, a table 0.5 s and 0.4 s for each cell.",
    "review",
    "common practice, no source",
)
BURST, BURST_S = 6, 20.0
_BURST: Final = Declared(
    "burst",
    "Entries in bursts",
    "One person gave at least 6 answers that ask for looking or measuring within 20 s.",
    "review",
    "common practice in data-integrity audits, no source",
)
_LOOKING: Final = frozenset({"measure", "observe", "choose", "identify", "series", "sweep"})
WITNESS_S: Final = 4.0
_WITNESS: Final = Declared(
    "witness-delay",
    "A witness who cannot have looked",
    "A hold was confirmed less than 4 s after the answer, at least twice in a job.",
    "review",
    "common practice, no source; IAEA and NRC texts ask for independent verification (from memory)",
)
_TWICE: Final = 2
_WAITS: Final = Declared(
    "waits",
    "Waits that were kept",
    "From the start of each wait to its end there passed what the record says, by both clocks, "
    "unless it says that they jumped.",
    "major",
    "IEC 60204-1, 6.2.4: the wait for stored energy to discharge",
)
_SLACK_S: Final = 2.0


def _clocks(job: AuditedJob) -> Iterator[Finding]:
    for entry in job.entries:
        if entry.kind != "clock_jump":
            continue
        wall, machine = entry.body["wall_s"], entry.body["monotonic_s"]
        known = (
            "the machine was started anew" if machine is None else f"the machine's {machine:.0f} s"
        )
        said = f"Between two entries the wall clock says {wall:.0f} s, {known}."
        yield Finding(_CLOCKS.id, "review", job.stream, said, entry.seq, by=entry.by)


def _kind(job: AuditedJob, entry: Entry) -> str:
    if job.state is None or entry.step is None:
        return ""
    return job.state.plan.planned(entry.step).kind


def _pieces(job: AuditedJob) -> Iterator[tuple[Entry, str, float, int]]:
    """Yield each piece a person gave: entry, kind, time it took, how many values."""
    for entry, gap in zip(job.entries, job.gaps, strict=True):
        if entry.kind == "part":
            given = entry.body["given"]
            if entry.body["part"].partition(":")[2] in {"off", "on", "bus"}:
                continue
            yield entry, _kind(job, entry), gap, len(given)
        elif entry.kind == "answered" and entry.body["parts"]:
            values = sum(len(piece) for piece in entry.body["parts"].values())
            yield entry, _kind(job, entry), gap, values


def _short(job: AuditedJob) -> Iterator[Finding]:
    found: list[tuple[Entry, float, float]] = []
    for entry, kind, gap, values in _pieces(job):
        least = LEAST_S.get(kind)
        if least is not None and gap < (needs := least[0] + least[1] * values):
            found.append((entry, gap, needs))
    if len(found) >= SHORT_FROM:
        entry, gap, needs = min(found, key=lambda one: one[1] / one[2])
        said = (
            f"{len(found)} answers came too soon; the shortest took {gap:.1f} s, where at least "
            f"{needs:.1f} s were expected."
        )
        seqs = first([one.seq for one, _, _ in found])
        yield Finding(
            _SHORT.id, "review", job.stream, said, entry.seq, entry.step or "", entry.by, seqs
        )


def _burst(job: AuditedJob) -> Iterator[Finding]:
    recent: dict[str, list[tuple[float, int]]] = {}
    now, bursts, by = 0.0, 0, ""
    last: tuple[int, ...] = ()
    for entry, gap in zip(job.entries, job.gaps, strict=True):
        now += max(gap, 0.0)
        if entry.kind not in ("part", "answered") or _kind(job, entry) not in _LOOKING:
            continue
        if entry.kind == "answered" and not entry.body["parts"]:
            continue
        mine = recent.setdefault(entry.by, [])
        mine.append((now, entry.seq))
        del mine[:-BURST]
        if len(mine) == BURST and now - mine[0][0] <= BURST_S:
            bursts, by = bursts + 1, entry.by
            last = last or tuple(seq for _, seq in mine)
            mine.clear()
    if bursts:
        often = "Once" if bursts == 1 else f"{bursts} times"
        said = f"{often} {BURST} answers came within {BURST_S:.0f} s."
        yield Finding(_BURST.id, "review", job.stream, said, last[0], by=by, entries=last)


def _witness(job: AuditedJob) -> Iterator[Finding]:
    quick: list[tuple[Entry, float]] = [
        (entry, gap)
        for entry, gap in zip(job.entries, job.gaps, strict=True)
        if entry.kind == "hold_confirmed" and entry.body["agrees"] and gap < WITNESS_S
    ]
    if len(quick) >= _TWICE:
        entry, gap = min(quick, key=lambda one: one[1])
        said = f"{len(quick)} holds were confirmed at once; the quickest after {gap:.1f} s."
        seqs = first([one.seq for one, _ in quick])
        yield Finding(
            _WITNESS.id, "review", job.stream, said, entry.seq, entry.step or "", entry.by, seqs
        )


def _waits(job: AuditedJob) -> Iterator[Finding]:
    begun: dict[str, Entry] = {}
    for entry in job.entries:
        if entry.kind == "clock_jump":
            begun.clear()
        elif entry.kind == "part" and entry.body["part"] == "start":
            begun[entry.step or ""] = entry
        elif entry.kind == "answered" and (start := begun.pop(entry.step or "", None)):
            wanted = entry.body["judged"].get("seconds")
            wall = (to_us(entry.at) - to_us(start.at)) / 1e6
            passed = min(wall, seconds(start.instant, entry.instant))
            if isinstance(wanted, int | float) and passed < wanted - _SLACK_S:
                said = f"{passed:.0f} s passed; the wait was to be {wanted:.0f} s."
                yield Finding(
                    _WAITS.id, "major", job.stream, said, entry.seq, entry.step or "", entry.by
                )


CHECKS: Final = (
    Check(_WAITS, _waits),
    Check(_CLOCKS, _clocks),
    Check(_SHORT, _short),
    Check(_BURST, _burst),
    Check(_WITNESS, _witness),
)
