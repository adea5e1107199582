"""The tables for boiling off in the knowledge follow from what is printed, by the rules at their heads, and nothing contradicts them."""

from __future__ import annotations

from functools import cache
from math import ceil, floor
from pathlib import Path
from typing import Any

import pytest
import yaml

from bot.engine.knowledge import Knowledge
from bot.engine.published import with_tables
from bot.kitchen.boil_off import Evaporation
from bot.kitchen.boiling_rise import PublishedRise
from bot.kitchen.jars_expected import density
from bot.kitchen.ranges import Range
from bot.kitchen.soluble_solids import ALWAYS, FoodSolids
from bot.library import load

ROOT = Path(__file__).parents[2]
DATA: dict[str, Any] = yaml.load(
    (ROOT / "tests/published/fruit-solids.yaml").read_text("utf-8"), Loader=yaml.BaseLoader
)
PRINTED = {name: block for name, block in DATA.items() if name != "ripening"}
FRUIT = sorted({food for block in PRINTED.values() for food in block.get("percent", {})})
BESIDE = {"white-sugar", "brown-sugar", "honey", "corn-syrup", "bottled-lemon-juice", "water"}


@cache
def known() -> Knowledge:
    return with_tables(load())


@cache
def foods() -> dict[str, FoodSolids]:
    found: Any = known().tables["solids"]
    return dict(found)


def figures(food: str) -> list[float]:
    return [float(each) for block in PRINTED.values() for each in block.get("percent", {}).get(food, [])]


def weights(food: str, cut: str) -> list[float]:
    """The ends of what is printed for a cup, 10 % either way where one figure is printed for a cut."""
    found = []
    for name, block in PRINTED.items():
        printed = block.get("grams_per_cup", {}).get(food, {}).get(cut)
        ends = (
            [float(each) for each in (printed if isinstance(printed, list) else [printed, printed])] if printed else []
        )
        spread = 0.1 if ends and (name == "whole-fruit" or ends[0] == ends[1]) else 0.0
        found += [floor(round(ends[0] * (1 - spread), 6)), ceil(round(ends[1] * (1 + spread), 6))] if ends else []
    return found


def test_every_fruit_with_a_printed_figure_is_in_the_table_and_no_other() -> None:
    assert set(foods()) == {*FRUIT, *BESIDE, "mixed-berry"}


@pytest.mark.parametrize("food", FRUIT)
def test_ripe_fruit_holds_all_that_is_printed_and_no_more_than_the_rule_gives(food: str) -> None:
    printed = figures(food)
    middle = (min(printed) + max(printed)) / 2
    lo, hi = min(*printed, middle - 1.5), max(*printed, middle + 1.5)
    assert foods()[food].percent["ripe"] == (floor(round(lo * 2, 6)) / 2, ceil(round(hi * 2, 6)) / 2, "%")


@pytest.mark.parametrize("food", [*FRUIT, "mixed-berry"])
def test_riper_fruit_is_never_weaker(food: str) -> None:
    mixed, ripe, very = (foods()[food].percent[each] for each in ("mixed", "ripe", "very"))
    assert mixed == (max(ripe.lo - 2, 0.5), ripe.hi, "%")
    assert very == (ripe.lo, ripe.hi + 2, "%")


@pytest.mark.parametrize("cultivar", DATA["ripening"]["rows"])
def test_half_unripe_fruit_lies_in_the_range_for_it(cultivar: str) -> None:
    unripe, ripe = map(float, DATA["ripening"]["rows"][cultivar])
    blueberry = foods()["blueberry"].percent
    assert blueberry["mixed"].lo <= (unripe + ripe) / 2 <= blueberry["mixed"].hi
    assert blueberry["ripe"].lo <= ripe <= blueberry["ripe"].hi
    assert (ripe - unripe) / 2 <= 2


@pytest.mark.parametrize("food", FRUIT)
def test_cups_hold_what_is_printed_of_them(food: str) -> None:
    found = foods()[food].grams_per_cup
    for cut in ("chunks", "crushed"):
        if printed := weights(food, cut):
            assert found[cut] == (min(printed), max(printed), "g")
        else:
            assert cut == "crushed" or cut not in found


def test_soft_fruit_crushed_is_taken_as_strawberries() -> None:
    crushed = {food: row.grams_per_cup["crushed"] for food, row in foods().items() if "crushed" in row.grams_per_cup}
    assert set(crushed.values()) == {foods()["strawberry"].grams_per_cup["crushed"]}
    assert all(foods()[food].grams_per_cup["pureed"] == found for food, found in crushed.items())


def test_a_cup_of_juice_weighs_what_its_density_says() -> None:
    ripe = [row.percent["ripe"] for food, row in foods().items() if food not in BESIDE]
    cup_l = 0.2365882365
    lightest, heaviest = (
        density(percent, 20) * cup_l for percent in (min(r.lo for r in ripe), max(r.hi for r in ripe))
    )
    for row in (row for food, row in foods().items() if food not in BESIDE):
        assert row.grams_per_cup["juice"] == (floor(lightest), ceil(heaviest), "g")


def test_mixed_berries_reach_from_the_weakest_to_the_strongest() -> None:
    each = [foods()[food] for food in ("strawberry", "raspberry", "blackberry", "blueberry")]
    mixed = foods()["mixed-berry"]
    for ripeness, found in mixed.percent.items():
        assert found == (min(b.percent[ripeness].lo for b in each), max(b.percent[ripeness].hi for b in each), "%")
    for cut in ("chunks", "crushed"):
        cups = [b.grams_per_cup[cut] for b in each]
        assert mixed.grams_per_cup[cut] == (min(c.lo for c in cups), max(c.hi for c in cups), "g")


@pytest.mark.parametrize("food", FRUIT)
def test_stones_and_hulls_are_the_printed_share_or_unknown(food: str) -> None:
    printed = PRINTED["whole-fruit"]["lost_percent"].get(food)
    assert foods()[food].lost_percent == (float(printed) if printed else None)


def test_every_fruit_is_a_food_of_the_knowledge_and_its_words_are_those_of_the_questions() -> None:
    assert set(FRUIT) | {"mixed-berry"} <= set(known().foods)
    for name, row in foods().items():
        if name in BESIDE:
            assert set(row.percent) == set(row.grams_per_cup) == {ALWAYS}
        else:
            assert set(row.percent) == set(known().evidence["fruit-ripeness"].answers)
            assert set(row.grams_per_cup) <= set(known().evidence["fruit-prep"].answers)
        assert row.source


def test_the_other_tables_are_read_with_their_units() -> None:
    tables: dict[str, Any] = dict(known().tables)
    assert tables["evaporation"] == Evaporation(Range(25, 60, "kg/m²h"), 0.7)
    assert tables["stoves"] == {"electric-plate": (70, 80, "%"), "induction": (80, 90, "%"), "gas": (35, 50, "%")}
    assert PublishedRise(70.0, 6.5) in tables["boiling_rise"]


def test_a_range_with_its_ends_the_wrong_way_round_is_not_read() -> None:
    plain: Any = load()
    rows = {**plain.tables["soluble-solids"]["rows"]}
    rows["plum"] = {**rows["plum"], "percent": {"ripe": ["14", "10"]}}
    broken = plain._replace(tables={**plain.tables, "soluble-solids": {"rows": rows}})
    with pytest.raises(
        ValueError, match=r"the figure of 'plum' from 14.0 to 10.0 % is no range: give the smaller number first"
    ):
        with_tables(broken)
