"""How much of its liquid a jar has lost, from how far the level sank; the shapes of jars; headspace as volume.

Lengths are mm, volumes mL, shares 0 to 1. All of it holds for the straight part of a jar, below the shoulder; the neck is
narrower, so that a drop that began in it lost less than is worked out here. Glass bottoms, 5 to 8 mm thick, are no liquid. Nothing
is taken off for the sinking that cooling brings. What is lost is never rounded down.
"""

from __future__ import annotations

from fractions import Fraction
from math import pi
from typing import NamedTuple

from bot.kitchen.span import Span, checked, exactly

HALF = Fraction(1, 2)
DEEPEST_HEADSPACE_MM = 40  # a little over the 1 1/2 in (38 mm) of freezing; deeper is no longer the neck
_TALLEST_MM, _MOST_ML = 400, 20_000
_QUARTER_CIRCLE = Fraction(pi) / 4
_CUBIC_MM_PER_ML = 1000


class JarShape(NamedTuple):
    """Inner width of the straight body and of the neck, mm, and what the jar is sold as, mL (up to 20,000).

    `off` is how far either width may be from its figure, as a part of it (0 to 0.2).
    """

    id: str
    body_mm: Fraction
    neck_mm: Fraction
    holds_ml: Fraction
    off: Fraction


def liquid_lost(drop_mm: Span, column_mm: Span, pieces: Span, clear_mm: Span | None = None) -> Span:
    """Share of the liquid that is gone, 0 to 1, from how far it sank in a column of food and liquid.

    `column_mm` is the height of the column before the loss, from the inside of the bottom. `pieces` is the share of the column that
    food fills (0 to 0.9; 0 for juice or syrup alone), `clear_mm` the depth of liquid without food that stood on top of the pieces.

    Pieces spread evenly cancel out, and the share is drop / column. Pieces all below the drop do not: drop / ((1 - pieces) * column),
    twice as much when food fills half. In between, the part of the drop in the clear layer is all liquid, the rest is liquid and
    pieces: (drop - under * pieces * column / (column - clear)) / ((1 - pieces) * column), with `under` = drop - clear or 0.
    (Conservation of volume in a jar of one width.) Without `clear_mm` the result reaches from the one formula to the other; what
    counts is the upper end.

    Raises ValueError for a drop under 0 or beyond the column, a column of 0 or above 400 mm, pieces outside 0 to 0.9, and ends in the
    wrong order.
    """
    checked(column_mm, "the height of food and liquid", 1, _TALLEST_MM, "measure mm from the inside of the bottom")
    checked(drop_mm, "the drop", 0, column_mm.hi, "measure mm from where the liquid stood to where it stands")
    checked(pieces, "the share of food", 0, Fraction(9, 10), "give it as a part of one")
    clear = clear_mm or Span(Fraction(0), column_mm.hi)
    checked(clear, "the clear layer", 0, column_mm.hi, "measure mm of liquid above the food")
    least = _lost(drop_mm.lo, column_mm.hi, pieces.lo, clear.lo)
    return Span(least, _lost(min(drop_mm.hi, column_mm.lo), column_mm.lo, pieces.hi, clear.hi))


def half_is_gone(lost: Span) -> bool | None:
    """Whether half or more is gone: None when it may be either, and then it counts as half until the pieces are looked at.

    At exactly half it is (National Center for Home Food Preservation: half or more gone, refrigerate). Raises ValueError outside 0
    to 1.
    """
    checked(lost, "the share lost", 0, 1, "give it as a part of one")
    if lost.lo >= HALF:
        return True
    return False if lost.hi < HALF else None


def column_of(shape: JarShape) -> Span:
    """Height of food and liquid in a jar filled to what it is sold as, mm: volume / area of the body, over all it may be wide.

    Raises ValueError for a shape that is not one of a jar.
    """
    area = _area_mm2(_shaped(shape).body_mm, shape.off)
    volume = shape.holds_ml * _CUBIC_MM_PER_ML
    return Span(volume / area.hi, volume / area.lo)


def drop_for_half(shape: JarShape, pieces: Span) -> Span:
    """How far the liquid sinks when half of it is gone, mm: half the column, or less by the share of food below a clear layer.

    (1 - pieces) * column / 2 to column / 2: a drop under the lower end is certainly less than half. Raises ValueError as
    `liquid_lost` and `column_of`.
    """
    checked(pieces, "the share of food", 0, Fraction(9, 10), "give it as a part of one")
    column = column_of(shape)
    return Span((1 - pieces.hi) * column.lo / 2, column.hi / 2)


