"""Salt by weight: the per cent of a brine or of salted vegetables, one kind of salt for another, calcium chloride for a jar.

Weights are g. Salt is counted in three ways that people all call per cent: of the weight of the water or vegetables, of the whole
weight (w/w), and as grams in 100 mL of finished brine (w/v). Spoons depend on the kind of salt, weights do not, so that every
figure goes through grams. In a ferment salt decides which bacteria grow, and the lower end of a span is the one that counts; in
vinegar pickles it is flavour and texture (USDA Complete Guide to Home Canning, Guide 1 (2015)).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import NamedTuple

from bot.kitchen.span import Span, checked, hull
from bot.kitchen.units import FACTORS, TSP_PER_CUP, WATER_G_PER_ML, convert, kitchen_measure

SATURATED = Fraction("26.5")  # % of the whole weight, the most that water takes up (USDA Farmers' Bulletin 1438)
SALT_PER_SODIUM = Fraction("58.443") / Fraction("22.990")  # weights of NaCl and Na
_MOST_G = 1_000_000
# Weight of a mL of brine at 20 °C, in 0.0001 g, by % of the whole weight (physico-chemical tables of sodium chloride solutions).
# Straight lines between are within 0.0005 g; the last one is drawn on to saturation.
_BRINE_WEIGHS = {0: 9982, 1: 10053, 2: 10122, 4: 10268, 6: 10413, 8: 10559, 10: 10707, 12: 10857, 20: 11478, 26: 11972}


class SaltKind(NamedTuple):
    """One kind of salt: what a level US teaspoon and a US cup of it weigh, g. A kind that varies has wide spans."""

    id: str
    grams_per_tsp: Span
    grams_per_cup: Span


class SaltPercent(NamedTuple):
    """The same salt counted in two ways: per cent of the water (or vegetables), and of both together (w/w)."""

    of_other: Span
    of_whole: Span


class SpokenPercent(NamedTuple):
    """What a spoken per cent of a brine comes to as % of the whole weight, by what it was meant of."""

    of_water: Fraction
    of_volume: Fraction
    of_whole: Fraction


class Swap(NamedTuple):
    """As much of another salt: grams, US teaspoons, and the teaspoons as spoons and cups ("3 3/4 tsp to 2 tbsp + 1/2 tsp")."""

    grams: Span
    teaspoons: Span
    measure: str


class PerJar(NamedTuple):
    """What goes into each jar: US teaspoons, mL to a tenth, and as spoons; and teaspoons for all jars together."""

    teaspoons: Fraction
    millilitres: Fraction
    measure: str
    all_jars: Fraction


def salt_percent(salt_g: Span, other_g: Span) -> SaltPercent:
    """Per cent of salt in a brine or on vegetables: 100 * salt / other, and 100 * salt / (salt + other).

    `other_g` is the water of a brine, the cabbage of a kraut, or water and vegetables together for what a crock evens out to.

    Raises ValueError for weights under 0 or above 1,000 kg, for ends in the wrong order, and when `other_g` may be 0.
    """
    _weight(salt_g, "the weight of salt")
    other = _other(other_g)
    low, high = salt_g.lo / other.hi, salt_g.hi / other.lo
    return SaltPercent(Span(100 * low, 100 * high), Span(100 * low / (1 + low), 100 * high / (1 + high)))


def water_grams(millilitres: Span) -> Span:
    """Weight of water of 20 °C (68 °F), g: 0.998 g a mL. Raises ValueError for volumes under 0 or above 1,000 L."""
    checked(millilitres, "the volume of water", 0, _MOST_G, "give mL")
    return Span(millilitres.lo * WATER_G_PER_ML, millilitres.hi * WATER_G_PER_ML)


def per_volume(of_whole: Span) -> Span:
    """% of the whole weight (w/w) as grams in 100 mL of finished brine (w/v): w/w * density. Range 0 to 26.5 %, else ValueError."""
    checked(of_whole, "the per cent of salt", 0, SATURATED, "water takes up no more: weigh salt and water again")
    return Span(of_whole.lo * _g_per_ml(of_whole.lo), of_whole.hi * _g_per_ml(of_whole.hi))


def spoken_percent(per_cent: Fraction) -> SpokenPercent:
    """What "a 5 % brine" may be, as % of the whole weight: 4.76 if of the water, 4.84 if grams in 100 mL, 5.00 if of the whole.

    Of the water: 100 p / (100 + p). Of the volume: the w with w * density(w) = p, to a millionth. Range 0 to 26.5 %, else
    ValueError. They are 0.2 apart at 5 % and 0.9 at 10 %: ask which is meant, or take the first, which has the least salt.
    """
    checked(Span(per_cent, per_cent), "the per cent said", 0, SATURATED, "give the figure as it was said")
    by_volume = per_cent
    for _ in range(40):  # density changes by under 1 % for each per cent of salt, so this closes in quickly
        by_volume = (per_cent / _g_per_ml(by_volume)).limit_denominator(1_000_000)
    return SpokenPercent(100 * per_cent / (100 + per_cent), by_volume, per_cent)


def salt_for(per_cent: Span, other_g: Span, of_whole: bool = False) -> Span:
    """Grams of salt for a wanted per cent of the water or vegetables, or of the whole weight (`of_whole`).

    p * other / 100, and p * other / (100 - p). Range 0 to 26.5 %; raises ValueError outside it, and as `salt_percent`.
    """
    checked(per_cent, "the per cent wanted", 0, SATURATED, "give the per cent of salt that the recipe names")
    low, high = (p / (100 - p) if of_whole else p / 100 for p in per_cent)
    other = _other(other_g)
    return Span(low * other.lo, high * other.hi)


def grams_of_salt(amount: Span, unit: str, kinds: Iterable[SaltKind]) -> Span:
    """Weight of an amount of salt, g, over every kind it may be.

    `unit` is any mass or volume of `units.FACTORS`. Cups and larger are filled by the cup, everything smaller by the spoon.

    Raises ValueError for another unit, for amounts under 0 or beyond 1,000 kg or L, and when no kind is left.
    """
    if unit in FACTORS["mass"]:
        return _weight(_converted(amount, unit, "g"), "the weight of salt")
    if unit not in FACTORS["volume"]:
        raise ValueError(f"'{unit}' measures no salt: give a weight, or spoons and cups")
    teaspoons = _converted(amount, unit, "tsp")
    checked(teaspoons, "the amount of salt", 0, _MOST_G, "give spoons or cups")
    by_cup = convert(Fraction(1), unit, "tsp") >= TSP_PER_CUP
    return hull(teaspoons.times(_grams_per_tsp(kind, by_cup)) for kind in kinds)


def teaspoons_of_salt(grams: Span, kind: SaltKind) -> Span:
    """US teaspoons that hold a weight of salt of this kind. Raises ValueError for weights under 0 or above 1,000 kg."""
    _weight(grams, "the weight of salt")
    return Span(grams.lo / kind.grams_per_tsp.hi, grams.hi / kind.grams_per_tsp.lo)


def swap_salt(amount: Span, unit: str, called_for: SaltKind, used: SaltKind) -> Swap:
    """As much of another salt as the recipe calls for, by weight: 1 tbsp of a fine salt (18 g) is 3 3/4 to 6 1/2 tsp of flakes.

    The spoons are only as good as what a spoon of that kind weighs: flakes are to be weighed. Errors as `grams_of_salt`, and for no
    salt at all.
    """
    grams = grams_of_salt(amount, unit, (called_for,))
    if grams.lo <= 0:
        raise ValueError("no salt has nothing to stand in for it: give the amount of the recipe")
    teaspoons = teaspoons_of_salt(grams, used)
    low, high = (kitchen_measure(end) for end in teaspoons)
    return Swap(grams, teaspoons, low if low == high else f"{low} to {high}")


def spoon_for_spoon(per_cent: Span, called_for: SaltKind, used: SaltKind) -> Span:
    """What a per cent of vegetables or water becomes when another salt was measured by the same spoon.

    per cent * (g per teaspoon of the one used) / (g per teaspoon of the one called for). Raises ValueError under 0 and above 100 %.
    """
    checked(per_cent, "the per cent of the recipe", 0, 100, "give the per cent of salt")
    low = used.grams_per_tsp.lo / called_for.grams_per_tsp.hi
    return per_cent.times(Span(low, used.grams_per_tsp.hi / called_for.grams_per_tsp.lo))


def salt_from_sodium(sodium: Span) -> Span:
    """Salt that holds so much sodium, in the same unit: * 2.542. Raises ValueError under 0 and above a million."""
    _weight(sodium, "the weight of sodium")
    return Span(sodium.lo * SALT_PER_SODIUM, sodium.hi * SALT_PER_SODIUM)


def calcium_chloride(size: str, jars: int, published: Mapping[str, Fraction]) -> PerJar:
    """Calcium chloride for jars of one size; `published` gives US teaspoons by jar size.

    It is measured into each jar, not into the brine. A size that is not published is not worked out from another.

    Raises ValueError for such a size, and for less than one jar.
    """
    if size not in published:
        raise ValueError(f"no amount is published for '{size}': known are {', '.join(sorted(published))}")
    if jars < 1:
        raise ValueError(f"{jars} jars need none: give how many are filled")
    each = published[size]
    millilitres = Fraction(round(convert(each, "tsp", "mL") * 10), 10)
    return PerJar(each, millilitres, kitchen_measure(each), each * jars)


def _g_per_ml(of_whole: Fraction) -> Fraction:
    printed = sorted(_BRINE_WEIGHS)
    high = next((p for p in printed[1:] if of_whole <= p), printed[-1])
    low = printed[printed.index(high) - 1]
    light, heavy = _BRINE_WEIGHS[low], _BRINE_WEIGHS[high]
    return (light + (heavy - light) * (of_whole - low) / (high - low)) / 10_000


def _grams_per_tsp(kind: SaltKind, by_cup: bool) -> Span:
    if not by_cup:
        return kind.grams_per_tsp
    return Span(kind.grams_per_cup.lo / TSP_PER_CUP, kind.grams_per_cup.hi / TSP_PER_CUP)


def _converted(amount: Span, unit: str, to: str) -> Span:
    return Span(convert(amount.lo, unit, to), convert(amount.hi, unit, to))


def _weight(grams: Span, what: str) -> Span:
    return checked(grams, what, 0, _MOST_G, "give g")


def _other(grams: Span) -> Span:
    checked(grams, "the weight of water or food", 0, _MOST_G, "give g")
    if grams.lo <= 0:
        raise ValueError("salt in nothing has no per cent: weigh the water, or the food that was salted")
    return grams
