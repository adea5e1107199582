"""The table of process times in the knowledge gives the printed minutes below, at and above every band edge, and no others."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from bot.kitchen.process_time import JAR_SIZES, ProcessRow, Required, required_minutes

ROOT = Path(__file__).parents[2]
BOILED, NOT_BOILED = frozenset({True}), frozenset({False})
# height in ft -> column of the printed tables
BELOW_AT_ABOVE = {0: 0, 999: 0, 1000: 0, 1001: 1, 2999: 1, 3000: 1, 3001: 2, 5999: 2, 6000: 2, 6001: 3, 9000: 3}
# Steps from band to band that the printed tables have; the last is the strictest rule, used where no table was seen.
STEPS = {(5, 5, 5), (5, 0, 5), (5, 5, 10)}


def read(path: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.load((ROOT / path).read_text("utf-8"), Loader=yaml.BaseLoader)
    return found


def as_row(id_: str, row: dict[str, Any]) -> ProcessRow:
    products, foods, packs, jars = (frozenset(row.get(key, ())) for key in ("products", "foods", "packs", "jars"))
    first, second, third, fourth = map(float, row["minutes"])
    source, note, minutes = ", ".join(row["sources"]), row.get("note", ""), (first, second, third, fourth)
    only_if = tuple((name, frozenset(answers)) for name, answers in row.get("only_if", {}).items())
    return ProcessRow(id_, products, foods, packs, jars, minutes, row["sterile_jars"] == "yes", source, note, only_if)


TABLE = read("knowledge/tables/process-times.yaml")["rows"]
ROWS = tuple(as_row(id_, row) for id_, row in TABLE.items())
PUBLISHED = read("tests/published/process-times.yaml")
LINES = [line for table in PUBLISHED["tables"] for line in table["rows"]]


def ask(story: str, feet: float) -> Required | None:
    """Minutes for "product / food / pack / jar", and after it "unsterile", or a condition of the row with its answer."""
    product, food, pack, jar, *more = story.split(" / ")
    boiled = NOT_BOILED if "unsterile" in more else BOILED
    told = dict(each.split() for each in more if each != "unsterile")
    rows = [row for row in ROWS if all(name not in told or told[name] in answers for name, answers in row.only_if)]
    return required_minutes(rows, product, frozenset({food}), frozenset({pack}), frozenset({jar}), boiled, feet, feet)


@pytest.mark.parametrize("line", LINES)
def test_minutes_are_the_printed_ones_on_both_sides_of_every_band_edge(line: str) -> None:
    story, _, printed = line.partition(" = ")
    shortest, _, longest = printed.partition(" to ")
    for feet, column in BELOW_AT_ABOVE.items():
        found = ask(story, feet)
        assert found is not None, feet
        assert found.lo == float(shortest.split()[column]), feet
        assert found.hi == float((longest or shortest).split()[column]), feet
        assert not found.uncovered


@pytest.mark.parametrize("story", PUBLISHED["no-row"]["rows"])
def test_what_has_no_published_time_gets_none(story: str) -> None:
    assert ask(story, 0) is None
    assert ask(story, 7000) is None


@pytest.mark.parametrize("line", PUBLISHED["recipes-of-their-own"]["rows"])
def test_a_time_printed_for_one_recipe_of_several_does_not_answer_for_the_food(line: str) -> None:
    story, _, printed = line.partition(" = ")
    assert ask(story, 0) is None, f"a row answers for every recipe of it, this one prints {printed}"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_every_row_of_the_knowledge_stands_behind_some_printed_line(row: ProcessRow) -> None:
    behind = [
        story
        for story in (line.partition(" = ")[0] for line in LINES)
        if (found := ask(story, 0)) is not None and row in found.rows
    ]
    assert behind, "a row that no transcribed line reaches is checked by nothing"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_a_row_uses_known_words_and_its_minutes_rise_like_printed_ones(row: ProcessRow) -> None:
    assert row.jars <= set(JAR_SIZES) and row.packs <= {"hot", "raw"}
    steps = tuple(later - earlier for earlier, later in zip(row.minutes, row.minutes[1:], strict=False))
    assert steps in STEPS
    assert row.sterile_jars == (row.minutes[0] < 10), "under 10 minutes, and only then, jars must be sterile"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_the_strictest_altitude_rule_is_marked_wherever_it_stands_in_for_a_printed_table(row: ProcessRow) -> None:
    steps = tuple(later - earlier for earlier, later in zip(row.minutes, row.minutes[1:], strict=False))
    assert (steps == (5, 5, 10)) == ("worked-out#" in row.source)


@pytest.mark.parametrize("row", [row for row in ROWS if row.foods], ids=lambda row: row.id)
def test_a_larger_jar_of_the_same_food_and_pack_never_needs_fewer_minutes(row: ProcessRow) -> None:
    for product in row.products:
        for food in row.foods:
            for pack in row.packs:
                needs = [ask(f"{product} / {food} / {pack} / {size} / unsterile", 0) for size in JAR_SIZES]
                most = [found.hi for found in needs if found is not None]
                assert most == sorted(most)


def test_metric_jars_take_the_row_of_the_next_larger_measure() -> None:
    small, half_litre, litre = (
        ask(f"fruit / peach / hot / {size}", 0) for size in ("twelve-ounce", "pint-and-half", "larger")
    )
    assert small == ask("fruit / peach / hot / pint", 0), "250 mL is a hair over a half-pint"
    assert half_litre == ask("fruit / peach / hot / quart", 0)
    assert litre is None


def test_jam_of_a_fruit_that_no_row_names_takes_the_general_row() -> None:
    for fruit in ("loquat", "kiwi", "rhubarb"):
        found = ask(f"jam / {fruit} / hot / half-pint", 500)
        assert found is not None and [row.id for row in found.rows] == ["jam-and-jelly"]
