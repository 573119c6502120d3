"""A small workshop whose people sign, and what a clever forger with its database could do there."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.audit.audited import read_job
from commission.audit.run import checked
from commission.errors import UnsignedError
from commission.job import moves
from commission.job.entry import GENESIS
from commission.procedure import load
from commission.record import enrolling
from commission.record.bench import Bench
from commission.record.clocks import Clocks
from commission.record.enrolling import Wanted
from commission.record.line import digest_of, parse, to_line
from commission.record.signing import RegisterPlace, signed_line
from commission.record.verifying import known_register

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from pathlib import Path

    from commission.audit.finding import Finding
    from commission.job.entry import Draft, Entry
    from commission.record.keys import Signer
    from commission.record.session import Session

START_US: Final = 1_772_000_000_000_000
AS_OF: Final = "2031-01-01T00:00:00.000000Z"
ADA, BEN, CLEO = "Ada Nwosu", "Ben Ito", "Cleo Ek"
PHRASE: Final = "correct horse battery "
SHORT: Final = "4711"
PROCEDURE: Final = """
procedure: small-exchange
revision: 1
title: A small exchange
purpose: To have a bit of everything that is signed.
overdue: warn
equipment:
  - {id: meter, label: Multimeter, kind: multimeter}
settings:
  - {id: limit, label: Speed limit, type: quantity, unit: km/h, intended: "45[km/h]"}
stages:
  - id: only
    title: Only stage
    steps:
      - id: pack
        kind: measure
        title: Measure the pack voltage
        unit: V
        instrument: meter
        hold: witness
        witness: {independent: true, within: "0.5[V]"}
        limits: {min: "40[V]", max: "60[V]"}
      - id: lamp
        kind: confirm
        title: See the lamp light
        hold: witness
        witness: {alone_after: "30[min]"}
      - {id: as_found, kind: read_back, title: Read the settings, settings: all}
      - {id: set, kind: write, title: Set the speed limit, settings: all}
      - {id: proved, kind: power_cycle, title: Switch off and on, cycle: key, off_for: "60[s]"}
      - id: fuse
        kind: measure
        title: Measure the fuse voltage
        unit: V
        limits: {max: "1[V]"}
        on_fail: {then: concession, concession_by: lead}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""


@dataclass
class Shop:
    """A bench with clocks that are moved by hand, its people, and their open keys."""

    path: Path
    text: str = PROCEDURE
    us: int = START_US
    ns: int = 5_000_000_000
    bench: Bench = field(init=False)
    opened: dict[str, Signer] = field(default_factory=dict)
    """Keys by their public part: to open one takes a tenth of a second."""

    def __post_init__(self) -> None:
        """Open the bench."""
        clocks = Clocks(lambda: self.us, lambda: self.ns, "boot-a")
        self.bench = Bench.open(self.path / "bench.db", "bench-1", clocks=clocks)
        self.bench.sitting.idle_s = 1e9

    def wait(self, seconds: float) -> None:
        """Let both clocks go on."""
        self.us += round(seconds * 1e6)
        self.ns += round(seconds * 1e9)

    def hire(self, name: str, *roles: str) -> None:
        """Enter somebody into the register."""
        self.wait(60)
        lead = self.key(ADA) if self.bench.book.register.has_people else None
        enrolling.add(self.bench, Wanted.of(name, roles), PHRASE + name, lead)

    def key(self, name: str) -> Signer:
        """Return a person's key, open."""
        person = self.bench.book.register.find(name)
        assert person is not None
        key = self.bench.book.register.keys[person.keys[-1]]
        if key.public not in self.opened:
            phrase = PHRASE + person.name
            self.opened[key.public] = self.bench.keys.open(person.id, key.public, phrase)
        return self.opened[key.public]

    def enter(self, make: Callable[..., Draft], *given: Any, **more: Any) -> None:
        """Enter a change into the register, signed by Ada."""
        self.wait(60)
        key = self.key(ADA)
        self.bench.book.enter(lambda now: (make(now, *given, by=key.person, **more),), key)

    def start(self, people: Mapping[str, tuple[str, ...]], text: str = PROCEDURE) -> Work:
        """Open a job; the first one named does it."""
        self.wait(60)
        loaded = load.loads(text)
        assert loaded.procedure is not None, loaded.problems
        by = next(iter(people))
        return Work(self, self.bench.start(loaded, {"frame": "FR-1"}, people, by), by)

    @property
    def place(self) -> RegisterPlace:
        """The newest entry of the register."""
        place = self.bench.book.place
        return RegisterPlace(place.entry, place.head)

    def found(self, lines: list[bytes]) -> list[Finding]:
        """Return what an audit finds in a job's lines."""
        known = known_register(self.bench.store)
        return list(checked(read_job(lines, parse(lines[0]).stream, known, AS_OF, thorough=True)))

    def said(self, lines: list[bytes]) -> list[tuple[str, str, str]]:
        """Return check, severity and text of what an audit finds."""
        return [(one.check, one.severity, one.text) for one in self.found(lines)]


