"""How much acid a brine holds, and what a jar comes to once the vegetables have given up their water.

A check, not a licence: no outcome rests on any figure here. They can show that there is less acid than a publication asks for;
that there is as much shows nothing, because acid per cent is not pH (vegetables take acid up), says nothing of the middle of a
piece and nothing of the heat. No pH is worked out, ever. A figure that is not known is given as wide as it may be.

Volumes are mL, weights g. Strength is grams of acetic acid in 100 mL, which is what the per cent of a label mean (US Food and Drug
Administration, Compliance Policy Guide 525.825). Every result is exact; what is shown of it is rounded down, never toward more
acid.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import floor
from typing import NamedTuple

from bot.kitchen.span import NOTHING, Span, checked, exactly, hull, stands
from bot.kitchen.units import WATER_G_PER_ML

STRONGEST = 30  # % of a label; above it is a chemical, not a food
MEASURES = ("strength", "share", "jar")
_MOST_ML, _MOST_G = 1_000_000, 1_000_000


class Brine(NamedTuple):
    """What is poured on: mL of vinegar, its strength (0 to 30 %), mL of water.

    Water is everything thin that goes in beside: undrained salting water, thawed ice, a rinse. Strength not known: 0 to 30.
    """

    vinegar_ml: Span
    strength: Span
    water_ml: Span


class Pack(NamedTuple):
    """The vegetables: g, the share of water in them (0 to 1), and how much a mL of them weighs (0.5 to 1.5 g)."""

    grams: Span
    water: Span
    grams_per_ml: Span


class AcidMinimum(NamedTuple):
    """A published least: `measure` is "strength" (of the vinegar), "share" (of vinegar in vinegar and water) or "jar", all in %."""

    id: str
    measure: str
    least: Fraction
    holds_for: str
    source: str


class Against(NamedTuple):
    """A figure held against a least: "below" and "reached" when certain, otherwise "open". "Reached" makes nothing safe."""

    minimum: AcidMinimum
    found: Span
    stands: str


def acid_grams(brine: Brine) -> Span:
    """Grams of acetic acid in a brine: mL * strength / 100.

    Raises ValueError for a strength outside 0 to 30 %, for volumes under 0 or above 1,000 L, for ends in the wrong order, and for
    no liquid at all.
    """
    return _sound(brine).vinegar_ml.times(brine.strength).times(exactly(Fraction(1, 100)))


def vinegar_share(brine: Brine) -> Span:
    """The part of vinegar in vinegar and water, % by volume, whatever its strength. Errors as `acid_grams`."""
    vinegar, _, water = _sound(brine)
    return Span(100 * _part(vinegar.lo, water.hi), 100 * _part(vinegar.hi, water.lo))


def brine_strength(brine: Brine, also_ml: Span = NOTHING) -> Span:
    """Strength of the poured liquid, %: 100 * acid / (vinegar + water + also).

    `also_ml` is the room that sugar takes once dissolved, 0.62 mL a gram: leaving it out would claim too much acid. Errors as
    `acid_grams`, and for `also_ml` under 0.
    """
    return _spread(brine, _room(also_ml))


def batch_acidity(brine: Brine, pack: Pack, also_ml: Span = NOTHING) -> Span:
    """What a batch comes to when all of its brine stays with all of its vegetables, %.

    100 * acid / (vinegar + water + vegetable g * share of water / 0.998 + also): acid neither comes nor goes, and spreads through
    the water of the vegetables too (conservation of mass). `also_ml` as in `brine_strength`. It holds when all is evened out, for
    whole cucumbers after weeks, and is the most there can be: what the vegetables bind and what boils off is not taken away. When
    brine was left over the jars hold less: `jar_acidity`.

    Errors as `acid_grams`; also for a share of water outside 0 to 1 and for vegetables under 0 or above 1,000 kg.
    """
    return _spread(brine, _watery_ml(_packed(pack)).plus(_room(also_ml)))


def jar_acidity(filled_ml: Span, pack: Pack, strength: Span) -> Span:
    """What one jar comes to, %: only the brine that fits between the vegetables goes in, so a tight pack has less acid.

    Brine mL = filled mL - vegetable g / (g per mL); then as `batch_acidity`, with the strength of the poured liquid, its sugar
    counted (`brine_strength`). `filled_ml` is the jar up to the headspace. Where the heaviest pack leaves no room for brine the lower end is 0.

    Raises ValueError when even the lightest pack does not fit, and for figures outside their ranges (see `Brine` and `Pack`).
    """
    checked(filled_ml, "the volume filled", 0, _MOST_ML, "give the mL up to the headspace")
    _strength(strength)
    grams, water, weighs = _packed(pack)
    least, most = filled_ml.lo - grams.hi / weighs.lo, filled_ml.hi - grams.lo / weighs.hi
    if most <= 0:
        raise ValueError(
            f"{float(grams.lo):g} g leave no room in {float(filled_ml.hi):g} mL: give what went into one jar"
        )
    weak = strength.lo * _part(max(least, Fraction(0)), grams.hi * water.hi / WATER_G_PER_ML)
    return Span(weak, strength.hi * _part(most, grams.lo * water.lo / WATER_G_PER_ML))


def acid_per_jar(brine: Brine, jars: Span) -> Span:
    """Most grams of acid a jar can hold if all brine went into so many jars, 1 to 10,000. Errors as `acid_grams`."""
    count = checked(jars, "the number of jars", 1, 10_000, "give how many were filled")
    acid = acid_grams(brine)
    return Span(acid.lo / count.hi, acid.hi / count.lo)


def against_minimums(minimums: Iterable[AcidMinimum], brine: Brine, jar: Span | None = None) -> tuple[Against, ...]:
    """Each published least, with what this brine has; `jar` is what `jar_acidity` or `batch_acidity` gave.

    Without `jar` the minimums for a jar are open. The half-and-half rule for recipes that nobody tested is no floor for tested ones:
    those are held against themselves, by `against_recipe`.

    Raises ValueError for a measure not in `MEASURES`; other errors as `acid_grams`.
    """
    found = {
        "strength": brine.strength,
        "share": vinegar_share(brine),
        "jar": jar or Span(Fraction(0), Fraction(STRONGEST)),
    }
    return tuple(_held(each, found) for each in minimums)


def against_recipe(brine: Brine, recipe: Brine) -> str:
    """The poured liquid against that of the tested recipe it follows: "below" (less acid in a mL), "reached" or "open".

    No tolerance: 2.98 cups is less than 3. A recipe that is itself known only roughly counts with its strongest reading. More
    sugar, more vegetables in the jar, or bigger pieces are not seen by this; a vinegar too weak for any shelf is failed by
    `against_minimums`, even where less water makes up for it. Errors as `brine_strength`.
    """
    return stands(brine_strength(brine), brine_strength(recipe).hi)


def acid_against(strength: Span, called_for: Fraction = Fraction(5)) -> Span:
    """Acid of a vinegar as a part of that of the vinegar called for, volume for volume: 4 % for 5 % is 4/5, a fifth less.

    The poured liquid and the jar are weaker by the same part, since nothing else changes.

    Raises ValueError for a strength outside 0 to 30 % and for a called-for strength that is not above 0.
    """
    _strength(strength)
    _above_nothing(called_for)
    return Span(strength.lo / called_for, strength.hi / called_for)


def volume_for_same_acid(strength: Span, called_for: Fraction = Fraction(5)) -> Fraction:
    """How many times the volume of a weaker vinegar holds the acid of the one called for, at the weak end: 1 1/4 at 4 %.

    On paper only: so much more liquid makes another recipe, and no publication allows it for jars on a shelf.

    Raises ValueError for a strength that may be 0 or is outside 0 to 30 %, and for a called-for strength that is not above 0.
    """
    _strength(strength)
    _above_nothing(called_for)
    if strength.lo <= 0:
        raise ValueError("a strength that may be 0 % has no such volume: read the per cent acid on the label")
    return called_for / strength.lo


def water_to_thin(strength: Span, wanted: Fraction = Fraction(5)) -> Fraction:
    """Most mL of water for each mL of a stronger vinegar, so that at least the wanted strength is left: strength / wanted - 1.

    Taken at the weak end, so that water is never too much. Raises ValueError for a vinegar that may be weaker than wanted.
    """
    _strength(strength)
    _above_nothing(wanted)
    if strength.lo < wanted:
        raise ValueError(
            f"{float(strength.lo):g} % is under {float(wanted):g} % already: water only weakens it, use a stronger one"
        )
    return strength.lo / wanted - 1


def water_share(foods: Iterable[str], shares: Mapping[str, Span]) -> Span:
    """Share of water over everything the vegetables may be. A food that is not listed may be anything up to water itself.

    Raises ValueError when no food is named: an unknown one is named too, by any id that is not in the table.
    """
    known = [shares.get(food) for food in foods]
    if not known:
        raise ValueError("no food is named: name what it may be, or anything that the table does not list")
    lowest = min((each.lo for each in shares.values()), default=Fraction(0))
    return hull(each or Span(lowest, Fraction(1)) for each in known)


def show_acid(per_cent: Span) -> str:
    """ "1.9 %", "1.2 to 1.5 %": both ends cut to a tenth, never rounded toward more acid. Raises ValueError outside 0 to 100."""
    checked(per_cent, "a strength", 0, 100, "give it in per cent")
    low, high = (f"{floor(end * 10) / 10:g}" for end in per_cent)
    return f"{low} %" if low == high else f"{low} to {high} %"


def _room(also_ml: Span) -> Span:
    return checked(also_ml, "what dissolves", 0, _MOST_ML, "give the mL that it adds")


def _spread(brine: Brine, more_ml: Span) -> Span:
    """The acid of a brine through itself and so many mL more, %."""
    vinegar, strength, water = _sound(brine)
    thin = water.plus(more_ml)
    return Span(strength.lo * _part(vinegar.lo, thin.hi), strength.hi * _part(vinegar.hi, thin.lo))


def _part(one: Fraction, other: Fraction) -> Fraction:
    return one / (one + other) if one else Fraction(0)


def _watery_ml(pack: Pack) -> Span:
    return Span(pack.grams.lo * pack.water.lo / WATER_G_PER_ML, pack.grams.hi * pack.water.hi / WATER_G_PER_ML)


def _held(minimum: AcidMinimum, found: Mapping[str, Span]) -> Against:
    if minimum.measure not in found:
        raise ValueError(f"'{minimum.measure}' is not a measure of acid: use one of {', '.join(MEASURES)}")
    figure = found[minimum.measure]
    return Against(minimum, figure, stands(figure, minimum.least))


def _sound(brine: Brine) -> Brine:
    checked(brine.vinegar_ml, "the volume poured", 0, _MOST_ML, "give mL")
    checked(brine.water_ml, "the volume of water", 0, _MOST_ML, "give mL")
    _strength(brine.strength)
    if brine.vinegar_ml.hi + brine.water_ml.hi <= 0:
        raise ValueError("there is no liquid: give the mL that were poured")
    return brine


def _strength(strength: Span) -> None:
    checked(strength, "the strength", 0, STRONGEST, "give the per cent acid of the label, or all it may be")


def _above_nothing(wanted: Fraction) -> None:
    if not wanted > 0:
        raise ValueError(f"a strength of {float(wanted):g} % asks for nothing: give the one that the recipe calls for")


def _packed(pack: Pack) -> Pack:
    checked(pack.grams, "the weight packed", 0, _MOST_G, "give g")
    checked(pack.water, "a share of water", 0, 1, "give it as a part of one")
    checked(pack.grams_per_ml, "the weight of a mL", Fraction(1, 2), Fraction(3, 2), "give g")
    return pack
