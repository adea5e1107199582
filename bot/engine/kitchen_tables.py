"""Tables of salt, acid, jars and cups as typed values for the arithmetic of the kitchen, each read when it is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from bot.kitchen.acidity import AcidMinimum, Brine
from bot.kitchen.cup_weights import CupWeight
from bot.kitchen.liquid_lost import JarShape
from bot.kitchen.salt import SaltKind
from bot.kitchen.span import Span, exactly, hull
from bot.kitchen.units import convert

_TESTED_STRENGTH = exactly(5)  # %; what tested-liquids.yaml is printed for


class KitchenTables:
    """The tables behind `acidity`, `salt`, `liquid_lost` and `cup_weights`, from the plain ones (`tables["plain"]`).

    Percentages of the files become parts of one, but for strengths and minimums of acid, which are told in per cent.
    """

    def __init__(self, plain: Mapping[str, Any]) -> None:
        self._plain = plain

    def _rows(self, table: str, group: str = "rows") -> dict[str, dict[str, Any]]:
        found: dict[str, dict[str, Any]] = self._plain[table][group]
        return found

    @property
    def acid_minimums(self) -> tuple[AcidMinimum, ...]:
        """The published minimums, in the order of the file."""
        return tuple(
            AcidMinimum(id_, row["measure"], Fraction(row["least"]), row["holds_for"], ", ".join(row["sources"]))
            for id_, row in self._rows("acid-minimums").items()
        )

    @property
    def tested_brines(self) -> dict[str, Brine]:
        """Vinegar and water of each tested recipe, for the whole batch."""
        return {id_: _brine(row) for id_, row in self._rows("tested-liquids").items()}

    @property
    def tested_pints(self) -> dict[str, Span]:
        """How many pints each tested recipe fills."""
        return {id_: _span(row["pints"]) for id_, row in self._rows("tested-liquids").items()}

    @property
    def water_in_food(self) -> dict[str, Span]:
        """Share of water in each vegetable, over its kinds."""
        rows = self._rows("water-in-food").values()
        foods = {row["food"]: [each for each in rows if each["food"] == row["food"]] for row in rows}
        return {food: hull(_part(row["water"]) for row in kinds) for food, kinds in foods.items()}

    @property
    def grams_per_ml(self) -> Span:
        """Weight of a mL of packed pieces."""
        return _span(self._rows("water-in-food", "pieces")["raw"]["grams_per_ml"])

    @property
    def dissolved_ml_per_g(self) -> dict[str, Fraction]:
        """Room that a gram takes once it is dissolved."""
        return {id_: Fraction(row["ml_per_g"]) for id_, row in self._rows("water-in-food", "dissolved").items()}

    @property
    def salts(self) -> dict[str, SaltKind]:
        """Kinds of salt by id."""
        return {
            id_: SaltKind(id_, _span(row["grams_per_tsp"]), _span(row["grams_per_cup"]))
            for id_, row in self._rows("salt-weights").items()
        }

    @property
    def salt_aims(self) -> dict[str, Span]:
        """Salt of published ferments, % of the weight of the vegetables or of the water."""
        return {id_: _span(row["per_cent"]) for id_, row in self._rows("salt-aims").items()}

    @property
    def calcium_chloride(self) -> dict[str, Fraction]:
        """US teaspoons for a jar, by the sizes that are published."""
        return {size: Fraction(row["teaspoons"]) for size, row in self._rows("calcium-chloride").items()}

    @property
    def jar_shapes(self) -> dict[str, JarShape]:
        """Jars by id: those of `process_time.JAR_SIZES` with a regular mouth, and others."""
        return {id_: _shape(id_, row) for id_, row in self._rows("jar-shapes").items()}

    @property
    def shrinks(self) -> dict[str, Fraction]:
        """Part by which food shrinks on cooling."""
        return {id_: _part(row["per_cent"]).lo for id_, row in self._rows("jar-shapes", "shrinks").items()}

    @property
    def pieces(self) -> Span:
        """Share of a packed jar that pieces fill, when nobody knows."""
        return _part(self._rows("jar-shapes", "pieces")["unknown"]["per_cent"])

    @property
    def fingers(self) -> dict[str, Span]:
        """Body measures in mm."""
        return {id_: _span(row["mm"]) for id_, row in self._rows("jar-shapes", "fingers").items()}

    @property
    def cup_weights(self) -> tuple[CupWeight, ...]:
        """What a US cup of each food in each cut weighs."""
        return tuple(_cup(row) for row in self._rows("cup-weights").values())


def number(text: str) -> Fraction:
    """A figure of a table: "3 1/2", "0.62", "5". Raises ValueError for anything else, and for figures under 0."""
    try:
        parts = [Fraction(part) for part in text.split()]
    except ZeroDivisionError:
        parts = []
    if not parts or min(parts) < 0:
        raise ValueError(f"'{text}' is not a figure of a table: write 0.62, 5 or 3 1/2")
    return sum(parts, Fraction(0))


def _span(figure: str | list[str]) -> Span:
    if isinstance(figure, str):
        return exactly(number(figure))
    low, high = figure
    return Span(number(low), number(high))


def _part(figure: str | list[str]) -> Span:
    return _span(figure).times(exactly(Fraction(1, 100)))


def _brine(row: dict[str, Any]) -> Brine:
    vinegar, water = (exactly(convert(number(row[cups]), "cup", "mL")) for cups in ("acid_cups", "water_cups"))
    return Brine(vinegar, _TESTED_STRENGTH, water)


def _shape(id_: str, row: dict[str, Any]) -> JarShape:
    body, neck, holds = (Fraction(row[name]) for name in ("body_mm", "neck_mm", "holds_ml"))
    return JarShape(id_, body, neck, holds, _part(row["off"]).lo)


def _cup(row: dict[str, Any]) -> CupWeight:
    off = Fraction(row.get("within", "0")) / 100
    return CupWeight(row["food"], row["cut"], _span(row["grams_per_cup"]).times(Span(1 - off, 1 + off)))
