"""Were the minutes enough? What was done, held against the process table; never the person's word for it.

The required minutes are the largest over every jar, pack and height still possible. "Enough" when the stated minutes reach
them, "short" when they miss even the smallest; otherwise open, with the evidence that would tell.
"""

from typing import NamedTuple

from bot.engine.case import Belief
from bot.engine.facts import Facts
from bot.engine.knowledge import COMPUTED
from bot.kitchen.process_time import ProcessRow, Required, required_minutes

HIGHEST = 14_000.0  # ft: above any kitchen that writes to us, so that an unknown height counts as the highest band
ENOUGH, SHORT = frozenset({"enough"}), frozenset({"short"})
EITHER = frozenset(COMPUTED["minutes-enough"])
SIZES_OF_PUBLISHED_ROWS = frozenset(
    {"quarter-pint", "half-pint", "quarter-litre", "twelve-ounce", "pint", "half-litre", "pint-and-half", "quart"}
)


class Minutes(NamedTuple):
    """`required` is None when no row is published for what is known of the food."""

    possible: frozenset[str]
    needs: tuple[str, ...]
    required: Required | None = None


def judge(facts: Facts) -> Minutes:
    """Compare the stated minutes with the table for this food, jar, pack and height."""
    if "heat" not in facts.notes:
        facts.notes["heat"] = _judge(facts)
    found = facts.notes["heat"]
    assert isinstance(found, Minutes)
    return found


def needed(facts: Facts) -> Required | None:
    """Minutes the table asks for, over everything still possible; None when no row fits or the food is unknown."""
    products = facts.possible("product")
    if len(products) != 1 or not (facts.foods() or facts.known("product")):
        return None
    (product,) = products
    lo, hi = altitudes(facts)
    return required_minutes(
        _rows(facts),
        product,
        facts.foods(),
        _packs(facts, product),
        _sizes(facts),
        _sterile(facts),
        lo,
        hi,
    )


def _rows(facts: Facts) -> list[ProcessRow]:
    """Rows of the table whose own conditions (how tomatoes were packed, which pectin) may hold."""
    rows: tuple[ProcessRow, ...] = facts.knowledge.tables["rows"]  # type: ignore[assignment]
    return [r for r in rows if all(answers & facts.possible(name) for name, answers in r.only_if)]


def _in_doubt(facts: Facts, required: Required) -> bool:
    """Whether it may be a jar that no row is for: by what a row depends on and nobody could say, or did not say yet."""
    beliefs = {name: facts.belief(name) for row in required.rows for name, _ in row.only_if}
    if any(belief is not None and belief.cant_say for belief in beliefs.values()):
        return True
    packs = _packs(facts, next(iter(facts.possible("product"))))
    return any(packs - _packs_printed(facts, name, answer) for name in beliefs if not facts.known(name) for answer in facts.possible(name))


def _packs_printed(facts: Facts, name: str, answer: str) -> frozenset[str]:
    """Packs that have a row for this answer: tomatoes that are crushed are never packed raw."""
    return frozenset(p for row in _rows(facts) for told, answers in row.only_if if told == name and answer in answers for p in row.packs)


def _packs(facts: Facts, product: str) -> frozenset[str]:
    """Packs still possible. While nobody said, only those that the table prints for such food: jam is never packed raw."""
    packs = facts.possible("pack")
    belief = facts.belief("pack")
    if belief is not None and (belief.said or belief.cant_say):
        return packs
    mine = [r for r in _rows(facts) if product in r.products]
    named = [r for r in mine if r.foods & facts.foods()] or mine
    printed = frozenset(p for r in named for p in r.packs)
    return packs & printed or packs


def altitudes(facts: Facts) -> tuple[float, float]:
    """Lowest and highest altitude still possible, ft."""
    belief = facts.belief("altitude")
    if belief is not None and belief.certain and belief.lo is not None and belief.hi is not None:
        return belief.lo, belief.hi
    cells = facts.possible("altitude")
    answers = [facts.knowledge.evidence["altitude"].answers[c] for c in cells]
    lo = min((a.from_ or 0.0) for a in answers)
    # a cell ends below its `to`: 1,001 ft belongs to the next band
    return lo, max((a.to - 1.0 if a.to is not None else HIGHEST) for a in answers)


