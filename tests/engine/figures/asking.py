"""A message as the figures get it."""

from __future__ import annotations

from bot.engine import courtesies
from bot.engine.case import fold
from bot.engine.facts import Facts
from bot.engine.figures import FIGURES, Ask, Figure, _modules
from bot.engine.words import normalise
from tests.conversation import TUESDAY_TEN, engine


def asked(text: str, **kitchen: str) -> Ask:
    """What `text` asks of a kitchen that remembers this (`units`, `thermometer_lo` ...)."""
    reading = engine().reader.read(text, TUESDAY_TEN)
    knows = {**kitchen, **courtesies.learnt(reading, kitchen)}
    remembered = courtesies.kitchen_turn(knows)
    record = {"observations": [seen.as_dict() for seen in reading.observations]}
    case = fold([*([remembered] if remembered else []), record], engine().knowledge.evidence)
    facts = Facts(engine().knowledge, case, TUESDAY_TEN)
    return Ask(engine().knowledge, normalise(text), reading, facts, knows, knows.get("units") == "metric")


def figure(name: str, text: str) -> Figure:
    """What the figure of that name in `FIGURES` makes of a message to a kitchen that remembers nothing."""
    module, function = FIGURES[name]
    found: Figure = getattr(_modules()[module], function)(asked(text))
    return found
