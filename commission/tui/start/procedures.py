"""The procedures a job can be started with; reading them is slow, so it is done in a thread."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from commission.errors import ProcedureError

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

    File = Path | Traversable

    from commission.procedure.load import Loaded

_SHOWN_PROBLEMS: Final = 3


@dataclass(frozen=True, slots=True)
class Offered:
    """A shipped procedure."""

    slug: str
    title: str
    purpose: str
    takes: str
    """How long it takes, in words; empty where it does not say."""
    file: File


def shipped() -> tuple[Offered, ...]:
    """Return the procedures that came with this program: whole jobs first, short checks last."""
    from commission.procedure.offers import offers

    return tuple(
        Offered(each.slug, each.title, each.purpose, each.takes, each.file) for each in offers()
    )


def loaded(file: str | File) -> Loaded:
    """Return the procedure of a file, checked.

    Raises:
        ProcedureError: it has errors; says the first few, and where all are listed.
    """
    from commission.procedure.check import check
    from commission.procedure.load import load

    came_to = load(Path(file).expanduser() if isinstance(file, str) else file)
    errors = [str(problem) for problem in check(came_to) if problem.is_error]
    if errors or came_to.procedure is None:
        first = "\n".join(errors[:_SHOWN_PROBLEMS])
        more = f" ({len(errors) - _SHOWN_PROBLEMS} more)" if len(errors) > _SHOWN_PROBLEMS else ""
        raise ProcedureError(
            f"This procedure cannot be used:\n{first}{more}",
            "\n`commission check FILE` lists every problem with its place.",
        )
    return came_to
