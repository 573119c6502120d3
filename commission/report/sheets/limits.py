"""What bounds the use of the bike, by the parts that values play in the procedure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.closeness import shown
from commission.job.values import VALUE
from commission.report.document import Block, Facts, Paragraph, Points, Warn
from commission.report.sheets.as_left import last_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.procedure.model import Caution
    from commission.report.subject import Subject

ROLES: Final = {
    "declared_use": "Declared use",
    "declared_top_speed": "Declared top speed",
    "speed_limit": "Speed limit set",
    "battery_current_limit": "Battery current limit",
    "phase_current_limit": "Phase current limit",
    "regen_current_limit": "Regeneration current limit",
    "low_voltage_cutoff": "Low voltage cut-off",
    "high_voltage_cutoff": "High voltage cut-off",
    "fuse_rating": "Fuse",
    "pack_full_voltage": "Pack fully charged",
}
"""Roles that bound the use of a bike, in the order in which an owner reads them."""
IF_WRONG: Final = (
    (
        "It pulls the wrong way, pulls by itself, or goes on pulling with the brake pulled or the"
        " stand down: let go of the throttle, brake, key off. Keep clear of the driven wheel."
    ),
    (
        "Smoke, a smell of burning, a hissing or swelling pack: get away from it, warn others, call"
        " the fire service; do not open or touch the pack."
    ),
    "Do not ride it again, do not charge it, change no setting; roll or carry it with the key off.",
    "Bring it back with this sheet; say what it did, when, how warm and how charged it was.",
    "A setting that has changed by itself, after a night or a flat pack, counts as a fault, too.",
)
"""What an owner does at once; common practice, no source. It replaces no maker's instruction."""
_STRONG: Final = ("DANGER", "WARNING")


def blocks(subject: Subject) -> list[Block]:
    """Return limits, hazards and the strongest cautions that an owner has to know."""
    found = tuple(_limits(subject))
    made: list[Block] = []
    if found:
        made.append(Facts(found))
    hazards = subject.state.plan.procedure.hazards
    if hazards:
        made += [Paragraph("Hazards of this bike that stay after the work:"), Points(hazards)]
    made += [
        Warn(one.signal, one.hazard, one.consequence, one.avoidance) for one in riding(subject)
    ]  # fmt: skip
    return made


def riding(subject: Subject) -> list[Caution]:
    """Return the distinct DANGER and WARNING cautions of the last stages: riding, handing over."""
    plan = subject.state.plan
    last = {stage.id for stage in plan.procedure.stages[-2:]}
    found: dict[tuple[str, str], Caution] = {}
    for planned in plan.steps:
        if planned.stage_id in last:
            for caution in planned.step.cautions:
                if caution.signal in _STRONG:
                    found.setdefault((caution.hazard, caution.avoidance), caution)
    return list(found.values())


def _limits(subject: Subject) -> Iterator[tuple[str, str]]:
    state = subject.state
    bound = dict(state.plan.procedure.roles)
    for role, label in ROLES.items():
        name = str(bound.get(role, role))
        if name in state.plan.settings and name in state.settings:
            yield label, f"{last_of(state.settings[name]).shown} (as left)"
        elif name in state.steps and (answer := state.steps[name].answer) is not None:
            given = answer.parts.get("", {}).get(VALUE)
            if given is not None and not isinstance(given, bool):
                yield label, shown(given)