def _sizes(facts: Facts) -> frozenset[str]:
    """Jar sizes still possible. While nobody said, those the table has a row for: the rule on large jars asks about others."""
    if facts.known("jar-size"):
        return facts.possible("jar-size")
    mine = [r for r in _rows(facts) if r.products & facts.possible("product")]
    named = [r for r in mine if r.foods & facts.foods()] or mine
    printed = frozenset(j for r in named for j in r.jars)
    return printed & SIZES_OF_PUBLISHED_ROWS or SIZES_OF_PUBLISHED_ROWS


def _sterile(facts: Facts) -> frozenset[bool]:
    return frozenset(a == "boiled" for a in facts.possible("jars-boiled-first"))


def _judge(facts: Facts) -> Minutes:
    methods = facts.possible("process-method")
    if methods == {"low-temp"}:
        return _against(facts, facts.knowledge.tables["low_temperature_minutes"], ("process-minutes", "process-timer"))  # type: ignore[arg-type]
    if methods == {"pressure"}:
        return _under_pressure(facts)
    required = needed(facts)
    if facts.known("process-minutes") and facts.possible("process-minutes") == {"as-printed"}:
        # the gentle bath has a time of its own, which a sheet's time for the boiling bath is not
        return Minutes(EITHER, ("process-method",), required) if "low-temp" in methods else _as_printed(facts, required)
    if required is None:
        return _unlisted(facts)
    told = stated(facts)
    columns = facts.possible("time-for-height")
    sea_level_column = columns == {"sea-level"} and facts.known("altitude") and altitudes(facts)[0] > 1000
    if told is None:
        if sea_level_column:
            return Minutes(SHORT, (), required)
        return Minutes(EITHER, _first(facts, ("process-minutes", "process-timer")), required)
    lo, hi = told
    gentle: float = facts.knowledge.tables["low_temperature_minutes"]  # type: ignore[assignment]
    if "pressure" in methods or ("low-temp" in methods and lo < gentle):  # not ruled out, and each takes a time of its own
        return Minutes(EITHER, ("process-method",), required)
    if columns == {"own-height"} and not facts.known("altitude"):
        # the column for the own height was used: hold it against the lowest band, which it must at least reach
        base = _at(facts, 0.0)
        required = base if base is not None else required
    if lo >= required.hi and not required.uncovered and not _in_doubt(facts, required):
        return Minutes(ENOUGH, (), required)
    if hi < required.lo or sea_level_column:
        return Minutes(SHORT, (), required)
    telling = _telling(facts, required)
    if not telling and facts.possible("recipe-source") <= TESTED:
        return _by_the_recipe(facts, lo, required)
    return Minutes(EITHER, telling, required)


def _by_the_recipe(facts: Facts, told: float, required: Required) -> Minutes:
    """Several rows fit and nothing tells them apart: the person's own tested recipe prints one of these times."""
    if "sea-level" in facts.possible("time-for-height") and altitudes(facts)[1] > 1000:
        return Minutes(EITHER, ("altitude", "time-for-height"), required)
    belief = facts.belief("time-as-printed")
    if belief is None or not belief.certain or belief.hi is None or belief.lo != belief.hi:  # told two ways, it is no time
        return Minutes(EITHER, ("time-as-printed",), required)
    printed = {m for row in required.rows for m in row.minutes} | {m + 5.0 for row in required.rows if row.sterile_jars for m in row.minutes}
    if not required.lo <= belief.hi <= required.hi or belief.hi not in printed:
        return Minutes(EITHER, (), required)
    return Minutes(ENOUGH if told >= belief.hi else SHORT, (), required)


TESTED = frozenset({"sheet", "packet"})


def _under_pressure(facts: Facts) -> Minutes:
    """No pressure times are held here: the time that the person's own tested recipe prints is what counts."""
    if facts.known("process-minutes") and facts.possible("process-minutes") == {"as-printed"}:
        return Minutes(ENOUGH, ()) if facts.possible("recipe-source") <= {"sheet"} else Minutes(EITHER, ("recipe-source",))
    if not facts.possible("recipe-source") <= {"sheet"}:
        return Minutes(EITHER, ("recipe-source",))
    return _unlisted(facts)


def _as_printed(facts: Facts, required: Required | None) -> Minutes:
    """The time that a tested recipe prints was used, without a number: that is what was done, if it was the column of that height."""
    if not facts.possible("recipe-source") <= TESTED:
        return Minutes(EITHER, ("recipe-source",), required)
    columns = facts.possible("time-for-height")
    low = facts.known("altitude") and altitudes(facts)[1] <= 1000
    if columns == {"own-height"} or (low and not facts.known("time-for-height")):
        return Minutes(ENOUGH, (), required)
    if columns == {"sea-level"} and facts.known("altitude"):
        return Minutes(ENOUGH if low else SHORT, (), required)
    return Minutes(EITHER, ("time-for-height",) if facts.known("altitude") else ("altitude", "time-for-height"), required)


