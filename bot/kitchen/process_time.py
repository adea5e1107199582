"""How many minutes in boiling water the published tables ask for, over everything that is still possible about the jars.

Nothing is interpolated and no heat is credited: a row says a time or there is none (the tables were made by heating jars, and no
formula gives them back).
"""

from collections.abc import Iterable
from math import isnan
from typing import NamedTuple

# Smallest first. A size that a table does not list takes the time of the next larger one that it lists: a half-pint that of the
# pint, a pint and a half that of the quart (USDA Complete Guide to Home Canning, Guide 1 (2015)).
JAR_SIZES = (
    *("quarter-pint", "half-pint", "quarter-litre", "twelve-ounce", "pint", "half-litre", "pint-and-half"),
    *("quart", "half-gallon", "larger"),
)
# Tops of the bands of the tables, ft: 0 to 1,000, 1,001 to 3,000, 3,001 to 6,000; the fourth has none.
BAND_TOPS = (1_000.0, 3_000.0, 6_000.0)
# Added when a row is for jars boiled empty beforehand and these were not: the printed 5 becomes the printed 10 up to 1,000 ft.
# Above that the guides do not say; the same 5 is the stricter reading (USDA Complete Guide, Guides 1 and 7 (2015)).
UNSTERILE_MINUTES = 5.0


class ProcessRow(NamedTuple):
    """One row of a published table. `minutes` are those of the four bands; no `foods` means any food of these products."""

    id: str
    products: frozenset[str]
    foods: frozenset[str]
    packs: frozenset[str]
    jars: frozenset[str]
    minutes: tuple[float, float, float, float]
    sterile_jars: bool
    source: str
    note: str = ""
    only_if: tuple[tuple[str, frozenset[str]], ...] = ()  # what else must hold: evidence and its answers


class Required(NamedTuple):
    """Fewest and most minutes that may be asked for, and the rows that ask.

    `uncovered`: something still possible (a jar, a pack, a food not yet named) has no row, so that even `hi` may not be enough.
    """

    lo: float
    hi: float
    uncovered: bool
    rows: tuple[ProcessRow, ...]


def band_of(feet: float) -> int:
    """Band 0 to 3 of a height in feet. A foot is not rounded away: 1,000.0 is band 0, anything above it band 1.

    Heights below the sea are band 0. Raises ValueError for what is not a number.
    """
    if isnan(feet):
        raise ValueError("a height that is not a number has no band")
    return sum(feet > top for top in BAND_TOPS)


def required_minutes(
    rows: Iterable[ProcessRow],
    product: str,
    foods: frozenset[str],
    packs: frozenset[str],
    jars: frozenset[str],
    sterile: frozenset[bool],
    altitude_lo: float,
    altitude_hi: float,
) -> Required | None:
    """Smallest and largest minutes over every pack, jar, sterility and height (ft, both ends included) still possible.

    Rows that name a food beat rows of the product for any food. Of several foods each brings its own rows; one that has none rests
    on the others, since whether a mixture is a tested one is not a question of minutes. While no food is named, every row of the
    product is possible.

    Gives None when no row fits anything that is possible. Raises ValueError for a jar size not in `JAR_SIZES`, for heights in the
    wrong order and for what is not a number.
    """
    if not altitude_lo <= altitude_hi:
        raise ValueError(f"heights from {altitude_lo} to {altitude_hi} ft are in the wrong order, or no numbers")
    if unknown := jars - set(JAR_SIZES):
        raise ValueError(f"unknown jar sizes: {', '.join(sorted(unknown))}; known: {', '.join(JAR_SIZES)}")
    of_product = [row for row in rows if product in row.products]
    kinds, uncovered = _by_food(of_product, foods)
    used: set[ProcessRow] = set()
    for candidates in kinds:
        for pack in packs:
            for jar in jars:
                found = _for_jar([row for row in candidates if pack in row.packs], jar)
                uncovered = uncovered or not found
                used.update(found)
    bands = range(band_of(altitude_lo), band_of(altitude_hi) + 1)
    minutes = [
        row.minutes[band] + (UNSTERILE_MINUTES if row.sterile_jars and not boiled else 0.0)
        for row in used
        for boiled in sterile
        for band in bands
    ]
    if not minutes:
        return None
    return Required(min(minutes), max(minutes), uncovered, tuple(row for row in of_product if row in used))


def _by_food(rows: list[ProcessRow], foods: frozenset[str]) -> tuple[list[list[ProcessRow]], bool]:
    """The rows of each possible food, foods without any left out; and whether the food may be one that has none."""
    generic = [row for row in rows if not row.foods]
    named = foods or frozenset().union(*(row.foods for row in rows))
    each = [[row for row in rows if food in row.foods] or generic for food in sorted(named)]
    if not foods:
        each.append(generic)
    return [candidates for candidates in each if candidates], not foods and not generic


def _for_jar(rows: list[ProcessRow], jar: str) -> list[ProcessRow]:
    """Rows that list this jar size, or else the next larger one that is listed at all."""
    for size in JAR_SIZES[JAR_SIZES.index(jar) :]:
        found = [row for row in rows if size in row.jars]
        if found:
            return found
    return []
