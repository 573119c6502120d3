"""The words that the prose checks look for."""

from __future__ import annotations

import re
from typing import Final

_CLEAR: Final = (
    "adjust|apply|assemble|calculate|clamp|clean|compare|confirm|connect|crimp|disconnect|drain|"
    "enter|fasten|grease|insert|inspect|install|isolate|loosen|lower|measure|observe|operate|"
    "photograph|press|prove|pull|raise|reconnect|record|refit|reinstall|remove|replace|rotate|"
    "scan|select|solder|switch|tighten|torque|twist|unplug|unscrew|verify|wait|weigh|write"
)
"""Verbs that are hardly ever nouns: after `and` in a title they begin a second action."""
_DOUBTFUL: Final = (
    "attach|bolt|bring|change|charge|check|close|cover|count|cut|discharge|drive|fit|fix|hold|keep|"
    "label|leave|lift|lock|log|make|mark|mount|move|note|open|place|plug|power|push|put|read|"
    "release|reset|ride|route|run|save|screw|seal|secure|set|short|spin|start|stop|tag|take|tap|"
    "test|touch|try|turn|use|wear|wipe"
)
"""Verbs that are nouns as often: they count where an object follows."""
_OBJECT: Final = (
    r"(?:the|a|an|all|each|every|both|its?|them|your|this|that|these|those|any|no|out|off|on|up|"
    r"down|back|it)"
)
IMPERATIVE: Final = rf"(?:(?:{_CLEAR})|(?:{_DOUBTFUL})\s+{_OBJECT})\b"
_START: Final = r"(?:^|[.;:!?]\s+)(?:(?:then|now|first|next|please|always)\s+)?"
_COMMANDS: Final = (
    r"(?:do not|don't|never|make sure|be sure|ensure|take care|avoid|beware|you must|you should)\b"
)
ACTION: Final = re.compile(rf"{_START}({IMPERATIVE}|{_COMMANDS})", re.IGNORECASE)
"""An instruction, where a caution should only say what is so."""

_OPERATE: Final = (
    rf"(?:switch|turn)\s+(?:the\s+\w+\s+)?(?:on|off)|(?:start|ride|drive|charge|discharge|close|set|"
    rf"spin|short|power)\s+{_OBJECT}|press|twist|reconnect|measure|write|enter|select|"
    rf"(?:connect|plug|open)\s+{_OBJECT}|tighten|torque"
)
OPERATION: Final = re.compile(rf"(?:{_START}|,?\s+(?:and\s+)?then\s+)({_OPERATE})\b", re.IGNORECASE)
"""An instruction to operate the bike: a step of its own, not advice how to avoid harm."""

SECOND_ACTION: Final = re.compile(
    rf"(?:;|,?\s+(?:and\s+then|then|and)|,)\s+({IMPERATIVE})", re.IGNORECASE
)

VAGUE: Final = re.compile(
    r"\b(as (?:needed|necessary|required|appropriate|applicable)|if (?:necessary|needed)|"
    r"sufficient(?:ly)?|adequate(?:ly)?|approximate(?:ly)?|approx\.?|roughly|appropriate(?:ly)?|"
    r"properly|suitabl[ey]|reasonabl[ey]|slightly|a (?:little|bit)|tight enough|hand.?tight|"
    r"(?:about|around|nearly|almost) \d[\d.]*)\b",
    re.IGNORECASE,
)

UNITLESS: Final = re.compile(
    r"\b(?:at least|at most|no (?:more|less) than|(?:more|less|fewer|greater|higher|lower) than|"
    r"above|below|under|over|up to|within|between \d[\d.]* and)\s+(\d+(?:\.\d+)?)"
    r"(?=\s*(?:$|[,;!?)]|\.(?:\s|$)|\s(?:and|or|but|before|after|when|while)\b))",
    re.IGNORECASE,
)
"""A bound in words whose number has no unit behind it."""

PERSON: Final = re.compile(
    r"\b(injur(?:y|ies|e[sd]?)|burns?(?! out)|burnt? (?:skin|hands?)|shocks?|electrocut\w+|hands?|"
    r"fingers?|eyes?|face|skin|arms?|legs?|feet|foot|head|limbs?|person|people|rider|somebody|"
    r"someone|anybody|anyone|bystanders?|technician|deaths?|dies?|kill\w*|fatal|lethal|crush\w*|"
    r"bruis\w+|hurts?|thrown|maim\w*|blind\w*|hair|cloth(?:es|ing)|heart|lungs?|breath\w*|poison\w*|"
    r"toxic|trap(?:s|ped)?|scald\w*|lacerat\w*|fall(?:s|ing)?|fire|explo\w+|crash\w*)\b",
    re.IGNORECASE,
)
"""Harm to people, or harm that does not stop at equipment (a fire, a crash)."""
EQUIPMENT: Final = re.compile(
    r"\b(damag\w+|destroy\w*|ruin\w*|burns? out|strip(?:s|ped)?|controller|motor|board|connector|"
    r"fuse|capacitors?|transistors?|bearings?|threads?|gears?|wir(?:e|es|ing)|insulation|cells?|"
    r"battery|pack|sensors?|contacts?|paint|seals?|software|settings?)\b",
    re.IGNORECASE,
)
