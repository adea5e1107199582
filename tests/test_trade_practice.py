"""Rules of thumb of the trade: what is computed or told agrees with each row of published/trade-practice.yaml."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from bot.kitchen.boiling import gel_point_f
from bot.kitchen.process_time import required_minutes
from bot.kitchen.units import kitchen_measure, show_length_in
from tests.conversation import engine, talk_of

FILE = Path(__file__).parent / "published" / "trade-practice.yaml"
BASIS = "common practice"
NAMED = 3  # of the causes, likeliest first: one further down is as good as not named

Row = dict[str, Any]
DATA: dict[str, dict[str, Row]] = yaml.load(FILE.read_text("utf-8"), Loader=yaml.BaseLoader)
SERVED, NOT_SERVED = DATA["rows"], DATA["not-served"]


def minutes(product: str, food: str, pack: str, jar: str, sterile: str, feet: str) -> float:
    """What the table asks for, when one number is all it can be."""
    table: Any = engine().knowledge.tables["rows"]
    foods, packs, jars = frozenset({food}), frozenset({pack}), frozenset({jar})
    boiled, height = frozenset({sterile == "yes"}), float(feet)
    found = required_minutes(table, product, foods, packs, jars, boiled, height, height)
    assert found is not None and found.lo == found.hi
    return found.hi


def low_temperature_minutes() -> float:
    found: Any = engine().knowledge.tables["low_temperature_minutes"]
    return float(found)


CALLS: dict[str, Callable[..., float | str]] = {
    "gel_point_f": lambda feet: gel_point_f(float(feet)),
    "kitchen_measure": lambda teaspoons: kitchen_measure(Fraction(teaspoons)),
    "low_temperature_minutes": low_temperature_minutes,
    "minutes": minutes,
    "show_length_in": lambda inches, metric: show_length_in(Fraction(inches), metric == "yes"),
}


def computed_otherwise(row: Row) -> list[str]:
    if "call" not in row:
        return []
    given = CALLS[row["call"]](**row.get("with", {}))
    shown = given if isinstance(given, str) else f"{given:g}"
    if "gives" in row:
        return [] if shown == row["gives"] else [f"{row['call']} gives {shown}, not {row['gives']}"]
    inside = float(row["from"]) <= float(given) <= float(row["to"])
    return [] if inside else [f"{row['call']} gives {shown}, not {row['from']} to {row['to']}"]


def told_otherwise(row: Row) -> list[str]:
    if "messages" not in row:
        return []
    reply = talk_of(*row["messages"]).replies[-1]
    told = {
        "text": reply["text"],
        "causes": "\n".join(each["says"] for each in reply["causes"][:NAMED]),
        "fixes": "\n".join(each["says"] for each in reply["fixes"]),
    }
    outcome = reply["verdict"]["outcome"] if reply["verdict"] else "none"
    missing = [
        f"the {where} lack: {words}"
        for where, all_words in told.items()
        for words in row.get(where, [])
        if words.casefold() not in all_words.casefold()
    ]
    if row.get("outcome", outcome) != outcome:
        missing.append(f"the outcome is {outcome}, not {row['outcome']}")
    return missing


@pytest.mark.parametrize("row", [pytest.param(row, id=name) for name, row in SERVED.items()])
def test_what_is_told_and_computed_agrees_with_the_trade(row: Row) -> None:
    assert computed_otherwise(row) + told_otherwise(row) == []


def test_every_row_says_its_rule_and_owns_to_having_no_source() -> None:
    rows = {**SERVED, **NOT_SERVED}
    assert [name for name, row in rows.items() if not row.get("says") or row.get("basis") != BASIS] == []


def test_every_row_holds_something_to_check() -> None:
    checks = {"gives", "from", "text", "causes", "fixes", "outcome"}
    assert [name for name, row in {**SERVED, **NOT_SERVED}.items() if not checks & set(row)] == []


def test_a_row_that_is_not_served_says_why() -> None:
    assert [name for name, row in NOT_SERVED.items() if not row.get("why")] == []
