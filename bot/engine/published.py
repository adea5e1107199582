"""Published tables of the knowledge as typed values, made once when the engine is built."""

from __future__ import annotations

from fractions import Fraction
from typing import Any, NamedTuple

from bot.engine.knowledge import Knowledge
from bot.kitchen.bath_log import gentle_bath
from bot.kitchen.boil_off import Evaporation
from bot.kitchen.boiling_rise import PublishedRise
from bot.kitchen.pressure import PressureRow
from bot.kitchen.process_time import ProcessRow
from bot.kitchen.ranges import Range, told_in
from bot.kitchen.remake import Ingredient, RemakeProportions
from bot.kitchen.soluble_solids import FoodSolids
from bot.kitchen.units import convert


class TimerKind(NamedTuple):
    """What a timer may be for: its name, the words it is known by, its minutes when none are told, what is told when it is up."""

    id: str
    name: str
    words: frozenset[str]
    minutes: float | None
    due: str


def with_tables(knowledge: Knowledge) -> Knowledge:
    """The knowledge with its tables read: `rows`, `low_temperature_minutes`, `gentle_bath`, `pressure`, `timers`, `start_before`, `remake`, `wait`,
    `solids`, `evaporation`, `stoves` and `boiling_rise`. Raises ValueError for a range with its ends the wrong way round.

    `plain` are all tables as they stand in the files, for `kitchen_tables.KitchenTables`, which reads each when it is asked for.
    """
    plain: dict[str, Any] = dict(knowledge.tables)
    if "rows" in plain:
        return knowledge
    evaporation = plain["evaporation"]["rows"]
    reheating, gentle = plain["reheating"]["rows"], plain["low-temperature"]["rows"]["low-temperature"]
    tables: dict[str, object] = {
        "rows": tuple(_row(id_, row) for id_, row in plain["process-times"]["rows"].items()),
        "low_temperature_minutes": float(gentle["minutes"]),
        "gentle_bath": gentle_bath(*(float(gentle[each]) for each in ("minutes", "least_f", "most_f"))),
        "pressure": tuple(_pressure_row(id_, row) for id_, row in plain["pressure"]["rows"].items()),
        "start_before": {
            "long": float(reheating["long-limit"]["start_before_minutes"]),
            "short": float(reheating["short-limit"]["start_before_minutes"]),
        },
        "wait": {name: row["says"] for name, row in plain["waiting"]["rows"].items()},
        "remake": {name: _proportions(row) for name, row in plain["remake"]["rows"].items()},
        "solids": {name: _solids(name, row) for name, row in plain["soluble-solids"]["rows"].items()},
        "evaporation": Evaporation(
            _range(evaporation["hard-boil"]["kg_per_m2_and_hour"], "kg/m²h", "hard-boil"),
            float(evaporation["near-the-end"]["left_of_the_rate"]),
        ),
        "stoves": {
            name: _range(row["efficiency_percent"], "%", name)
            for name, row in evaporation.items()
            if "efficiency_percent" in row
        },
        "boiling_rise": tuple(
            PublishedRise(float(row["percent"]), float(row["rise_c"])) for row in plain["boiling-rise"]["rows"].values()
        ),
        "timers": tuple(_timer_kind(id_, row) for id_, row in plain.get("timers", {"rows": {}})["rows"].items()),
        "plain": plain,
    }
    return knowledge._replace(tables=tables)


def _row(id_: str, row: dict[str, Any]) -> ProcessRow:
    minutes = tuple(float(m) for m in row["minutes"])
    assert len(minutes) == 4
    return ProcessRow(
        id_,
        frozenset(row["products"]),
        frozenset(row.get("foods", ())),
        frozenset(row["packs"]),
        frozenset(row["jars"]),
        minutes,
        row.get("sterile_jars") == "yes",
        ", ".join(row["sources"]),
        row.get("note", ""),
        tuple((name, frozenset(answers)) for name, answers in row.get("only_if", {}).items()),
    )


def _pressure_row(id_: str, row: dict[str, Any]) -> PressureRow:
    above_ft, to_ft, psi = (float(row[each]) for each in ("above_ft", "to_ft", "psi"))
    return PressureRow(id_, row["foods"], row["gauge"], above_ft, to_ft, psi, ", ".join(row["sources"]))


def _proportions(row: dict[str, Any]) -> RemakeProportions:
    ingredients = tuple(
        Ingredient(
            each["name"],
            convert(Fraction(each["amount"]), each["unit"], "tsp"),
            Fraction(each["grams_per_cup"]) if "grams_per_cup" in each else None,
            each.get("never_below") == "yes",
        )
        for each in row["ingredients"]
    )
    return RemakeProportions(ingredients, Fraction(row["most_cups"]))


def _solids(id_: str, row: dict[str, Any]) -> FoodSolids:
    lost = row["lost_percent"]
    return FoodSolids(
        id_,
        {ripeness: _range(ends, "%", id_) for ripeness, ends in row["percent"].items()},
        {cut: _range(ends, "g", id_) for cut, ends in row["grams_per_cup"].items()},
        None if lost == "unknown" else float(lost),
        ", ".join(row["sources"]),
    )


def _timer_kind(id_: str, row: dict[str, Any]) -> TimerKind:
    minutes = float(row["minutes"]) if "minutes" in row else None
    return TimerKind(id_, row["name"], frozenset(row["called"]), minutes, row["due"])


def _range(ends: list[str], unit: str, id_: str) -> Range:
    lo, hi = map(float, ends)
    return told_in(Range(lo, hi, unit), unit, f"the figure of '{id_}'")
