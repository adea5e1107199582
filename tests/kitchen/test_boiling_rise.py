"""Rises above boiling water agree with the published tables, and a reading gives back a range wide enough for what is not known."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from bot.kitchen.boiling import boiling_point_f, pressure_at
from bot.kitchen.boiling_rise import (
    HIGHEST_PERCENT,
    INVERTED,
    LOWEST_PERCENT,
    PublishedRise,
    checked_rise,
    pressure_where_water_boils_at,
    rise_f,
    solids_at_rise,
    solids_from_reading,
    sucrose_rise_f,
)

ROOT = Path(__file__).parents[2]


def read(path: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.load((ROOT / path).read_text("utf-8"), Loader=yaml.BaseLoader)
    return found


DATA = read("tests/published/boiling-rise.yaml")
KNOWN = [
    PublishedRise(float(r["percent"]), float(r["rise_c"]))
    for r in read("knowledge/tables/boiling-rise.yaml")["rows"].values()
]
percents = st.floats(LOWEST_PERCENT, HIGHEST_PERCENT)
shares = st.floats(0, 1)


def rows(block: str) -> list[Any]:
    return list(DATA[block]["rows"].items())


def test_the_table_in_the_knowledge_is_the_printed_one() -> None:
    assert [PublishedRise(float(percent), float(celsius)) for percent, celsius in rows("table-of-1912")] == KNOWN


@pytest.mark.parametrize(("percent", "figures"), rows("sucrose"))
def test_sucrose_boils_as_far_above_water_as_the_four_sources_say(percent: str, figures: list[str]) -> None:
    found = sucrose_rise_f(float(percent), KNOWN)
    celsius, near = [float(each) for each in figures], float(DATA["sucrose"]["within_c"])
    assert found.unit == "°F"
    assert found.lo / 1.8 == pytest.approx(min(celsius), abs=near)
    assert found.hi / 1.8 == pytest.approx(max(celsius), abs=near)
    assert rise_f(float(percent), 0.0) / 1.8 == pytest.approx(celsius[1], abs=near)


@pytest.mark.parametrize(("percent", "celsius"), rows("cookery"))
def test_the_range_holds_what_cookery_books_print(percent: str, celsius: str) -> None:
    found, near = sucrose_rise_f(float(percent), KNOWN), float(DATA["cookery"]["within_c"])
    assert found.lo / 1.8 - near <= float(celsius) <= found.hi / 1.8 + near


@pytest.mark.parametrize(("percent", "fahrenheit"), rows("maple"))
def test_nearly_pure_sucrose_is_finished_where_its_makers_finish_it(percent: str, fahrenheit: str) -> None:
    found, near = rise_f(float(percent), 0.0), float(DATA["maple"]["within_f"])
    least, most = map(float, DATA["maple"]["practice_f"])
    assert found == pytest.approx(float(fahrenheit), abs=near)
    assert least - near <= found <= most + near


@pytest.mark.parametrize(("share", "celsius"), rows("split"))
def test_split_sugars_raise_the_boiling_point_more(share: str, celsius: str) -> None:
    assert rise_f(65.0, float(share)) / 1.8 == pytest.approx(float(celsius), abs=float(DATA["split"]["within_c"]))


def test_the_share_taken_as_split_lies_within_what_was_measured() -> None:
    assert float(DATA["inversion"]["least"]) / 100 < INVERTED[0] < INVERTED[1] < float(DATA["inversion"]["most"]) / 100


@pytest.mark.parametrize(("fahrenheit", "figures"), rows("solids"))
def test_solids_by_rise_are_those_worked_out_for_each_share_split(fahrenheit: str, figures: list[str]) -> None:
    near = float(DATA["solids"]["within_percent"])
    for share, printed in zip((0.0, 0.15, 0.30, 0.50), figures, strict=False):
        assert solids_at_rise(float(fahrenheit), share) == pytest.approx(float(printed), abs=near), share


@pytest.mark.parametrize(("fahrenheit", "figures"), [each for each in rows("solids") if float(each[0]) >= 8])
def test_between_its_lines_the_old_table_is_straight(fahrenheit: str, figures: list[str]) -> None:
    found = sucrose_rise_f(float(figures[-1]), KNOWN).hi  # the highest of the sources from 65 % on
    assert found == pytest.approx(float(fahrenheit), abs=0.1)


@pytest.mark.parametrize(("feet", "celsius"), rows("heights"))
def test_height_hardly_changes_the_rise(feet: str, celsius: str) -> None:
    found = rise_f(65.0, 0.0, pressure_at(float(feet))) / 1.8
    assert found == pytest.approx(float(celsius), abs=float(DATA["heights"]["within_c"]))


def test_at_five_thousand_feet_the_same_rise_means_half_a_point_more() -> None:
    found = solids_at_rise(8.0, 0.30, pressure_at(5000))
    near = float(DATA["heights"]["solids_within"])
    assert found == pytest.approx(float(DATA["heights"]["solids_at_5000_ft"]), abs=near)


def test_eight_degrees_above_water_is_told_with_all_that_is_not_known() -> None:
    found = solids_from_reading(220.0, 212.0)
    assert found == (59.0, 69.0, "%")
    for doubt in ("one_degree", "together"):
        least, most = map(float, DATA["doubt"][doubt])
        assert found.lo <= least < most <= found.hi
    assert found.lo < 65 < found.hi


@given(percents, shares, st.floats(60_000, 103_000))
@example(79.99999999999999, 0.0, 65_492.3125)
def test_turned_round_it_gives_back_the_solids(percent: float, share: float, pascals: float) -> None:
    assert solids_at_rise(rise_f(percent, share, pascals), share, pascals) == pytest.approx(percent, abs=0.01)


@given(percents, percents, shares)
def test_more_sugar_boils_hotter(one: float, other: float, share: float) -> None:
    if abs(one - other) > 0.01:
        assert rise_f(min(one, other), share) < rise_f(max(one, other), share)
        assert sucrose_rise_f(min(one, other), KNOWN).hi <= sucrose_rise_f(max(one, other), KNOWN).hi


@given(percents)
def test_the_ends_of_a_rise_are_in_order_and_not_on_top_of_one_another(percent: float) -> None:
    found = sucrose_rise_f(percent, KNOWN)
    assert 0 < found.lo < found.hi
    assert found.lo <= rise_f(percent, 0.0) <= found.hi


@given(st.floats(5, 12), st.floats(-1, 1), st.floats(*INVERTED), st.floats(194, 213))
def test_whatever_fits_the_reading_is_in_the_range(rise: float, error: float, share: float, boils: float) -> None:
    found = solids_from_reading(boils + rise, boils)
    true = solids_at_rise(rise + error, share, pressure_where_water_boils_at(boils))
    assert found.lo <= true <= found.hi
    assert found.hi - found.lo >= 6  # nobody is told one number


@given(st.floats(5, 12), st.floats(5, 12))
def test_a_hotter_reading_never_means_less(one: float, other: float) -> None:
    cooler, hotter = (solids_from_reading(212 + each, 212.0) for each in sorted((one, other)))
    assert cooler.lo <= hotter.lo
    assert cooler.hi <= hotter.hi


@given(st.floats(-1000, 15_000))
def test_pressure_is_found_from_where_water_boils(feet: float) -> None:
    assert pressure_where_water_boils_at(boiling_point_f(feet)) == pytest.approx(pressure_at(feet), abs=5)


@pytest.mark.parametrize(("reading", "water", "complaint"), [
    (216.9, 212.0, r"far from set: boil on, and read again from 5 °F above"), (212.0, 212.0, r"far from set"),
    (224.5, 212.0, r"past any set: take the pot off the heat"), (211.0, 212.0, r"no reading of a boiling pot: .* read again"),
    (230.0, 212.0, r"no reading of a boiling pot"), (220.0, 218.0, r"190 to 216 °F; check the unit"),
    (104.4, 100.0, r"check the unit"), (220.0, 189.0, r"check the unit"), (float("nan"), 212.0, r"no reading"),
])  # fmt: skip
def test_no_solids_are_told_where_no_figure_is_honest(reading: float, water: float, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        solids_from_reading(reading, water)


@pytest.mark.parametrize(("reading", "rise"), [(212.0, 0.0), (217.0, 5.0), (224.0, 12.0)])
def test_the_ends_of_what_can_be_read_are_taken(reading: float, rise: float) -> None:
    assert checked_rise(reading, 212.0) == rise


@pytest.mark.parametrize("percent", [9.9, 80.1, -5.0, float("nan")])
def test_solutions_outside_the_tables_are_refused(percent: float) -> None:
    for work_out in (lambda: sucrose_rise_f(percent, KNOWN), lambda: rise_f(percent, 0.3)):
        with pytest.raises(ValueError, match="give 10 to 80 %"):
            work_out()


@pytest.mark.parametrize("share", [-0.1, 1.1])
def test_a_share_split_lies_between_none_and_all(share: float) -> None:
    with pytest.raises(ValueError, match="0 to 1"):
        rise_f(65.0, share)


@pytest.mark.parametrize("rise", [0.0, 40.0])
def test_a_rise_of_no_solution_is_refused(rise: float) -> None:
    with pytest.raises(ValueError, match="read both temperatures again"):
        solids_at_rise(rise, 0.3)


@pytest.mark.parametrize("reading", [149.0, 231.0])
def test_a_boiling_point_of_no_kitchen_is_refused(reading: float) -> None:
    with pytest.raises(ValueError, match="check the unit"):
        pressure_where_water_boils_at(reading)


def test_a_table_that_does_not_reach_far_enough_is_refused() -> None:
    with pytest.raises(ValueError, match="reaches from below it to above it"):
        sucrose_rise_f(65.0, KNOWN[:20])
