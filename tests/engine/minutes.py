"""Were the minutes enough? What can be told of them, for each set of rows of the process table, and where doubt makes them enough."""

from __future__ import annotations

from functools import cache
from itertools import product

from bot.engine.knowledge import Knowledge
from bot.kitchen.process_time import JAR_SIZES, UNSTERILE_MINUTES, ProcessRow
from tests.engine.finding import Finding
from tests.engine.tellings import Combination, answer, described, facts_of, knowledge, not_sure, number

OnlyIf = tuple[tuple[str, frozenset[str]], ...]
Printed = frozenset[tuple[frozenset[str], frozenset[str], tuple[float, ...], bool, OnlyIf]]  # packs, jars, minutes, for sterile jars
HEIGHTS = (0.0, 2_000.0, 5_000.0, 8_000.0)  # one in each band
UNLISTED = (10.0, 20.0)  # minutes that a recipe may print for what no table lists


@cache
def printed_times() -> dict[Printed, tuple[str, str]]:
    """Product and food that stand for each set of rows of the process table that some food is held against."""
    found: dict[Printed, tuple[str, str]] = {}
    for kind, food in product(knowledge().evidence["product"].answers, knowledge().foods):
        rows = [row for row in table_rows() if kind in row.products]
        own = [row for row in rows if food in row.foods] or [row for row in rows if not row.foods]
        found.setdefault(frozenset((row.packs, row.jars, row.minutes, row.sterile_jars, row.only_if) for row in own), (kind, food))
    shapes = {_shape(rows): rows for rows in found}
    return {rows: found[rows] for rows in shapes.values()}


def _shape(rows: Printed) -> Printed:
    """Rows with their minutes as places in the order of all of them: which are more decides, not by how many minutes."""
    printed = sorted({each for _, _, minutes, _, _ in rows for each in minutes})
    if any(sterile for _, _, _, sterile, _ in rows):  # 5 minutes may be added to these
        return rows
    return frozenset((packs, jars, tuple(map(printed.index, minutes)), False, only_if) for packs, jars, minutes, _, only_if in rows)


def table_rows() -> tuple[ProcessRow, ...]:
    return knowledge().tables["rows"]  # type: ignore[return-value]


def minutes_tellings(rows: Printed) -> list[list[Combination]]:
    """What can be told beside product and food, each with "not sure" last."""
    extra = {UNSTERILE_MINUTES * sterile for _, _, _, sterile, _ in rows} | {0.0}
    needed = sorted({each + more for _, _, minutes, _, _ in rows for each in minutes for more in extra} or UNLISTED)
    told: list[Combination] = [(number("process-minutes", each),) for each in (needed[0] - 1, *needed)]
    told += [(number("process-minutes", needed[0], needed[-1]),), (not_sure("process-minutes"),)]
    by_recipe = left_to_the_recipe(rows)  # then where it is from is told beside everything
    about = number("process-minutes", needed[-1] - 2, needed[-1] + 2, approx=True)
    timed = (answer("process-timer", "timer"), answer("process-timer", "guess"), not_sure("process-timer"))
    recipes = (answer("recipe-source", "sheet"), answer("recipe-source", "family"), not_sure("recipe-source"))
    told += [] if by_recipe else [(about, each) for each in timed]  # how minutes were timed is told with the other rows
    told += [(answer("process-minutes", "as-printed"), *each) for each in ([()] if by_recipe else [(each,) for each in recipes])]
    printed: list[Combination] = [(number("time-as-printed", each),) for each in (needed[0], needed[-1])]
    printed.append((not_sure("time-as-printed"),))
    if not rows:
        return [told, printed]
    bands = {(n > 0, *(minutes[n] for _, _, minutes, _, _ in rows)): feet for n, feet in enumerate(HEIGHTS)}
    heights = [*(number("altitude", feet) for feet in bands.values()), number("altitude", 500.0, 4_000.0)]
    found: list[list[Combination]] = [told, [*((each,) for each in heights), (not_sure("altitude"),)]]
    found += [[*((answer(name, each),) for each in ids), (not_sure(name),)] for name, ids in _choices(rows).items()]
    return [*found, printed, [(recipes[0],), (recipes[-1],)]] if by_recipe else found


