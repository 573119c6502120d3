"""The values that a job's state gives to names in expressions, looked up when asked for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Final

from commission.job.closeness import value_of
from commission.procedure.expression import UnknownValueError, Value, with_choices

if TYPE_CHECKING:
    from commission.job.state import JobState
    from commission.job.working import Working

VALUE: Final = "value"
"""The name of the given where a step has one."""
_OF_SETTINGS: Final = ("found", "intended", "written", "left")


def values(state: JobState | Working) -> Mapping[str, Value]:
    """Return the values by dotted name, in SI; a lookup raises `UnknownValueError` for none yet.

    A failed answer's value counts, and so does that of a step due again: it is the last one known.
    A setting without an intended value is meant to stay as found.
    """
    return Values(state)


class Values(Mapping[str, Value]):
    """A view of a state, not a copy; see `values`."""

    __slots__ = ("_resolving", "_state")

    def __init__(self, state: JobState | Working) -> None:
        """Look into `state`."""
        self._state = state
        self._resolving: set[str] = set()

    def __getitem__(self, name: str) -> Value:
        root, _, rest = name.partition(".")
        if root in self._state.plan.settings:
            return self._of_setting(name, root, rest)
        return self._of_step(name, root, rest)

    def get(self, name: str, default: Value | None = None) -> Value | None:  # type: ignore[override]
        """Return the value, or `default` where there is none yet."""
        try:
            return self[name]
        except UnknownValueError:
            return default

    def __contains__(self, name: object) -> bool:
        return isinstance(name, str) and self.get(name) is not None

    def __iter__(self) -> Iterator[str]:
        for step, stands in self._state.steps.items():
            if stands.answer is None:
                continue
            names = [*stands.answer.parts.get("", ()), *stands.answer.judged.get("values", ())]
            for name in [step, *(f"{step}.{name}" for name in names)]:
                if name in self:
                    yield name
        for setting in self._state.plan.settings:
            yield from (
                f"{setting}.{which}" for which in _OF_SETTINGS if f"{setting}.{which}" in self
            )

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def _of_step(self, name: str, step: str, rest: str) -> Value:
        stands = self._state.steps.get(step)
        answer = None if stands is None else stands.answer
        if answer is None:
            raise UnknownValueError(name)
        known = answer.judged.get("values", {})
        if rest in known:
            value = known[rest]
            if value is None:
                raise UnknownValueError(name)
            return tuple(value) if isinstance(value, list) else value
        given = answer.parts.get("", {}).get(rest or VALUE)
        if given is None:
            raise UnknownValueError(name)
        is_table = type(given) is dict or isinstance(given, Mapping)
        if is_table and "typed" not in given:
            raise UnknownValueError(name)
        return value_of(given)

    def _of_setting(self, name: str, setting: str, which: str) -> Value:
        stands = self._state.settings.get(setting)
        if which == "intended":
            declared = self._state.plan.settings[setting]
            if declared.intended is not None:
                return self._intended(name, setting)
            which = "found"
        held = None
        if stands is not None and which == "found":
            held = stands.found
        elif stands is not None and which == "written":
            held = stands.written
        elif stands is not None and which == "left" and stands.left:
            held = stands.left[-1]
        if held is None:
            raise UnknownValueError(name)
        return value_of(held.given)

    def _intended(self, name: str, setting: str) -> Value:
        """Evaluate, with an end: a setting that is intended to be what itself is has no value."""
        if name in self._resolving:
            raise UnknownValueError(name)
        declared = self._state.plan.settings[setting]
        self._resolving.add(name)
        try:
            return with_choices(declared.intended or 0, declared.choices).evaluate(self)
        finally:
            self._resolving.discard(name)