def lost_from_jar(drop_mm: Span, shape: JarShape, pieces: Span) -> Span:
    """`liquid_lost` for when only a drop and the jar are told ("an inch down in a quart"). A drop beyond the jar counts as all.

    Raises ValueError as `liquid_lost` and `column_of`.
    """
    column = column_of(shape)
    checked(drop_mm, "the drop", 0, _TALLEST_MM, "measure mm from where the liquid stood to where it stands")
    return liquid_lost(Span(min(drop_mm.lo, column.hi), min(drop_mm.hi, column.hi)), column, pieces)


def cooling_drop(shape: JarShape, shrinks: Fraction) -> Span:
    """How far a full jar sinks on cooling by itself, mm: column * the part by which its food shrinks (0 to 0.1, hot to cold).

    A drop within it need not be lost liquid. Raises ValueError outside the range, and as `column_of`.
    """
    checked(exactly(shrinks), "the part that food shrinks", 0, Fraction(1, 10), "give it as a part of one")
    column = column_of(shape)
    return Span(column.lo * shrinks, column.hi * shrinks)


def headspace_ml(shape: JarShape, depth_mm: Span) -> Span:
    """Room in the neck above the food, mL: area of the neck * depth, 0 to 40 mm. Raises ValueError outside, and as `column_of`."""
    checked(depth_mm, "the headspace", 0, DEEPEST_HEADSPACE_MM, "measure mm from the rim down")
    area = _area_mm2(_shaped(shape).neck_mm, shape.off)
    return Span(depth_mm.lo * area.lo / _CUBIC_MM_PER_ML, depth_mm.hi * area.hi / _CUBIC_MM_PER_ML)


def headspace_mm(shape: JarShape, room_ml: Span) -> Span:
    """Depth of a headspace that has so much room, mm: room / area of the neck. Raises ValueError when deeper than 40 mm."""
    checked(room_ml, "the room", 0, _MOST_ML, "give mL")
    area = _area_mm2(_shaped(shape).neck_mm, shape.off)
    depth = Span(room_ml.lo * _CUBIC_MM_PER_ML / area.hi, room_ml.hi * _CUBIC_MM_PER_ML / area.lo)
    return checked(depth, "the headspace", 0, DEEPEST_HEADSPACE_MM, "measure the height of food and liquid instead")


def finger_mm(count: Fraction, measure_mm: Span) -> Span:
    """Depth told in fingers, thumbs or joints, mm: count * what one of them measures (5 to 40 mm).

    People differ by a fifth, so that a finger tells no 1/4 in from 1/2 in: too full takes the lower end, too empty the upper.
    Raises ValueError for a count that is not above 0, and for a measure outside the range.
    """
    checked(measure_mm, "a finger", 5, 40, "give mm")
    if not count > 0:
        raise ValueError(f"{count} fingers are no depth: measure it with a ruler")
    return measure_mm.times(exactly(count))


def show_share_lost(lost: Span) -> str:
    """ "27 %", "27 to 54 %": whole per cent, both ends rounded up. Raises ValueError outside 0 to 1."""
    checked(lost, "the share lost", 0, 1, "give it as a part of one")
    low, high = (-(-end * 100 // 1) for end in lost)
    return f"{low} %" if low == high else f"{low} to {high} %"


def _lost(drop: Fraction, column: Fraction, pieces: Fraction, clear: Fraction) -> Fraction:
    under = drop - clear
    # No more food than all of the part below the clear layer can be there.
    beside = under * min(pieces * column / (column - clear), Fraction(1)) if under > 0 else Fraction(0)
    return min((drop - beside) / ((1 - pieces) * column), Fraction(1))


def _area_mm2(width: Fraction, off: Fraction) -> Span:
    narrow, wide = width * (1 - off), width * (1 + off)
    return Span(_QUARTER_CIRCLE * narrow * narrow, _QUARTER_CIRCLE * wide * wide)


def _shaped(shape: JarShape) -> JarShape:
    for width in (shape.body_mm, shape.neck_mm):
        checked(exactly(width), "the inner width", 20, _TALLEST_MM, "measure mm")
    checked(exactly(shape.holds_ml), "what the jar holds", 1, _MOST_ML, "give mL")
    checked(exactly(shape.off), "the doubt about the width", 0, Fraction(1, 5), "give it as a part of the width")
    return shape
