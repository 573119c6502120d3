"""Including a fragment's facts, settings or equipment in a procedure's own list of them.

`include: NAME` brings all of the list's kind, `only` some of them in the order given. `intended`
says what a setting is to be in this procedure: the fragment knows what a setting is, and only the
procedure what it wants of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.procedure import model
from commission.procedure.places import Entry
from commission.procedure.problems import nearest
from commission.procedure.refusals import validated

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.procedure.fragments import Inclusion

SHARED: Final = ("equipment", "facts", "settings")
"""The lists that fragments can bring."""
_WITH_INTENDED: Final = "settings"


def resolve(inclusion: Inclusion, data: dict[str, Any]) -> None:
    """Replace the includes in a procedure's facts, settings and equipment, in place."""
    for key in SHARED:
        things = data.get(key)
        if not isinstance(things, list) or not any(_is_include(thing) for thing in things):
            continue
        result: list[Any] = []
        for thing in things:
            result.extend(_brought(inclusion, key, thing) if _is_include(thing) else (thing,))
        things[:] = result
        entry = inclusion.places.entries.get(id(things))
        if entry is not None:
            # What was brought has places of its own; the list's marks no longer fit.
            inclusion.places.entries[id(things)] = entry._replace(values=[])


def _is_include(thing: object) -> bool:
    return isinstance(thing, dict) and "include" in thing


def _brought(inclusion: Inclusion, key: str, item: dict[str, Any]) -> Iterator[Any]:
    """Yield what one include stands for; what is wrong with it is told."""
    places, problems = inclusion.places, inclusion.problems
    include = validated(model.IncludeValues, item, places.under(item), problems)
    if include is None:
        return
    inclusion.count += 1
    if refusal := inclusion.refusal(include.include, ()):
        inclusion.tell(item, "include", refusal, include.include)
        return
    fragment = inclusion.read(item, include.include)
    if fragment is None:
        return
    data, head = fragment
    told = len(problems)
    filled = inclusion.filling(inclusion.values(item, include, head))
    if len(problems) > told:
        return
    known = {thing.get("id"): thing for thing in data[key] if isinstance(thing, dict)}
    _check_names(inclusion, key, item, include, known)
    for name in include.only or known:
        if name in known:
            thing = filled.fill(known[name])
            if key != _WITH_INTENDED:
                pass
            elif include.intended == "found":
                thing.setdefault("intended", f"{name}.found")
            elif name in include.intended:
                _intend(inclusion, item["intended"], name, thing)
            yield thing


def _check_names(
    inclusion: Inclusion,
    key: str,
    item: dict[str, Any],
    include: model.IncludeValues,
    known: dict[Any, Any],
) -> None:
    """Tell names that the fragment does not have, and intended values that cannot be given."""
    what = f"the fragment {include.include} has no such {key.removesuffix('s')}"
    for index, name in enumerate(include.only):
        if name not in known:
            inclusion.tell(item["only"], index, what, name, hint=nearest(name, known))
    if include.intended and key != _WITH_INTENDED:
        inclusion.tell(item, "intended", f"intended has no meaning for {key}")
    elif include.intended != "found":
        _check_intended(inclusion, item, include, known)


def _check_intended(
    inclusion: Inclusion,
    item: dict[str, Any],
    include: model.IncludeValues,
    known: dict[Any, Any],
) -> None:
    what = f"the fragment {include.include} has no such setting"
    for name in include.intended:
        if name not in known:
            inclusion.tell(item["intended"], name, what, name, hint=nearest(name, known))
        elif include.only and name not in include.only:
            hint = "Name it under only as well."
            inclusion.tell(item["intended"], name, "an intended value of what is left out", name,
                           hint=hint)  # fmt: skip
        elif "intended" in known[name]:
            inclusion.tell(item["intended"], name, "the fragment says already what it is to be",
                           name)  # fmt: skip


def _intend(
    inclusion: Inclusion, intended: dict[str, Any], name: str, setting: dict[str, Any]
) -> None:
    """Give a setting its intended value; from then on it stands where that value is written."""
    setting["intended"] = intended[name]
    entries = inclusion.places.entries
    entry = entries.get(id(intended))
    if entry is not None and name in entry.keys:
        mark, value = entry.keys[name], entry.values[name]
        entries[id(setting)] = Entry(
            entry.source, mark, setting, {"intended": mark}, {"intended": value}
        )
