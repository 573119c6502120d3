"""What a calculator still needs, alternatives told as `this or that`."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from commission.calculators.base import Calculator, Input


def lacking(
    declared: Calculator, given: Collection[str], word: Callable[[Input], str]
) -> tuple[str, ...]:
    """Return the inputs that are missing beside those given, each by its `word`."""
    said = [
        word(each)
        for each in declared.inputs
        if each.name not in given and each.default is None and not each.optional
    ]
    begun = [group for group in declared.one_of if any(name in given for name in group)]
    if declared.one_of and not begun:
        ways = (" and ".join(word(declared.input(name)) for name in group)
                for group in declared.one_of)  # fmt: skip
        said.append(" or ".join(ways))
    said += [word(declared.input(name)) for group in begun for name in group if name not in given]
    return tuple(said)
