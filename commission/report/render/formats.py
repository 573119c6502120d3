"""From a document to the bytes of a file, by the ending of its name; and the file, once written."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, get_args

from commission.errors import RefusedError

if TYPE_CHECKING:
    from pathlib import Path

    from commission.report.document import Document

Format = Literal["html", "pdf", "csv", "json"]
Paper = Literal["a4", "letter"]
FORMATS: Final[tuple[str, ...]] = get_args(Format)
PAPERS: Final[tuple[str, ...]] = get_args(Paper)
_ALSO: Final[dict[str, Format]] = {"htm": "html"}


def format_of(path: Path) -> Format:
    """Return the format that a file's name asks for.

    Raises:
        RefusedError: it has no ending, or an unknown one.
    """
    ending = path.suffix.removeprefix(".").casefold()
    found = _ALSO.get(ending, ending)
    for one in get_args(Format):
        if one == found:
            return one  # type: ignore[no-any-return]  # get_args forgets the literal
    got = f"the ending {path.suffix[:20]!r}" if ending else "no ending"
    raise RefusedError(
        f"{path.name[:80]!r} has {got}: it says in which format the report is written.",
        f"Use .{', .'.join(FORMATS)}.",
    )


def paper_of(words: str) -> Paper:
    """Return the paper that a person names.

    Raises:
        RefusedError: it is none of `PAPERS`.
    """
    for one in get_args(Paper):
        if one == words.strip().casefold():
            return one  # type: ignore[no-any-return]  # as above
    raise RefusedError(f"There is no paper {words[:20]!r} here.", f"Use {' or '.join(PAPERS)}.")


def render(document: Document, form: Format, paper: Paper = "a4") -> bytes:
    """Return a document's bytes; the same document always gives the same."""
    if form == "html":
        from commission.report.render.html import to_html

        return to_html(document)
    if form == "pdf":
        from commission.report.render.pdf import to_pdf

        return to_pdf(document, paper)
    if form == "csv":
        from commission.report.render.table_csv import to_csv

        return to_csv(document)
    from commission.report.render.data_json import to_json

    return to_json(document)


def check_place(path: Path, *, force: bool) -> None:
    """Refuse a file that could not be written, before long work is done for it.

    Raises:
        RefusedError: the name's ending is no format, or it cannot be there.
    """
    format_of(path)
    if path.exists() and not force:
        raise RefusedError(f"{path} is there already.", "--force replaces it.")
    if not path.parent.is_dir():
        raise RefusedError(f"{path} cannot be written: there is no folder {path.parent}.")


def write(document: Document, path: Path, *, force: bool = False, paper: Paper = "a4") -> int:
    """Write a document to a file, whole or not at all; return how many bytes.

    Raises:
        RefusedError: the name's ending is no format.
        StoreError: the file is there already and `force` is false, or it cannot be written.
    """
    from commission.record.exporting import put

    data = render(document, format_of(path), paper)
    put(data, path, force=force)
    return len(data)
