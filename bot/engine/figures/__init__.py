"""Figures that somebody asks for straight: "what is my gel point at 1600 m". Worked out at once, no diagnosis begun.

The knowledge owns every sentence (`ways`, `missing` and `how` of an asked entry); a figure only says which of them is told and fills its
braces. Each figure is a function of one `Ask`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from types import ModuleType
from typing import NamedTuple

from bot.engine.case import Case
from bot.engine.facts import Facts
from bot.engine.knowledge import Asked, Knowledge
from bot.engine.quantities import Quantity, find_quantities
from bot.engine.reader import Reading
from bot.engine.texts import sentence
from bot.engine.words import normalise


class Ask(NamedTuple):
    """What one message asks: its words, what was heard in it, and what the kitchen remembers where it says nothing."""

    knowledge: Knowledge
    plain: str  # normalised text
    reading: Reading
    facts: Facts  # of the message and the kitchen together
    kitchen: Mapping[str, str]
    metric: bool

    @property
    def quantities(self) -> list[Quantity]:
        """Every number with its unit, in the order of the message."""
        return find_quantities(self.plain)


class Figure(NamedTuple):
    """What came out: the way it is told and what goes into its braces; or what has to be asked first."""

    way: str = ""
    values: Mapping[str, str] = {}
    missing: str = ""
    declines: bool = False  # it is no question for this figure after all


class Told(NamedTuple):
    """A figure in words. `wants` is not empty when something is asked for: then the same question goes on with the answer to it."""

    says: str
    how: str
    sources: tuple[str, ...]
    wants: str = ""


# name -> module of this package and function
FIGURES = {
    "gel-point": ("heat", "gel_point"),
    "boiling-point": ("heat", "boiling_point"),
    "process-time": ("heat", "process_time"),
    "remake": ("remaking", "remake"),
    "minutes-to-go": ("boiling_down", "minutes_to_go"),
    "solids": ("boiling_down", "solids"),
    "jars-made": ("jars_made", "jars_made"),
    "liquid-lost": ("liquid", "liquid_lost"),
    "headspace": ("liquid", "headspace"),
}
# Words without which a message with figures in it may only tell of them.
ASKS = frozenset("how what when which longer".split())
_BRACES = re.compile(r"\{(\w+)\}")


def work_out(asked: Asked, knowledge: Knowledge, text: str, reading: Reading, case: Case, kitchen: Mapping[str, str], now: datetime) -> Told | None:
    """The answer to a question for a figure; None when it declines. `case`: what the message and the kitchen tell."""
    assert asked.figure is not None
    ask = Ask(knowledge, normalise(text), reading, Facts(knowledge, case, now), kitchen, kitchen.get("units") == "metric")
    figure = _of(asked.figure)(ask)
    if figure.declines:
        return None
    if figure.missing:
        return Told(asked.missing[figure.missing], "", asked.sources, figure.missing)
    if not figure.way:
        return Told(sentence(asked.says), "", asked.sources)
    return Told(_filled(asked.ways[figure.way], figure.values), _filled(asked.how or "", figure.values), asked.sources)


def _of(name: str) -> Callable[[Ask], Figure]:
    module, function = FIGURES[name]
    found: Callable[[Ask], Figure] = getattr(_modules()[module], function)
    return found


def _modules() -> dict[str, ModuleType]:
    """The modules of this package, loaded when a figure is first asked for."""
    from bot.engine.figures import boiling_down, heat, jars_made, liquid, remaking

    return {"heat": heat, "remaking": remaking, "boiling_down": boiling_down, "jars_made": jars_made, "liquid": liquid}


def _filled(text: str, values: Mapping[str, str]) -> str:
    """The text with its braces filled. A sentence of which something is not known is left out."""
    kept = []
    for each in re.split(r"(?<=[.!?]) ", text):
        names = _BRACES.findall(each)
        if all(values.get(name) for name in names):
            kept.append(_BRACES.sub(lambda m: values[m.group(1)], each))
    return sentence(" ".join(kept))
