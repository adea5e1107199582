"""Required minutes over what is still possible: bands, jar sizes, sterile jars, foods, and that knowing less never asks for less."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.process_time import JAR_SIZES, ProcessRow, Required, band_of, required_minutes

YES, NO, EITHER = frozenset({True}), frozenset({False}), frozenset({True, False})
HOT, RAW, HOT_OR_RAW = frozenset({"hot"}), frozenset({"raw"}), frozenset({"hot", "raw"})
PINT = frozenset({"pint"})
ANY_FOOD: frozenset[str] = frozenset()


def row(
    id_: str,
    minutes: tuple[float, float, float, float] = (10, 15, 20, 25),
    foods: str = "",
    packs: str = "hot",
    jars: str = "pint",
    sterile: bool = False,
    products: str = "thing",
) -> ProcessRow:
    p, f, k, j = (frozenset(each.split()) for each in (products, foods, packs, jars))
    return ProcessRow(id_, p, f, k, j, minutes, sterile, "a publication")


GENERIC = row("generic", (10, 15, 15, 20))
NAMED = row("named", (20, 25, 30, 35), foods="red")
NAMED_QUART = row("named-quart", (30, 35, 40, 45), foods="red", jars="quart")
NAMED_RAW = row("named-raw", (25, 30, 35, 40), foods="red", packs="raw")
OTHER = row("other", (40, 45, 50, 55), foods="blue")
FIVE = row("five", (5, 10, 10, 15), foods="green", sterile=True)
ROWS = (GENERIC, NAMED, NAMED_QUART, NAMED_RAW, OTHER, FIVE)


def ask(
    foods: str = "red",
    packs: frozenset[str] = HOT,
    jars: str = "pint",
    sterile: frozenset[bool] = YES,
    low: float = 0,
    high: float | None = None,
    rows: tuple[ProcessRow, ...] = ROWS,
    product: str = "thing",
) -> Required | None:
    named, sizes = frozenset(foods.split()), frozenset(jars.split())
    return required_minutes(rows, product, named, packs, sizes, sterile, low, low if high is None else high)


def figures(found: Required | None) -> tuple[float, float, bool]:
    assert found is not None
    return found.lo, found.hi, found.uncovered


# --- Heights ---


@pytest.mark.parametrize(("feet", "band"), [
    (-280, 0), (0, 0), (999, 0), (1000, 0), (1000.0001, 1), (1001, 1), (2999, 1), (3000, 1), (3000.5, 2), (3001, 2), (5999, 2),
    (6000, 2), (6000.5, 3), (6001, 3), (14_000, 3), (float("inf"), 3),
])  # fmt: skip
def test_anything_above_a_band_edge_counts_as_the_higher_band(feet: float, band: int) -> None:
    assert band_of(feet) == band


@pytest.mark.parametrize(("low", "high", "least", "most"), [
    (0, 1000, 20, 20), (0, 1001, 20, 25), (1000, 1001, 20, 25), (1001, 3000, 25, 25), (500, 7000, 20, 35), (3001, 9000, 30, 35),
])  # fmt: skip
def test_a_height_known_only_roughly_gives_a_span_of_minutes(
    low: float, high: float, least: float, most: float
) -> None:
    assert figures(ask(low=low, high=high)) == (least, most, False)


@pytest.mark.parametrize(("low", "high"), [(2000, 1000), (float("nan"), 1000), (0, float("nan"))])
def test_heights_in_the_wrong_order_are_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="wrong order, or no numbers"):
        ask(low=low, high=high)


def test_what_is_no_number_has_no_band() -> None:
    with pytest.raises(ValueError, match="not a number"):
        band_of(float("nan"))


# --- Jars ---


@pytest.mark.parametrize(("size", "minutes"), [
    ("quarter-pint", 20), ("half-pint", 20), ("twelve-ounce", 20), ("pint", 20), ("pint-and-half", 30), ("quart", 30),
])  # fmt: skip
def test_a_size_that_is_not_listed_takes_the_next_larger_listed_one(size: str, minutes: float) -> None:
    assert figures(ask(jars=size)) == (minutes, minutes, False)


@pytest.mark.parametrize("size", ["half-gallon", "larger"])
def test_a_jar_larger_than_any_listed_has_no_time(size: str) -> None:
    assert ask(jars=size) is None


def test_one_possible_jar_without_a_row_is_flagged_beside_the_others() -> None:
    assert figures(ask(jars="pint quart half-gallon")) == (20, 30, True)


def test_a_jar_size_nobody_knows_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"bucket.*known: quarter-pint"):
        ask(jars="bucket")


def test_the_half_pint_row_is_not_passed_over_for_the_pint() -> None:
    small = row("small", (7, 8, 9, 10), foods="red", jars="half-pint")
    assert figures(ask(jars="quarter-pint", rows=(*ROWS, small))) == (7, 7, False)


# --- Packs ---


def test_both_packs_possible_means_both_times_possible() -> None:
    assert figures(ask(packs=HOT_OR_RAW)) == (20, 25, False)


def test_a_pack_without_a_row_has_no_time_and_is_flagged_when_it_is_only_possible() -> None:
    assert ask(foods="blue", packs=RAW) is None
    assert figures(ask(foods="blue", packs=HOT_OR_RAW)) == (40, 40, True)


# --- Sterile jars ---


@pytest.mark.parametrize(("sterile", "least", "most"), [(YES, 5, 5), (NO, 10, 10), (EITHER, 5, 10)])
def test_jars_not_boiled_first_need_five_minutes_more_where_the_row_is_for_sterile_ones(
    sterile: frozenset[bool], least: float, most: float
) -> None:
    assert figures(ask(foods="green", sterile=sterile)) == (least, most, False)


@pytest.mark.parametrize(("feet", "minutes"), [(0, 10), (1001, 15), (3001, 15), (6001, 20)])
def test_the_five_minutes_are_added_at_every_height(feet: float, minutes: float) -> None:
    assert figures(ask(foods="green", sterile=NO, low=feet)) == (minutes, minutes, False)


def test_jars_need_not_be_boiled_for_rows_of_ten_minutes_and_more() -> None:
    assert ask(sterile=NO) == ask(sterile=YES)


# --- Foods ---


def test_a_row_that_names_the_food_beats_the_row_for_any_food() -> None:
    found = ask(foods="red")
    assert found is not None and found.rows == (NAMED,)


def test_a_named_food_does_not_fall_back_on_the_general_row_for_a_pack_it_lacks() -> None:
    assert ask(foods="blue", packs=RAW, rows=(*ROWS, row("generic-raw", packs="raw"))) is None


def test_a_food_no_row_names_takes_the_row_for_any_food() -> None:
    found = ask(foods="violet")
    assert found is not None and found.rows == (GENERIC,)
    assert figures(found) == (10, 10, False)


def test_a_food_no_row_names_has_no_time_where_there_is_no_general_row() -> None:
    assert ask(foods="violet", rows=(NAMED, OTHER)) is None


def test_several_foods_are_held_to_the_rows_of_each() -> None:
    assert figures(ask(foods="red blue")) == (20, 40, False)
    assert figures(ask(foods="red violet")) == (10, 20, False), "one of them takes the general row"


def test_one_food_without_a_row_rests_on_the_others() -> None:
    assert figures(ask(foods="red violet", rows=(NAMED, OTHER))) == (20, 20, False)


def test_while_no_food_is_named_every_row_of_the_product_is_possible() -> None:
    assert figures(ask(foods="")) == (5, 40, False)
    assert figures(ask(foods="", rows=(NAMED, OTHER))) == (20, 40, True), "a food without any row is possible too"


def test_an_unnamed_food_may_be_one_that_only_the_general_row_covers() -> None:
    assert figures(ask(foods="", rows=(GENERIC,))) == (10, 10, False)
    assert figures(ask(foods="", rows=(row("long", (60, 65, 70, 75)), NAMED))) == (20, 60, False)


def test_an_unnamed_food_is_not_cleared_by_another_foods_smaller_jar() -> None:
    small = row("small", (7, 8, 9, 10), foods="green", jars="half-pint")
    assert figures(ask(foods="", jars="half-pint", rows=(small, OTHER))) == (7, 40, True)


def test_another_product_has_rows_of_its_own() -> None:
    assert ask(product="elsewhere") is None
    assert figures(ask(product="both", rows=(row("x", products="thing both", foods="red"),))) == (10, 10, False)


def test_nothing_possible_at_all_gives_no_time() -> None:
    assert ask(packs=frozenset()) is None
    assert ask(jars="") is None
    assert ask(sterile=frozenset()) is None
    assert ask(rows=()) is None
    assert ask(foods="", rows=()) is None


def test_the_rows_that_ask_are_told_in_the_order_of_the_table() -> None:
    found = ask(foods="red blue", packs=HOT_OR_RAW, jars="quart pint")
    assert found is not None
    assert [each.id for each in found.rows] == ["named", "named-quart", "named-raw", "other"]


# --- Properties ---

foods = st.frozensets(st.sampled_from(["red", "blue", "green", "violet"]), min_size=1)
packs = st.frozensets(st.sampled_from(["hot", "raw"]), min_size=1)
jars = st.frozensets(st.sampled_from(JAR_SIZES), min_size=1)
sterile = st.frozensets(st.booleans(), min_size=1)
heights = st.floats(-1000, 15_000)


@given(foods, packs, jars, sterile, heights, heights)
def test_a_higher_kitchen_never_needs_fewer_minutes(
    f: frozenset[str], p: frozenset[str], j: frozenset[str], s: frozenset[bool], one: float, other: float
) -> None:
    low, high = sorted((one, other))
    below, above = (required_minutes(ROWS, "thing", f, p, j, s, at, at) for at in (low, high))
    if below is None or above is None:
        assert below == above
    else:
        assert above.lo >= below.lo and above.hi >= below.hi


@given(foods, packs, packs, jars, jars, sterile, sterile, heights, heights)
def test_knowing_less_never_lowers_the_longest_nor_raises_the_shortest_nor_hides_a_gap(
    f: frozenset[str], p1: frozenset[str], p2: frozenset[str], j1: frozenset[str], j2: frozenset[str],
    s1: frozenset[bool], s2: frozenset[bool], one: float, other: float,
) -> None:  # fmt: skip
    sure = required_minutes(ROWS, "thing", f, p1, j1, s1, one, one)
    vague = required_minutes(ROWS, "thing", f, p1 | p2, j1 | j2, s1 | s2, min(one, other), max(one, other))
    if sure is not None:
        assert vague is not None
        assert vague.lo <= sure.lo and vague.hi >= sure.hi
        assert vague.uncovered or not sure.uncovered
    elif vague is not None:
        assert vague.uncovered


@given(packs, jars, sterile, heights)
def test_an_unnamed_food_asks_for_no_less_than_any_named_one(
    p: frozenset[str], j: frozenset[str], s: frozenset[bool], feet: float
) -> None:
    unnamed = required_minutes(ROWS, "thing", ANY_FOOD, p, j, s, feet, feet)
    for food in ("red", "blue", "green", "violet"):
        named = required_minutes(ROWS, "thing", frozenset({food}), p, j, s, feet, feet)
        if named is not None:
            assert unnamed is not None
            assert unnamed.lo <= named.lo and unnamed.hi >= named.hi


@given(st.permutations(ROWS), packs, jars)
def test_the_order_of_the_table_changes_no_minutes(
    rows: list[ProcessRow], p: frozenset[str], j: frozenset[str]
) -> None:
    shuffled = required_minutes(rows, "thing", frozenset({"red", "blue"}), p, j, EITHER, 0, 9000)
    usual = required_minutes(ROWS, "thing", frozenset({"red", "blue"}), p, j, EITHER, 0, 9000)
    assert (shuffled and figures(shuffled)) == (usual and figures(usual))


def test_a_row_cannot_be_changed_after_it_was_read() -> None:
    with pytest.raises(AttributeError):
        GENERIC.sterile_jars = True  # type: ignore[misc]
    assert GENERIC._replace(sterile_jars=True) != GENERIC