@dataclass
class Work:
    """One job being worked on."""

    shop: Shop
    session: Session
    by: str
    witness: str = BEN
    lead: str = CLEO

    @property
    def lines(self) -> list[bytes]:
        """The job's lines."""
        return list(self.session.lines())

    def record(self, make: Callable[[], Iterable[Draft]]) -> None:
        """Record, signed where a signature is asked for."""
        self.shop.wait(30)
        try:
            self.session.record(make())
        except UnsignedError as needed:
            sitting = self.session.sitting
            if sitting.way(needed.person) == "short":
                sitting.confirm(needed.person, SHORT)
            else:
                sitting.unlock(needed.person, PHRASE + needed.name, SHORT)
            self.session.record(make())

    def submit(self, step: str, by: str = "", meter: Any = None, **given: str) -> None:
        """Answer what is asked at a step."""
        session, who = self.session, by or self.by
        self.record(lambda: moves.submit(session.state, step, given, who, session.now(), meter))

    def confirm(self, step: str, by: str = "", meter: Any = None, **given: str) -> None:
        """Confirm a hold."""
        session, who = self.session, by or self.witness
        self.record(lambda: (moves.confirm_hold(
            session.state, step, who, now=session.now(), given=given or None, instrument=meter,
        ),))  # fmt: skip

    def meter(self) -> Any:
        """Return the multimeter as the register knows it now."""
        now = self.session.now().at
        return next(iter(self.session.workshop.instruments("multimeter", now)), None)

    def to_the_write(self) -> None:
        """Do the first steps."""
        self.submit("pack", meter=self.meter(), value="54.0")
        self.confirm("pack", meter=self.meter(), value="54.1")
        self.submit("lamp", value="done")
        if self.witness == self.by:
            self.shop.wait(1800)
        self.confirm("lamp")
        self.submit("as_found", limit="25")
        self.submit("set", limit="45")

    def to_the_end(self, fuse: str = "2.0") -> None:
        """Do the last steps; a voltage over the fuse above 1 V is conceded."""
        self.submit("proved", value="done")
        self.shop.wait(60)
        self.submit("proved", value="done")
        self.submit("proved", limit="45")
        self.submit("fuse", value=fuse)
        session = self.session
        if float(fuse) > 1:
            self.record(lambda: [moves.concede(
                session.state, "fuse", self.lead, scope="this bike", expiry="2031-06-01",
                reason="spare is ordered", now=session.now())])  # fmt: skip
        self.submit("release", self.lead, value="done")
        assert session.state.outcome == "released"

    def do_all(self) -> list[bytes]:
        """Do the job; return its lines."""
        self.to_the_write()
        self.to_the_end()
        return self.lines


CREW: Final[Mapping[str, tuple[str, ...]]] = {
    ADA: ("technician",), BEN: ("witness",), CLEO: ("lead",)
}  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A workshop in which nobody is registered yet."""
    made = Shop(tmp_path)
    with made.bench:
        yield made


@pytest.fixture(scope="session")
def founded(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """A workshop with its people, founded once: keys take their time."""
    made = Shop(tmp_path_factory.mktemp("founded"))
    made.hire(ADA, "lead", "technician")
    made.hire(BEN, "witness")
    made.hire(CLEO, "lead", "witness")
    for name in CREW:
        made.key(name)
    made.bench.close()
    return made


@pytest.fixture
def staffed(founded: Shop, tmp_path: Path) -> Iterator[Shop]:
    """One with Ada, who leads and works, Ben, who witnesses, and Cleo, who leads."""
    shutil.copytree(founded.path, tmp_path / "copy")
    made = Shop(tmp_path / "copy", us=founded.us, ns=founded.ns, opened=dict(founded.opened))
    with made.bench:
        yield made


@pytest.fixture
def crew() -> Mapping[str, tuple[str, ...]]:
    """Who takes part as what."""
    return CREW


class Forger:
    """Who has the database, and the own key, and can chain entries anew."""

    def __init__(self, shop: Shop, lines: list[bytes], *keys: str) -> None:
        self.entries: list[Entry] = [parse(line) for line in lines]
        self._lines = lines
        self._keys = {shop.key(name).person: shop.key(name) for name in keys}

    def where(self, kind: str, step: str | None = None, part: str | None = None) -> int:
        """Return the place of the first entry of a kind, of a step, of a part of it."""
        return next(
            place for place, one in enumerate(self.entries)
            if one.kind == kind and step in (None, one.step)
            and part in (None, one.body.get("part"))
        )  # fmt: skip

    def change(self, place: int, **fields: Any) -> Forger:
        """Put other fields into an entry."""
        self.entries[place] = replace(self.entries[place], **fields)
        return self

    def change_body(self, place: int, **fields: Any) -> Forger:
        """Put other fields into an entry's body, where the old ones stand."""
        return self.change(place, body={**self.entries[place].body, **fields})

    @staticmethod
    def joined(draft: Draft, before: Entry) -> Entry:
        """Return a draft as an entry at the moment of the one before."""
        return replace(
            before, kind=draft.kind, by=draft.by, step=draft.step, attempt=draft.attempt,
            body=draft.body,
        )  # fmt: skip

    def lines(self) -> list[bytes]:
        """Return the record numbered and chained anew; what the own keys signed, signed anew."""
        made: list[bytes] = []
        for seq, entry in enumerate(self.entries, 1):
            prev = digest_of(made[-1]) if made else GENESIS
            placed = replace(entry, seq=seq, prev=prev)
            signature = entry.body.get("signature")
            key = self._keys.get(signature["signer"]) if signature else None
            if signature is None or key is None:
                made.append(to_line(placed))
                continue
            place = RegisterPlace(signature["register"], signature["register_head"])
            made.append(signed_line(placed, signature["meaning"], key, place))
        return made


@pytest.fixture
def forge(staffed: Shop) -> Callable[..., Forger]:
    """Give a forger of a record, with the keys of those named."""

    def give(lines: list[bytes], *keys: str) -> Forger:
        return Forger(staffed, lines, *keys)

    return give
