"""Published tables of the knowledge as typed values, made once when the engine is built."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from bot.engine.knowledge import Knowledge
from bot.kitchen.process_time import ProcessRow
from bot.kitchen.remake import Ingredient, RemakeProportions
from bot.kitchen.units import convert


def with_tables(knowledge: Knowledge) -> Knowledge:
    """The knowledge with its tables read: `rows`, `low_temperature_minutes`, `start_before`, `remake`, `wait`.

    `plain` are all tables as they stand in the files, for `kitchen_tables.KitchenTables`, which reads each when it is asked for.
    """
    plain: dict[str, Any] = dict(knowledge.tables)
    if "rows" in plain:
        return knowledge
    reheating = plain["reheating"]["rows"]
    tables: dict[str, object] = {
        "rows": tuple(_row(id_, row) for id_, row in plain["process-times"]["rows"].items()),
        "low_temperature_minutes": float(plain["low-temperature"]["rows"]["low-temperature"]["minutes"]),
        "start_before": {
            "long": float(reheating["long-limit"]["start_before_minutes"]),
            "short": float(reheating["short-limit"]["start_before_minutes"]),
        },
        "wait": {name: row["says"] for name, row in plain["waiting"]["rows"].items()},
        "remake": {name: _proportions(row) for name, row in plain["remake"]["rows"].items()},
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
