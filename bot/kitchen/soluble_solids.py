"""What share of a batch is dissolved in it, from what went into the pot.

Masses are grams, soluble solids per cent by mass. What a food holds and what a cup of it weighs come in from the table of the
knowledge, as ranges; what comes out is a range too. All of it tells about texture and yield only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from bot.kitchen.ranges import Range, told_in

ALWAYS = "always"  # the only class of a food that does not ripen, and the only cut of one that is poured or scooped


class FoodSolids(NamedTuple):
    """One line of the table. `percent`: solids by ripeness ("%"); `grams_per_cup`: by cut, of a US cup ("g"); `lost_percent`: hulls,
    stones and cores of what is weighed whole, None when nobody printed it."""

    id: str
    percent: Mapping[str, Range]
    grams_per_cup: Mapping[str, Range]
    lost_percent: float | None
    source: str = ""


class Part(NamedTuple):
    """Something that is in the pot: its weight in g, and its soluble solids in %."""

    grams: Range
    solids: Range


def food_solids(food: FoodSolids, ripeness: frozenset[str]) -> Range:
    """Soluble solids of a food, %, over every ripeness still possible; none named means any.

    Raises ValueError for a ripeness that the table does not have for this food.
    """
    return _over(food.id, food.percent, ripeness, "solids")


def grams_of_cups(food: FoodSolids, cups: Range, cuts: frozenset[str]) -> Range:
    """What so many US cups ("cup") of a food weigh, g, over every cut still possible; none named means any.

    Raises ValueError for a cut, or a food, whose cup nobody has weighed: it has to be weighed.
    """
    told_in(cups, "cup", "the cups")
    each = _over(food.id, food.grams_per_cup, cuts, "weight of a cup")
    return Range(each.lo * cups.lo, each.hi * cups.hi, "g")


def grams_prepared(food: FoodSolids, whole: Range) -> Range:
    """What is left, g, of fruit weighed whole once hulls, stones or cores are out: refuse of the USDA food composition data.

    Raises ValueError when the table has no such figure.
    """
    if food.lost_percent is None:
        raise ValueError(f"what '{food.id}' loses to stones and peel is not known: weigh what goes into the pot")
    kept = 1 - food.lost_percent / 100
    return Range(told_in(whole, "g", "the weight").lo * kept, whole.hi * kept, "g")


def batch_grams(parts: Sequence[Part]) -> Range:
    """Weight of all that is in the pot, g. Raises ValueError for an empty pot or a part that cannot be."""
    _checked(parts)
    return Range(sum(part.grams.lo for part in parts), sum(part.grams.hi for part in parts), "g")


def dissolved_grams(parts: Sequence[Part]) -> Range:
    """Weight of the soluble solids in the pot, g, which boiling does not change: Σ grams * solids / 100 (conservation of mass).

    Raises ValueError for an empty pot or a part that cannot be.
    """
    _checked(parts)
    least = sum(part.grams.lo * part.solids.lo for part in parts) / 100
    most = sum(part.grams.hi * part.solids.hi for part in parts) / 100
    return Range(least, most, "g")


def batch_solids(parts: Sequence[Part]) -> Range:
    """Soluble solids of the batch, %, before any of it boils away: 100 * dissolved grams / all grams.

    The ends are those of the whole, not of the two weights divided: more of one part is in both of them. The least is reached with
    the weakest parts at their heaviest and the rest at their lightest, the most the other way round.

    Raises ValueError for an empty pot or a part that cannot be.
    """
    _checked(parts)
    weakest_first = sorted((part.solids.lo, part.grams) for part in parts)
    strongest_first = sorted(((part.solids.hi, part.grams) for part in parts), reverse=True)
    return Range(min(_with_first_heaviest(weakest_first)), max(_with_first_heaviest(strongest_first)), "%")


def _with_first_heaviest(parts: list[tuple[float, Range]]) -> list[float]:
    """Solids in % with the first 0, 1, 2 ... of the parts at their heaviest and the others at their lightest."""
    found = []
    for count in range(len(parts) + 1):
        masses = [grams.hi if at < count else grams.lo for at, (_, grams) in enumerate(parts)]
        if sum(masses) > 0:
            found.append(sum(mass * solids for mass, (solids, _) in zip(masses, parts, strict=True)) / sum(masses))
    return found


def _over(food: str, table: Mapping[str, Range], possible: frozenset[str], what: str) -> Range:
    names = {ALWAYS} if ALWAYS in table else possible or set(table)
    if not names or not names <= set(table):
        known = ", ".join(sorted(table)) or "none, so weigh it or leave it out"
        raise ValueError(f"no {what} of '{food}' for '{', '.join(sorted(names))}'; known: {known}")
    found = [table[name] for name in names]
    return Range(min(each.lo for each in found), max(each.hi for each in found), found[0].unit)


def _checked(parts: Sequence[Part]) -> None:
    for part in parts:
        told_in(part.grams, "g", "a part of the batch")
        told_in(part.solids, "%", "soluble solids", most=100.0)
    if not any(part.grams.hi for part in parts):
        raise ValueError("nothing is in the pot: give the weight of at least one part in g")
