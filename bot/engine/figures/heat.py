"""Where water boils in a kitchen, its gel point, and the minutes in the bath."""

from __future__ import annotations

from bot.engine.case import Belief
from bot.engine.facts import UNSAFE_IN_A_BATH, Facts
from bot.engine.figures import Ask, Figure
from bot.engine.gel import HIGHEST_BOIL, LOWEST_BOIL
from bot.engine.heat import HIGHEST, altitudes, needed
from bot.engine.naming import food_and_product
from bot.kitchen.boiling import boiling_point_f, gel_point_f, gel_target_on_thermometer, thermometer_offset
from bot.kitchen.process_time import ProcessRow
from bot.kitchen.thermometer import offset_class
from bot.kitchen.units import difference_f_to_c, show_altitude, show_temperature

FEW_FEET = 500.0  # a height known to this is one height: half a degree of boiling point


def gel_point(ask: Ask) -> Figure:
    """On the person's own thermometer where they tell what it shows in boiling water, else by the height."""
    shown, feet = _degrees_told(ask.facts, "boiling-water-reading"), _height(ask.facts)
    if shown is None:
        return Figure(missing="altitude") if feet is None else Figure("by-height", _of_height(feet, ask))
    values = {"reading": _degrees(shown, ask), "target": _degrees(gel_target_on_thermometer(shown), ask)}
    if not LOWEST_BOIL <= shown <= HIGHEST_BOIL or (feet is not None and offset_class(shown, feet) == "impossible"):
        return Figure("no-boiling-water", values)
    if feet is None:
        return Figure("by-thermometer", values)
    off = thermometer_offset(shown, feet)
    values |= {"off": _difference(abs(off), ask), "side": "high" if off > 0 else "low", "altitude": show_altitude(feet, ask.metric)}
    return Figure({"accurate": "by-thermometer", "questioned": "thermometer-questioned"}.get(offset_class(shown, feet), "thermometer-off"), values)


def boiling_point(ask: Ask) -> Figure:
    """Where water boils at a height."""
    feet = _height(ask.facts)
    return Figure(missing="altitude") if feet is None else Figure("by-height", _of_height(feet, ask))


def process_time(ask: Ask) -> Figure:
    """Minutes in boiling water for what is told of food, pack, jar and height; what is missing is asked for only where it matters."""
    if not (ask.facts.foods() or ask.facts.known("product")):
        return Figure(missing="food")
    facts = _with_product(ask.facts)
    if len(facts.possible("product")) != 1:
        return Figure(missing="product")
    values = {"food": food_and_product(facts), "jar": _says(facts, "jar-size"), "pack": _says(facts, "pack")}
    if facts.possible("acidity") <= UNSAFE_IN_A_BATH:
        return Figure("no-bath", values)
    required = needed(facts)
    if required is None or (required.uncovered and facts.known("jar-size")):
        return Figure("not-published", values)
    if required.lo != required.hi or required.uncovered:
        for name in TELLING:
            if not facts.known(name) and _would_tell(facts, name):
                return Figure(missing=name)
    low, high = altitudes(facts)
    values["minutes"] = f"{required.hi:g}"
    values["altitude"] = show_altitude(high, ask.metric)
    return Figure("above-the-bands" if low > TOP_OF_ROWS else "minutes", values)


TELLING = ("altitude", "jar-size", "pack", "packed-in", "jars-boiled-first")
TOP_OF_ROWS = 10_000.0  # ft: the last column of the tables is "above 6,000 ft", and nothing was tested much above this


def _with_product(facts: Facts) -> Facts:
    """Peaches of which nobody said what they are put up as: the one product that the tables print with such a pack and jar."""
    rows: tuple[ProcessRow, ...] = facts.knowledge.tables["rows"]  # type: ignore[assignment]
    packs, jars = facts.possible("pack"), facts.possible("jar-size")
    fitting = [row for row in rows if row.foods & facts.foods() and row.packs & packs and (row.jars & jars or not facts.known("jar-size"))]
    printed = frozenset(p for row in fitting for p in row.products)
    if len(facts.possible("product")) == 1 or len(printed) != 1:
        return facts
    beliefs = {**facts.case.beliefs, ("product", ""): Belief(possible=printed)}
    return Facts(facts.knowledge, facts.case._replace(beliefs=beliefs), facts.now)


def _would_tell(facts: Facts, name: str) -> bool:
    """Whether an answer to this would change the minutes that are told: the most that any row asks for."""
    entry, before = facts.knowledge.evidence[name], needed(facts)
    for answer in entry.answers.values():
        told = Belief(lo=answer.from_ or 0.0, hi=(answer.to or HIGHEST) - 1.0) if entry.kind == "altitude" else Belief(possible=frozenset({answer.id}))
        after = needed(Facts(facts.knowledge, facts.case._replace(beliefs={**facts.case.beliefs, (name, ""): told}), facts.now))
        if after is not None and before is not None and after.hi != before.hi:
            return True
    return False


def _height(facts: Facts) -> float | None:
    belief = facts.belief("altitude")
    if belief is None or not belief.certain or belief.lo is None or belief.hi is None:
        return None
    return (belief.lo + belief.hi) / 2 if belief.hi - belief.lo <= FEW_FEET else None


def _of_height(feet: float, ask: Ask) -> dict[str, str]:
    return {
        "altitude": show_altitude(feet, ask.metric),
        "water_boils": _degrees(boiling_point_f(feet), ask),
        "gel_point": _degrees(gel_point_f(feet), ask),
    }


def _degrees_told(facts: Facts, name: str) -> float | None:
    belief = facts.belief(name)
    return belief.lo if belief is not None and belief.certain and belief.lo == belief.hi else None


def _degrees(f: float, ask: Ask) -> str:
    return show_temperature(f, ask.metric)


def _difference(f: float, ask: Ask) -> str:
    us, si = f"{f:.0f} °F", f"{difference_f_to_c(f):.0f} °C"
    return f"{si} ({us})" if ask.metric else f"{us} ({si})"


def _says(facts: Facts, name: str) -> str:
    """How an answer that was told is spoken of; empty while it is not."""
    possible = facts.possible(name)
    return facts.knowledge.evidence[name].answers[next(iter(possible))].says if facts.known(name) and len(possible) == 1 else ""
