"""Tables of what stands of earlier jobs: readings to compare with, and visits. Part of `sql`.

They have metadata of their own, so that a store made before there were such tables gets them when
it is opened to write; its earlier jobs come in by `commission rebuild`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from commission.record.store import StandingRow, VisitRow

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.record.store import Change, LikeQuery

_METADATA: Final = sa.MetaData()


def _text(name: str, *, key: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String, primary_key=key, nullable=False)


_STANDING: Final = sa.Table(
    "standing",
    _METADATA,
    _text("stream", key=True),
    _text("step", key=True),
    _text("name", key=True),
    sa.Column("seq", sa.Integer, nullable=False),
    sa.Column("value", sa.Double, nullable=False),
    *(_text(name) for name in (
        "unit", "verdict", "at", "procedure", "frame", "model", "controller", "bench", "instrument",
    )),
)  # fmt: skip
_VISIT: Final = sa.Table(
    "visit", _METADATA, _text("stream", key=True),
    *(_text(name) for name in ("frame", "at", "procedure", "title")),
)  # fmt: skip
_S, _V = _STANDING.c, _VISIT.c
sa.Index("standing_by_model", _S.procedure, _S.step, _S.model, _S.at)
sa.Index("standing_by_controller", _S.procedure, _S.step, _S.controller, _S.at)
sa.Index("standing_by_frame", _S.frame, _S.procedure, _S.step)
sa.Index("standing_by_instrument", _S.instrument, _S.at)
sa.Index("visit_by_frame", _V.frame, _V.at)

_DROP_STEP: Final = _STANDING.delete().where(
    _S.stream == sa.bindparam("key"), _S.step == sa.bindparam("which")
)
_DROP_VISIT: Final = _VISIT.delete().where(_V.stream == sa.bindparam("key"))
_ADD_STANDING: Final = _STANDING.insert()
_ADD_VISIT: Final = _VISIT.insert()
_OF_STEP: Final = sa.and_(
    _S.procedure == sa.bindparam("procedure"),
    _S.step == sa.bindparam("step"),
    _S.stream != sa.bindparam("own"),
)


def _newest(*alike: sa.ColumnElement[bool]) -> sa.Select[Any]:
    return (
        sa.select(_STANDING)
        .where(_OF_STEP, *alike)
        .order_by(_S.at.desc())
        .limit(sa.bindparam("most"))
    )


# Each kind of likeness by its own index, newest first: never a scan, however many jobs there are.
_BY_MODEL: Final = _newest(_S.model == sa.bindparam("model"))
_BY_CONTROLLER: Final = _newest(_S.controller == sa.bindparam("controller"))
_BY_FRAME: Final = _newest(_S.frame == sa.bindparam("frame"))


def is_there(connection: sa.Connection) -> bool:
    """Return whether a store has these tables."""
    return sa.inspect(connection).has_table(_VISIT.name)


def make(connection: sa.Connection) -> None:
    """Make the tables that are not there."""
    _METADATA.create_all(connection)


def clear(connection: sa.Connection) -> None:
    """Take all rows out, before they are made again."""
    for table in (_STANDING, _VISIT):
        connection.execute(table.delete())


def apply(
    connection: sa.Connection, change: Change, values: Callable[[Any], dict[str, Any]]
) -> None:
    """Let the rows of a change stand in the place of those of their steps."""
    if change.standing:
        steps = {(row.stream, row.step) for row in change.standing}
        connection.execute(_DROP_STEP, [{"key": key, "which": step} for key, step in steps])
        connection.execute(_ADD_STANDING, [values(row) for row in change.standing])
    if change.visit is not None:
        connection.execute(_DROP_VISIT, {"key": change.visit.stream})
        connection.execute(_ADD_VISIT, values(change.visit))


def of_stream(
    connection: sa.Connection, stream: str
) -> tuple[tuple[StandingRow, ...], VisitRow | None]:
    """Return the rows of a stream, in the order of its entries."""
    standing = sa.select(_STANDING).where(_S.stream == stream).order_by(_S.seq, _S.name)
    visit = connection.execute(sa.select(_VISIT).where(_V.stream == stream)).one_or_none()
    return (
        tuple(StandingRow(**row._asdict()) for row in connection.execute(standing)),
        None if visit is None else VisitRow(**visit._asdict()),
    )


def like(connection: sa.Connection, query: LikeQuery) -> tuple[StandingRow, ...]:
    """Return readings of a step on like bikes and on this one; see `Store.like`."""
    wanted = {
        "procedure": query.procedure, "step": query.step, "own": query.stream, "most": query.most,
        "model": query.model, "controller": query.controller, "frame": query.frame,
    }  # fmt: skip
    found: dict[tuple[str, str], StandingRow] = {}
    for select, known in (
        (_BY_MODEL, query.model), (_BY_CONTROLLER, query.controller), (_BY_FRAME, query.frame)
    ):  # fmt: skip
        if known:
            for row in connection.execute(select, wanted):
                found[row.stream, row.name] = StandingRow(**row._asdict())
    return tuple(sorted(found.values(), key=lambda row: row.at, reverse=True))


def last_used(connection: sa.Connection, bench: str, instruments: Sequence[str]) -> str:
    """Return which of some instruments was last read with on a bench; empty for none."""
    query = (
        sa.select(_S.instrument)
        .where(_S.instrument.in_(instruments), _S.bench == bench)
        .order_by(_S.at.desc())
        .limit(1)
    )
    return str(connection.execute(query).scalar() or "")


def last_visit(connection: sa.Connection, frame: str, own: str) -> VisitRow | None:
    """Return the last finished job of a bike other than `own`."""
    query = (
        sa.select(_VISIT)
        .where(_V.frame == frame, _V.stream != own)
        .order_by(_V.at.desc(), _V.stream.desc())
        .limit(1)
    )
    row = connection.execute(query).one_or_none()
    return None if row is None else VisitRow(**row._asdict())
