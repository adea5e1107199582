"""Which jar a message speaks of: its size as the questions name it, what it holds, and its shape where that is known."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from bot.engine.batch import CUPS_OF_JAR
from bot.engine.figures import Ask
from bot.engine.figures.said import Place, concept, places
from bot.engine.kitchen_tables import KitchenTables
from bot.engine.part_counts import CONTAINERS
from bot.kitchen.liquid_lost import JarShape
from bot.kitchen.units import convert

LEAST_ML, MOST_ML = 20.0, 4_000.0
_ML = re.compile(
    r"(\d+(?:[.,]\d+)?)[ -]?(ml|millilit(?:re|er)s?|cl|dl|l|lit(?:re|er)s?)[ -](?:\w+ )?("
    + "|".join(sorted(CONTAINERS))
    + r")\b"
)
_SIZES = {"m": 1.0, "c": 10.0, "d": 100.0, "l": 1000.0}


class JarTold(NamedTuple):
    """`size`: an answer of the question about the jars. `says`: how such jars are spoken of, several of them."""

    size: str
    says: str
    ml: float


def jar_told(ask: Ask, taken: tuple[tuple[int, int], ...] = ()) -> JarTold | None:
    """The last jar that is named, for "and for quarts?" takes the place of what was asked before. `taken`: amounts of something else."""
    exact = list(_ML.finditer(ask.plain))
    named = [each for each in _sizes(ask) if not any(each.start < end and start < each.end for start, end in taken)]
    if exact and (not named or exact[-1].end() >= named[-1].end):
        ml = float(exact[-1].group(1).replace(",", ".")) * _SIZES[exact[-1].group(2)[0]]
        return JarTold(named[-1].name if named else "", f"{ml:g} mL jars", ml)
    if not named:
        return None
    return jar_of(ask, named[-1].name)


def jar_of(ask: Ask, size: str) -> JarTold:
    """A jar by the answer that names it; `ml` is 0 when it stands for more than one size."""
    says = ask.knowledge.evidence["jar-size"].answers[size].says
    if size in CUPS_OF_JAR:
        return JarTold(size, says, float(convert(CUPS_OF_JAR[size], "cup", "mL")))
    shapes = _shapes(ask, size)
    if not shapes:
        return JarTold(size, says, 0.0)
    ml = float(shapes[0].holds_ml)
    return JarTold(size, f"{ml:g} mL jars", ml)


def shapes_told(ask: Ask, size: str) -> list[JarShape]:
    """Every jar of a size, or only those with a wide mouth, or a regular one, where that is said."""
    plain: Any = ask.knowledge.tables["plain"]
    rows = plain["jar-shapes"]["rows"]
    mouths = {mouth for mouth in ("wide", "regular") if concept(ask.knowledge, f"{mouth}-mouth", ask.plain)}
    return [shape for shape in _shapes(ask, size) if not mouths or rows[shape.id]["mouth"] in mouths] or _shapes(
        ask, size
    )


def by_mouth(ask: Ask, shapes: list[JarShape]) -> dict[str, JarShape]:
    """Each of these jars by its mouth, "regular" or "wide"."""
    plain: Any = ask.knowledge.tables["plain"]
    return {plain["jar-shapes"]["rows"][shape.id]["mouth"]: shape for shape in shapes}


def tables(ask: Ask) -> KitchenTables:
    """The tables behind jars, salt and acid."""
    plain: Any = ask.knowledge.tables["plain"]
    return KitchenTables(plain)


def _shapes(ask: Ask, size: str) -> list[JarShape]:
    plain: Any = ask.knowledge.tables["plain"]
    rows = plain["jar-shapes"]["rows"]
    return [shape for id_, shape in tables(ask).jar_shapes.items() if rows[id_]["size"] == size]


def _sizes(ask: Ask) -> list[Place]:
    answers = ask.knowledge.evidence["jar-size"].answers
    return places(ask.plain, {id_: [phrase.text for phrase in answer.heard_as] for id_, answer in answers.items()})
