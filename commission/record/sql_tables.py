"""Tables of entries, and of jobs with their readings and settings, and what is asked of them.

Part of `sql`. All but the entries are projections: they can be rebuilt from the entries alone.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from commission.job.entry import Digest
from commission.record.store import JobLine, ReadingRow, SettingRow

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.record.store import Change

_METADATA: Final = sa.MetaData()
ENTRY: Final = sa.Table(
    "entry",
    _METADATA,
    sa.Column("stream", sa.String, primary_key=True),
    sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("line", sa.LargeBinary, nullable=False),
    sqlite_with_rowid=False,
)


def _projection(name: str, row: type, *keys: str) -> sa.Table:
    types: dict[str, type[sa.types.TypeEngine[Any]]] = {
        "int": sa.Integer, "bool": sa.Boolean, "str": sa.String, "Digest": sa.String,
    }  # fmt: skip
    columns = (
        sa.Column(
            field.name, types[str(field.type)], primary_key=field.name in keys, nullable=False
        )
        for field in dataclasses.fields(row)
    )
    return sa.Table(name, _METADATA, *columns)


JOB: Final = _projection("job", JobLine, "job")
READING: Final = _projection("reading", ReadingRow, "stream", "seq", "part", "name")
SETTING: Final = _projection("setting", SettingRow, "stream", "setting")
sa.Index("reading_by_step", READING.c.step, READING.c.name)

ADD_ENTRY: Final = ENTRY.insert()
_ADD_JOB: Final = JOB.insert()
_ADD_READING: Final = READING.insert()
_ADD_SETTING: Final = SETTING.insert()
_SET_JOB: Final = (
    JOB.update()
    .where(JOB.c.job == sa.bindparam("key"))
    .values({one.name: sa.bindparam(one.name) for one in JOB.c if one.name != "job"})
)
_DROP_SETTING: Final = SETTING.delete().where(
    SETTING.c.stream == sa.bindparam("key"), SETTING.c.setting == sa.bindparam("which")
)
_BYTES: Final = sa.cast(ENTRY.c.line, sa.LargeBinary).label("line")
"""Bytes whatever a meddler put there: SQLite's columns take any type."""
LINES: Final = (
    sa.select(ENTRY.c.seq, _BYTES)
    .where(ENTRY.c.stream == sa.bindparam("key"), ENTRY.c.seq >= sa.bindparam("first"))
    .order_by(ENTRY.c.seq)
    .limit(sa.bindparam("page"))
)
LAST: Final = (
    sa.select(ENTRY.c.seq, _BYTES)
    .where(ENTRY.c.stream == sa.bindparam("key"))
    .order_by(ENTRY.c.seq.desc())
    .limit(1)
)


def make(connection: sa.Connection) -> None:
    """Make the tables."""
    _METADATA.create_all(connection)


def clear(connection: sa.Connection) -> None:
    """Delete the projections of all jobs; entries stay."""
    for table in (JOB, READING, SETTING):
        connection.execute(table.delete())


def apply(
    connection: sa.Connection, change: Change, values: Callable[[Any], dict[str, Any]]
) -> None:
    """Write what an append changes of a job, its readings and its settings."""
    job = values(change.job)
    if connection.execute(_SET_JOB, {**job, "key": job.pop("job")}).rowcount == 0:
        connection.execute(_ADD_JOB, values(change.job))
    if change.readings:
        connection.execute(_ADD_READING, [values(row) for row in change.readings])
    if change.settings:
        keys = [{"key": row.stream, "which": row.setting} for row in change.settings]
        connection.execute(_DROP_SETTING, keys)
        connection.execute(_ADD_SETTING, [values(row) for row in change.settings])


def job_line(row: sa.Row[Any]) -> JobLine:
    """Return a row of the jobs as a value."""
    values = row._asdict()
    return JobLine(**{**values, "head": Digest(values["head"])})