def _choices(rows: Printed) -> dict[str, list[str]]:
    """Answers that make a difference to these rows."""
    sizes = {tuple(_column(rows, pack, size) for pack in ("hot", "raw")): size for size in JAR_SIZES}
    found: dict[str, list[str]] = {
        "time-for-height": ["own-height", "sea-level"], "jar-size": list(sizes.values()), "pack": ["hot", "raw"],
        "jars-boiled-first": ["boiled", "hot-only"] if any(sterile for _, _, _, sterile, _ in rows) else [],
    }  # fmt: skip
    for name in sorted({name for *_, only_if in rows for name, _ in only_if}):
        lets = [(each, frozenset(row for row in rows if each in dict(row[-1]).get(name, (each,)))) for each in knowledge().evidence[name].answers]
        found[name] = list({fitting: each for each, fitting in lets}.values())
    return found


def left_to_the_recipe(rows: Printed) -> bool:
    """Whether nothing that can be told says which of two rows counts: then the time that the recipe prints does."""
    alike = [(one, other) for one in rows for other in rows if one[2] != other[2] and one[4] == other[4]]
    return any(one[0] & other[0] and one[1] & other[1] for one, other in alike)


def _column(rows: Printed, pack: str, size: str) -> str | None:
    """The jar size whose times a jar takes: its own, or the next larger one that is listed."""
    listed = {jar for packs, jars, _, _, _ in rows if pack in packs for jar in jars}
    return next((each for each in JAR_SIZES[JAR_SIZES.index(size) :] if each in listed), None)


@cache
def minutes_proof() -> tuple[int, dict[str, list[str]]]:
    """Combinations looked at, and by evidence those in which "not sure" about it makes minutes enough that its answer does not."""
    looked_at = 0
    found: dict[str, list[str]] = {}
    for rows, (kind, food) in printed_times().items():
        choices = minutes_tellings(rows)
        unsure = [_in_doubt(each) for each in choices]
        are_enough = {told: enough(kind, food, told) for told in product(*choices)}
        looked_at += len(are_enough)
        for told in [each for each, is_enough in are_enough.items() if not is_enough]:
            moves = [
                (name, (*told[:n], each, *told[n + 1 :]))
                for n, part in enumerate(unsure)
                for name, each in part[told[n]]
            ]
            for name in [name for name, after in moves if are_enough[after] and not left_to_another(name, told)]:
                found.setdefault(name, []).append(f"{kind} of {food}; {described(sum(told, ()))}")
            looked_at += 1
            if enough(kind, "", told):
                found.setdefault("food", []).append(f"{kind} of {food}; {described(sum(told, ()))}")
    return looked_at, found


@cache
def enough(kind: str, food: str, told: tuple[Combination, ...]) -> bool:
    """Whether these minutes are enough for this food and product in a bath; for a food nobody names, when it is empty."""
    named = answer("food", food) if food else not_sure("food")
    facts = facts_of((answer("product", kind), named, answer("process-method", "bath"), *sum(told, ())), _rows_of(kind))
    return facts.possible("minutes-enough") == {"enough"}


@cache
def _rows_of(kind: str) -> Knowledge:
    rows = tuple(row for row in table_rows() if kind in row.products)
    return knowledge()._replace(tables={**knowledge().tables, "rows": rows})


def _in_doubt(choices: list[Combination]) -> dict[Combination, list[tuple[str, Combination]]]:
    """For each choice, the evidence it answers, each with the choice in which that answer is "not sure"."""
    return {
        told: [
            (telling.name, next(each for each in choices if not_sure(telling.name) in each and set(each) - set(told) == {not_sure(telling.name)}))
            for telling in told if telling.answered
        ]
        for told in choices
    }  # fmt: skip


def left_to_another(name: str, told: tuple[Combination, ...]) -> bool:
    """Two things another part of the rules answers for, each with a test of its own below."""
    return name == "jar-size" or (name == "altitude" and answer("time-for-height", "own-height") in sum(told, ()))


def minutes_openings() -> Finding:
    """The first of each kind of opening, and how many there are."""
    broken = [f"{name} not sure: {moves[0]} ({len(moves)} of these)" for name, moves in minutes_proof()[1].items()]
    return Finding(minutes_proof()[0], tuple(broken))