def _at(facts: Facts, feet: float) -> Required | None:
    (product,) = facts.possible("product")
    return required_minutes(
        _rows(facts),
        product, facts.foods(), _packs(facts, product), _sizes(facts), _sterile(facts), feet, feet,
    )  # fmt: skip


def stated(facts: Facts) -> tuple[float, float] | None:
    """Shortest and longest the jars can have boiled, minutes; None while not told. "About 10" is 10 only by a timer."""
    belief = facts.belief("process-minutes")
    if belief is None or not belief.certain:
        return None
    if belief.lo is None or belief.hi is None or _two_ways(facts, belief):
        if belief.possible is None:
            return None
        cells = [facts.knowledge.evidence["process-minutes"].answers[c] for c in facts.possible("process-minutes")]
        return min(c.from_ or 0.0 for c in cells), max(c.to or 1e6 for c in cells)
    if belief.approx and facts.known("process-timer") and facts.possible("process-timer") <= {"timer", "clock"}:
        middle = round((belief.lo + belief.hi) / 2)
        return float(middle), float(middle)
    return belief.lo, belief.hi


def _two_ways(facts: Facts, belief: Belief) -> bool:
    """Whether figure and words do not agree."""
    words = belief.possible or frozenset()
    return bool(words) and not words & facts.cells(facts.knowledge.evidence["process-minutes"], belief)


def _unlisted(facts: Facts) -> Minutes:
    """No row of ours fits: the time that the person's own tested recipe prints stands in for it."""
    if len(facts.possible("product")) != 1 or not (facts.foods() or facts.known("product")):
        return Minutes(EITHER, ("food", "product"))
    belief = facts.belief("time-as-printed")
    if belief is not None and belief.certain and belief.lo is not None:
        return _against(facts, float(belief.hi or belief.lo), ("process-minutes", "process-timer"))
    needs = _first(facts, ("process-minutes", "process-timer"))
    return Minutes(EITHER, (*needs, "time-as-printed"))


def _against(facts: Facts, minutes: float, needs: tuple[str, ...]) -> Minutes:
    told = stated(facts)
    if told is None:
        return Minutes(EITHER, _first(facts, needs))
    if told[0] >= minutes:
        return Minutes(ENOUGH, ())
    return Minutes(SHORT, ()) if told[1] < minutes else Minutes(EITHER, _first(facts, ("process-timer",)))


def _first(facts: Facts, names: tuple[str, ...]) -> tuple[str, ...]:
    """The minutes first; how they were timed only when they were told with "about"."""
    belief = facts.belief("process-minutes")
    if belief is None or not belief.said:
        return names[:1]
    return tuple(n for n in names if n == "process-timer") if belief.approx else names[:1]


def _telling(facts: Facts, required: Required) -> tuple[str, ...]:
    """Evidence that could move the required minutes."""
    found: list[str] = []
    belief = facts.belief("process-minutes")
    if belief is not None and belief.approx and not facts.known("process-timer"):
        found.append("process-timer")
    height = facts.belief("altitude")
    if not facts.known("altitude") and required.lo != required.hi and not (height is not None and height.cant_say):
        return (*found, "altitude")  # at most heights this settles what the jars and the pack would be asked for
    for name, size in (("jar-size", _sizes(facts)), ("pack", _packs(facts, next(iter(facts.possible("product"))))), *_told_apart(facts, required), ("jars-boiled-first", _sterile(facts))):
        if len(size) > 1 and not facts.known(name) and _moves(required, name):
            found.append(name)
    if not facts.foods():
        found.append("food")
    return tuple(found)


def _told_apart(facts: Facts, required: Required) -> list[tuple[str, frozenset[str]]]:
    names = dict.fromkeys(name for row in required.rows for name, _ in row.only_if)
    return [(name, facts.possible(name)) for name in names]


def _moves(required: Required, name: str) -> bool:
    rows: list[ProcessRow] = list(required.rows)
    if name == "jars-boiled-first":
        return any(r.sterile_jars for r in rows)
    if any(name == told for r in rows for told, _ in r.only_if):
        return len({r.only_if for r in rows}) > 1
    if name == "pack":
        return len({r.packs for r in rows}) > 1
    return len({r.jars for r in rows}) > 1 or required.uncovered
