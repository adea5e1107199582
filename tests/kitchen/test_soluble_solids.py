"""Solids of a batch: what is reckoned by hand comes out, and no weight or ripeness that is possible falls outside the range."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.published import with_tables
from bot.kitchen.ranges import Range, exactly
from bot.kitchen.soluble_solids import (
    FoodSolids,
    Part,
    batch_grams,
    batch_solids,
    dissolved_grams,
    food_solids,
    grams_of_cups,
    grams_prepared,
)
from bot.library import load

ROOT = Path(__file__).parents[2]
DATA: dict[str, Any] = yaml.load((ROOT / "tests/published/boil-off.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
BATCHES: dict[str, Any] = {name: row for name, row in DATA["batches"].items() if isinstance(row, dict)}
ANY: frozenset[str] = frozenset()


@cache
def foods() -> dict[str, FoodSolids]:
    found: Any = with_tables(load()).tables["solids"]
    return dict(found)


def part(grams: str | float, percent: str | float) -> Part:
    return Part(exactly(float(grams), "g"), exactly(float(percent), "%"))


@st.composite
def ranges(draw: st.DrawFn, unit: str, most: float) -> Range:
    ends = sorted((draw(st.floats(0, most)), draw(st.floats(0, most))))
    return Range(ends[0], ends[1], unit)


parts = st.builds(Part, ranges("g", 5000), ranges("%", 100))
pots = st.lists(parts, min_size=1, max_size=5).filter(lambda pot: sum(each.grams.hi for each in pot) > 1)


@pytest.mark.parametrize(("name", "row"), [each for each in BATCHES.items() if "start_percent" in each[1]])
def test_solids_at_the_start_are_those_reckoned_by_hand(name: str, row: dict[str, Any]) -> None:
    found = batch_solids([part(*each) for each in row["parts"]])
    assert found.lo == pytest.approx(found.hi)
    assert found.lo == pytest.approx(float(row["start_percent"]), abs=0.06)
    assert found.unit == "%"


def test_the_dissolved_weight_is_that_of_the_printed_batch() -> None:
    printed = DATA["printed-batch"]
    found = dissolved_grams([part(*each) for each in printed["parts"]])
    assert found == (
        pytest.approx(float(printed["dissolved"]), abs=1),
        pytest.approx(float(printed["dissolved"]), abs=1),
        "g",
    )


@pytest.mark.parametrize("food", DATA["prepared"]["rows"])
def test_stones_and_hulls_come_off_the_weight(food: str) -> None:
    whole, left = map(float, DATA["prepared"]["rows"][food])
    found = grams_prepared(foods()[food], exactly(whole, "g"))
    assert found == (pytest.approx(left, abs=0.1), pytest.approx(left, abs=0.1), "g")


def test_ripeness_that_is_not_known_takes_in_all_of_them() -> None:
    strawberry = foods()["strawberry"]
    assert food_solids(strawberry, frozenset({"ripe"})) == (6, 10, "%")
    assert food_solids(strawberry, frozenset({"ripe", "very"})) == (6, 12, "%")
    assert food_solids(strawberry, ANY) == (4, 12, "%")


def test_sugar_does_not_ripen_and_a_cup_of_it_is_a_cup() -> None:
    sugar = foods()["white-sugar"]
    assert food_solids(sugar, frozenset({"very"})) == (100, 100, "%")
    assert grams_of_cups(sugar, exactly(2, "cup"), frozenset({"crushed"})) == (390, 410, "g")


def test_a_cup_crushed_weighs_more_than_a_cup_in_pieces() -> None:
    cups, strawberry = Range(3, 4, "cup"), foods()["strawberry"]
    pieces, crushed = (grams_of_cups(strawberry, cups, frozenset({cut})) for cut in ("chunks", "crushed"))
    assert pieces == (408, 680, "g")
    assert crushed == (624, 1024, "g")
    both = grams_of_cups(strawberry, cups, frozenset({"chunks", "crushed"}))
    assert both == (408, 1024, "g")


def corners(pot: list[Part]) -> list[tuple[float, float]]:
    """Weight and solids of the whole, for every choice of the ends."""
    found = [(0.0, 0.0)]
    for each in pot:
        ends = [(grams, solids) for grams in each.grams[:2] for solids in each.solids[:2]]
        found = [(mass + grams, inside + grams * solids) for mass, inside in found for grams, solids in ends]
    return [(mass, inside / mass) for mass, inside in found if mass > 1e-3]


@given(pots)
def test_the_ends_are_reached_and_never_passed(pot: list[Part]) -> None:
    found, every = batch_solids(pot), [solids for _, solids in corners(pot)]
    assert found.lo <= found.hi
    assert found.lo <= min(every) + 1e-6
    assert max(every) - 1e-6 <= found.hi
    assert found.lo >= 0
    assert found.hi <= 100 + 1e-9
    if all(each.grams.lo > 1e-3 for each in pot):
        assert found.lo == pytest.approx(min(every), abs=1e-6)
        assert found.hi == pytest.approx(max(every), abs=1e-6)


@given(pots, st.data())
def test_nothing_possible_falls_outside(pot: list[Part], data: st.DataObject) -> None:
    masses = [data.draw(st.floats(each.grams.lo, each.grams.hi)) for each in pot]
    inside = [data.draw(st.floats(each.solids.lo, each.solids.hi)) for each in pot]
    dissolved = sum(mass * solids for mass, solids in zip(masses, inside, strict=True)) / 100
    if sum(masses) > 1e-3:
        found = batch_solids(pot)
        assert found.lo - 1e-6 <= dissolved / sum(masses) * 100 <= found.hi + 1e-6
    assert dissolved_grams(pot).lo - 1e-6 <= dissolved <= dissolved_grams(pot).hi + 1e-6
    assert batch_grams(pot).lo - 1e-6 <= sum(masses) <= batch_grams(pot).hi + 1e-6


@given(pots, st.floats(1, 2000))
def test_more_sugar_means_more_solids(pot: list[Part], grams: float) -> None:
    before, after = batch_solids(pot), batch_solids([*pot, part(grams, 100)])
    assert after.lo >= before.lo - 1e-9
    assert after.hi >= before.hi - 1e-9
    assert dissolved_grams([*pot, part(grams, 100)]).lo == pytest.approx(dissolved_grams(pot).lo + grams)


@given(pots, st.floats(1, 2000))
def test_more_water_means_less_solids(pot: list[Part], grams: float) -> None:
    before, after = batch_solids(pot), batch_solids([*pot, part(grams, 0)])
    assert after.lo <= before.lo + 1e-9
    assert after.hi <= before.hi + 1e-9


@pytest.mark.parametrize(("pot", "complaint"), [
    ([], r"nothing is in the pot: give the weight"), ([part(0, 50)], r"nothing is in the pot"),
    ([part(-1, 50)], r"a part of the batch cannot be -1 g"), ([part(10, 101)], r"soluble solids cannot be 101 %: give 0 to 100 %"),
    ([Part(exactly(1, "lb"), exactly(8, "%"))], r"must be told in g, not in lb: convert it first"),
    ([Part(Range(3, 2, "g"), exactly(8, "%"))], r"give the smaller number first"),
])  # fmt: skip
def test_a_pot_that_cannot_be_is_refused(pot: list[Part], complaint: str) -> None:
    for work_out in (batch_grams, batch_solids, dissolved_grams):
        with pytest.raises(ValueError, match=complaint):
            work_out(pot)


def test_what_the_table_does_not_have_is_asked_for_and_not_guessed() -> None:
    plum, quince, cherry = (foods()[each] for each in ("plum", "quince", "cherry"))
    with pytest.raises(ValueError, match=r"no solids of 'plum' for 'green'; known: mixed, ripe, very"):
        food_solids(plum, frozenset({"green"}))
    with pytest.raises(ValueError, match=r"no weight of a cup of 'quince' for 'chunks'; known: juice"):
        grams_of_cups(quince, exactly(2, "cup"), frozenset({"chunks"}))
    with pytest.raises(ValueError, match=r"weigh what goes into the pot"):
        grams_prepared(cherry, exactly(1000, "g"))
    with pytest.raises(ValueError, match=r"the cups must be told in cup, not in mL"):
        grams_of_cups(plum, exactly(500, "mL"), frozenset({"chunks"}))
    with pytest.raises(ValueError, match=r"the weight must be told in g, not in lb"):
        grams_prepared(plum, exactly(2, "lb"))


def test_a_food_whose_cup_nobody_weighed_has_to_be_weighed() -> None:
    with pytest.raises(ValueError, match=r"none, so weigh it or leave it out"):
        grams_of_cups(FoodSolids("rowan", {}, {}, None), exactly(2, "cup"), ANY)
