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
from bot.engine.kitchen_tables import KitchenTables
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
    in_a_case: bool = False  # a batch is being talked of: what is told in passing may be told of that

    @property
    def last(self) -> str:
        """The message itself; `plain` holds before it, a line each, those that it goes on with."""
        return self.plain.rpartition("\n")[2]

    @property
    def earlier(self) -> tuple[str, ...]:
        """The messages that this one goes on with, oldest first."""
        return tuple(self.plain.split("\n")[:-1])

    @property
    def tables(self) -> KitchenTables:
        """The tables of the kitchen arithmetic."""
        plain = self.knowledge.tables["plain"]
        assert isinstance(plain, dict)
        return KitchenTables(plain)

    def says(self, *concepts: str) -> bool:
        """Whether a word of these concepts stands in the message or in what it goes on with."""
        from bot.engine.figures.amounts import has_any

        return any(has_any(self.plain, self.knowledge.concepts[each]) for each in concepts)

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
    of_this_kitchen: bool = True  # False: its numbers are only to be converted, and nothing is remembered of them


NOT_ASKED = Figure(declines=True)


class Told(NamedTuple):
    """A figure in words. `wants` is not empty when something is asked for: then the same question goes on with the answer to it."""

    says: str
    how: str
    sources: tuple[str, ...]
    wants: str = ""
    of_this_kitchen: bool = True


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
    "poured-acid": ("acid", "acid_of_a_mixture"),
    "other-strength": ("strength", "other_strength"),
    "salt-percent": ("salt", "salt_percent_of"),
    "salt-amount": ("salt", "salt_wanted"),
    "salt-swap": ("salt_kinds", "salt_instead"),
    "salt-weight": ("salt_kinds", "weight_of_salt"),
    "salt-sodium": ("salt_kinds", "salt_of_sodium"),
    "firming-per-jar": ("firming", "firming_per_jar"),
    "unit": ("measures", "other_unit"),
    "cup-weight": ("cups", "weight_of_a_cup"),
    "degrees": ("degrees", "other_degrees"),
    "gas-mark": ("degrees", "gas_mark"),
    "two-ounces": ("cups", "two_ounces"),
}
# Words without which a message with figures in it may only tell of them.
ASKS = frozenset("how what when which longer".split())
_BRACES = re.compile(r"\{(\w+)\}")


def work_out(
    asked: Asked, knowledge: Knowledge, text: str, reading: Reading, case: Case, kitchen: Mapping[str, str], now: datetime, in_a_case: bool = False
) -> Told | None:
    """The answer to a question for a figure; None when it declines. `case`: what the message and the kitchen tell."""
    assert asked.figure is not None
    facts, metric = Facts(knowledge, case, now), kitchen.get("units") == "metric"
    figure = _of(asked.figure)(Ask(knowledge, normalise(text), reading, facts, kitchen, metric, in_a_case))
    if figure.declines:
        return None
    if figure.missing:
        return Told(asked.missing[figure.missing], "", asked.sources, figure.missing, figure.of_this_kitchen)
    if not figure.way:
        return Told(sentence(asked.says), "", asked.sources, "", figure.of_this_kitchen)
    says, how = (_filled(words, figure.values) for words in (asked.ways[figure.way], asked.how or ""))
    return Told(says, how, asked.sources, "", figure.of_this_kitchen)


def _of(name: str) -> Callable[[Ask], Figure]:
    module, function = FIGURES[name]
    found: Callable[[Ask], Figure] = getattr(_modules()[module], function)
    return found


def _modules() -> dict[str, ModuleType]:
    """The modules of this package, loaded when a figure is first asked for."""
    from bot.engine.figures import (
        acid,
        boiling_down,
        cups,
        degrees,
        firming,
        heat,
        jars_made,
        liquid,
        measures,
        remaking,
        salt,
        salt_kinds,
        strength,
    )

    every = (acid, boiling_down, cups, degrees, firming, heat, jars_made, liquid, measures, remaking, salt, salt_kinds, strength)
    return {each.__name__.rpartition(".")[2]: each for each in every}


def _filled(text: str, values: Mapping[str, str]) -> str:
    """The text with its braces filled. A sentence of which something is not known is left out."""
    kept = []
    for each in re.split(r"(?<=[.!?]) ", text):
        names = _BRACES.findall(each)
        if all(values.get(name) for name in names):
            kept.append(_BRACES.sub(lambda m: values[m.group(1)], each))
    return sentence(" ".join(kept))
