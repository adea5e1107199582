"""How much there is of a batch, and the amounts for cooking soft jam again in kitchen measures."""

from __future__ import annotations

from fractions import Fraction

from bot.engine.facts import Facts
from bot.kitchen.remake import RemakeProportions, remake

CUPS_OF_JAR = {
    "quarter-pint": Fraction(1, 2), "half-pint": Fraction(1), "twelve-ounce": Fraction(3, 2), "pint": Fraction(2),
    "quarter-litre": Fraction(250_000, 236_588), "half-litre": Fraction(500_000, 236_588),
    "pint-and-half": Fraction(3), "quart": Fraction(4),
}  # fmt: skip
PER_QUART = Fraction(4)  # cups


def cups(facts: Facts) -> Fraction | None:
    """Cups of product in the stated jars; None while the number or the size is not told."""
    belief = facts.belief("jar-count")
    sizes = facts.possible("jar-size")
    if belief is None or belief.lo is None or belief.lo != belief.hi or len(sizes) != 1 or not facts.known("jar-size"):
        return None
    each = CUPS_OF_JAR.get(next(iter(sizes)))
    return each * int(belief.lo) if each is not None else None


def remake_words(facts: Facts, kind: str, metric: bool) -> str | None:
    """Amounts to add, for the stated jars or else for a quart: "1/4 cup sugar, 1/2 cup water ... per quart"."""
    proportions = facts.knowledge.tables["remake"]
    assert isinstance(proportions, dict)
    one: RemakeProportions = proportions[kind]
    amount = cups(facts)
    made = remake(amount or PER_QUART, one)
    words = ", ".join(item.metric_text if metric else item.text for item in made.amounts)
    if amount is None:
        return f"{words} for each quart (950 mL) of jam"
    if made.lots > 1:
        return f"{words} for each of {made.lots} equal lots"
    return f"{words} for your {int(facts.belief('jar-count').lo)} jars"  # type: ignore[union-attr, arg-type]
