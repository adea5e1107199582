"""How much of its liquid a jar has lost, from how far the level sank; and the room under a lid as a volume."""

from __future__ import annotations

from fractions import Fraction

from bot.engine.facts import UNSAFE_IN_A_BATH
from bot.engine.figures import ASKS, Ask, Figure
from bot.engine.figures.jars_told import JarTold, by_mouth, jar_told, shapes_told, tables
from bot.engine.figures.said import concept, gap
from bot.engine.figures.shown import volume
from bot.engine.level import MM_PER_IN, millimetres, pieces_in
from bot.kitchen.liquid_lost import (
    DEEPEST_HEADSPACE_MM,
    HALF,
    JarShape,
    column_of,
    cooling_drop,
    headspace_ml,
    headspace_mm,
    lost_from_jar,
    show_share_lost,
)
from bot.kitchen.ranges import Range
from bot.kitchen.span import NOTHING, Span, hull
from bot.kitchen.units import show_length_in


def liquid_lost(ask: Ask) -> Figure:
    """The share of the liquid that is gone, told both for pieces through the whole jar and for pieces that lie below the drop."""
    other = concept(ask.knowledge, "level-not", ask.plain)  # "1 inch headspace": no drop
    drops = [
        each for each in ask.quantities if each.kind == "length" and not any(gap(place, each) <= 1 for place in other)
    ]
    if not drops or _is_a_story(ask):
        return Figure(declines=True)
    jar = jar_told(ask)
    if jar is None:
        return Figure(missing="jar-size")
    shapes = shapes_told(ask, jar.size) if jar.size else []
    if not shapes:
        return Figure("no-shape", {"jars": jar.says})
    return _lost(millimetres(drops[-1]), shapes, jar, ask)


def _is_a_story(ask: Ask) -> bool:
    """A report in which nothing is asked, or one of how it was heated, or of food that no boiling water makes safe: for the diagnosis."""
    told = {o.evidence for o in ask.reading.observations} - {"liquid-lost", "jar-size", "stage"}
    if any(ask.knowledge.evidence[name].safety for name in told - {"food", "product"}):
        return True
    if ask.facts.foods() and ask.facts.possible("acidity") & UNSAFE_IN_A_BATH:
        return True
    return bool(told) and not (ASKS & set(ask.plain.replace("?", " how ").split()))


def _lost(drop: Span, shapes: list[JarShape], jar: JarTold, ask: Ask) -> Figure:
    columns = hull(column_of(shape) for shape in shapes)
    values = {"jars": jar.says, "column": _length(columns, ask)}
    if drop.lo > columns.hi:
        return Figure("deeper-than-the-jar", values)
    if drop.lo <= 0:
        return Figure("nothing-lost", values)
    shrinks = hull(cooling_drop(shape, max(tables(ask).shrinks.values())) for shape in shapes)
    if drop.hi <= shrinks.lo:
        return Figure("cooling", values | {"shrinks": _length(shrinks, ask)})
    pieces = pieces_in(ask.facts, tables(ask))
    spread, sunk = (hull(lost_from_jar(drop, shape, share) for shape in shapes) for share in (NOTHING, pieces))
    values |= {
        "spread": show_share_lost(spread),
        "sunk": show_share_lost(sunk),
        "most": show_share_lost(Span(sunk.hi, sunk.hi)),
    }
    if spread.hi >= HALF:
        return Figure("half", values)
    return Figure("under-half" if sunk.hi < HALF else "by-the-pieces", values)


def headspace(ask: Ask) -> Figure:
    """Room under the lid for a depth, or the depth for a room."""
    depths = [each for each in ask.quantities if each.kind == "length"]
    rooms = [each for each in ask.quantities if each.kind == "volume"]
    jar = jar_told(ask, tuple((each.start, each.end) for each in rooms[:1]) if not depths else ())
    if not depths and not rooms:
        return Figure(missing="depth")
    if jar is None:
        return Figure(missing="jar-size")
    shapes = shapes_told(ask, jar.size) if jar.size else []
    if not shapes:
        return Figure("no-shape", {"jars": jar.says})
    values = {"jars": jar.says}
    if depths:
        depth = millimetres(depths[-1])
        if not 0 < depth.lo <= depth.hi <= DEEPEST_HEADSPACE_MM:
            return Figure("too-deep", values)
        values["depth"] = show_length_in(depth.hi / MM_PER_IN, ask.metric)
        rooms_of = {
            mouth: volume(_ml(headspace_ml(shape, depth)), ask.metric) for mouth, shape in by_mouth(ask, shapes).items()
        }
        return (
            Figure("room-both", values | rooms_of)
            if len(rooms_of) > 1
            else Figure("room", values | {"room": next(iter(rooms_of.values()))})
        )
    return _depth(Span(Fraction(rooms[0].lo), Fraction(rooms[0].hi)), shapes, values, ask)


def _depth(room: Span, shapes: list[JarShape], values: dict[str, str], ask: Ask) -> Figure:
    try:
        depth = hull(headspace_mm(shape, room) for shape in shapes)
    except ValueError:  # deeper than any neck
        return Figure("too-deep", values)
    return Figure("depth", values | {"room": volume(_ml(room), ask.metric), "depth": _length(depth, ask)})


def _ml(room: Span) -> Range:
    return Range(float(room.lo), float(room.hi), "mL")


def _length(span: Span, ask: Ask) -> str:
    """ "6 to 7 mm (1/4 in)": each unit with one end where both are shown alike."""
    inches = [show_length_in(end / MM_PER_IN, False).partition(" in")[0] for end in span]
    us, si = (" to ".join(dict.fromkeys(ends)) for ends in (inches, [str(round(end)) for end in span]))
    return f"{si} mm ({us} in)" if ask.metric else f"{us} in ({si} mm)"
