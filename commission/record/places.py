"""Where things are kept: the store, and beside it the attachments, keys and locks."""

from __future__ import annotations

import hashlib
import os
import platform
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from commission.errors import StoreError

_SERVERS: Final = ("postgresql", "postgres")


@dataclass(frozen=True, slots=True)
class Places:
    """The paths of one bench; none of them need exist yet."""

    store: Path
    """The store's file; of a store on a server, the name that its local files are called after."""
    server: str = ""
    """The URL of a store on a server."""

    @property
    def may_be_there(self) -> bool:
        """Whether there can be a store; of one on a server only opening it tells."""
        return bool(self.server) or self.store.exists()

    @property
    def attachments(self) -> Path:
        """The folder of attached files, named by the digest of their content."""
        return self.store.with_name(f"{self.store.name}.attachments")

    @property
    def keys(self) -> Path:
        """The folder of encrypted private keys, for its owner alone."""
        return self.store.with_name(f"{self.store.name}.keys")

    @property
    def locks(self) -> Path:
        """The folder of lock files, one per job that was ever opened."""
        return self.store.with_name(f"{self.store.name}.locks")


def places_of(location: str | os.PathLike[str] | None) -> Places:
    """Return the places for a path, a URL, or by default for this user.

    A store on a server is shared by its benches; attachments, keys and locks stay on each.

    Raises:
        StoreError: a URL of a kind that this program does not know.
    """
    if location is None:
        return Places(home() / "bench.db")
    text = os.fspath(location)
    scheme, colon, rest = text.partition("://")
    if not colon:
        return Places(Path(text).expanduser().absolute())
    if scheme == "sqlite" and rest.startswith("/") and len(rest) > 1:
        return Places(Path(rest[1:]).expanduser().absolute())
    if scheme in _SERVERS:
        # Called after server and database, not after who asks and how.
        where = rest.partition("?")[0].rpartition("@")[2]
        return Places(home() / f"server-{hashlib.sha256(where.encode()).hexdigest()[:12]}", text)
    raise StoreError(
        f"{scheme}:// is not a kind of store that can be opened.",
        "Give a path, sqlite:///path (relative), sqlite:////path (absolute),"
        " or postgresql://user@host/database.",
    )


def practice() -> Path:
    """Return the store of practice jobs, apart from the bench's own."""
    return home() / "practice.db"


def home() -> Path:
    """Return the folder of this user's bench: `$COMMISSION_HOME`, or one in `$XDG_DATA_HOME`."""
    own = os.environ.get("COMMISSION_HOME")
    if own:
        return Path(own).expanduser().absolute()
    data = os.environ.get("XDG_DATA_HOME")
    base = Path(data) if data and Path(data).is_absolute() else Path.home() / ".local" / "share"
    return base / "commission"


def bench_name() -> str:
    """Return what this bench is called in entries: `$COMMISSION_BENCH`, or the machine's name."""
    return os.environ.get("COMMISSION_BENCH") or platform.node() or "bench"
