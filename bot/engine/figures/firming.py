"""Calcium chloride for each jar of the size that is told."""

from __future__ import annotations

from fractions import Fraction

from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.amounts import below_nothing
from bot.engine.figures.story import tells_of_jars
from bot.kitchen.salt import calcium_chloride
from bot.kitchen.units import convert, mixed

_MOST_JARS = 10_000


def firming_per_jar(ask: Ask) -> Figure:
    """Calcium chloride for each jar, and for all of them; a size without a published amount gets none."""
    if tells_of_jars(ask):
        return NOT_ASKED
    if not ask.facts.known("jar-size"):
        return Figure(missing="jar-size") if _jars(ask) else NOT_ASKED
    (size,), published = ask.facts.possible("jar-size"), ask.tables.calcium_chloride
    if size not in published:
        return Figure("size-not-published", {"jar": ask.knowledge.evidence["jar-size"].answers[size].says})
    jars = _jars(ask) or _jars_by_unit(ask, size)
    if below_nothing(ask.last) or jars > _MOST_JARS:
        return Figure("no-such-amounts")
    each = calcium_chloride(size, max(jars, 1), published)
    values = {"each": each.measure, "ml": f"{float(each.millilitres):g} mL", "jar": size, "jars": str(jars)}
    return Figure("each", {**values, "all": f"{mixed(each.all_jars)} tsp" if jars > 1 else ""})


def _jars(ask: Ask) -> int:
    """How many jars are told; 0 where none are."""
    told = [q.lo for q in ask.quantities if q.kind == "count" and q.lo == q.hi and Fraction(q.lo).denominator == 1]
    return int(told[0]) if told else 0


def _jars_by_unit(ask: Ask, size: str) -> int:
    """ "7 pints": so many jars of that size; 0 where no whole number of them is told."""
    told = [q.lo for q in ask.quantities if q.kind == "volume" and q.unit == size and q.lo == q.hi]
    jars = [convert(Fraction(each), "mL", size) for each in told]
    return int(jars[0]) if len(jars) == 1 and jars[0].denominator == 1 else 0
