"""Boiling and gel points agree with published tables and steam properties, fall with height, and refuse what is no kitchen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.boiling import (
    HIGHEST_FEET,
    LOWEST_FEET,
    boiling_point_f,
    gel_point_f,
    gel_target_on_thermometer,
    pressure_at,
    saturation_temperature_c,
    thermometer_offset,
)
from bot.kitchen.units import c_to_f, f_to_c

ROOT = Path(__file__).parents[2]
DATA: dict[str, Any] = yaml.load(
    (ROOT / "tests/published/boiling-points.yaml").read_text("utf-8"), Loader=yaml.BaseLoader
)
heights = st.floats(LOWEST_FEET, HIGHEST_FEET)


def rows(block: str) -> list[Any]:
    found = DATA[block]["rows"]
    return list(found.items()) if isinstance(found, dict) else found


def within(block: str, unit: str) -> float:
    return float(DATA[block][f"within_{unit}"])


@pytest.mark.parametrize(("megapascals", "kelvin"), rows("saturation"))
def test_saturation_temperature_is_that_of_the_formulations_own_verification_table(
    megapascals: str, kelvin: str
) -> None:
    found = saturation_temperature_c(float(megapascals) * 1e6) + 273.15
    assert found == pytest.approx(float(kelvin), abs=within("saturation", "k"))


@pytest.mark.parametrize(("feet", "figures"), rows("standard-atmosphere"))
def test_pressure_and_boiling_point_follow_the_standard_atmosphere(feet: str, figures: list[str]) -> None:
    pascals, by_if97, by_iapws95 = map(float, figures)
    assert pressure_at(float(feet)) == pytest.approx(pascals, abs=within("standard-atmosphere", "pa"))
    boils = f_to_c(boiling_point_f(float(feet)))
    assert boils == pytest.approx(by_if97, abs=within("standard-atmosphere", "c"))
    assert boils == pytest.approx(by_iapws95, abs=within("standard-atmosphere", "c"))


@pytest.mark.parametrize(("feet", "figures"), rows("geometric-atmosphere"))
def test_pressure_is_near_that_of_reference_libraries_that_take_geometric_height(feet: str, figures: list[str]) -> None:
    for pascals in figures:
        assert pressure_at(float(feet)) == pytest.approx(float(pascals), abs=within("geometric-atmosphere", "pa"))


@pytest.mark.parametrize(("hectopascals", "fahrenheit"), rows("by-pressure"))
def test_weather_moves_the_boiling_point_by_the_published_amount(hectopascals: str, fahrenheit: str) -> None:
    found = c_to_f(saturation_temperature_c(float(hectopascals) * 100))
    assert found == pytest.approx(float(fahrenheit), abs=within("by-pressure", "f"))


@pytest.mark.parametrize(("feet", "figures"), rows("decimal-table"))
def test_boiling_point_is_near_the_published_decimal_table(feet: str, figures: list[str]) -> None:
    fahrenheit, celsius = map(float, figures)
    assert boiling_point_f(float(feet)) == pytest.approx(fahrenheit, abs=within("decimal-table", "f"))
    assert c_to_f(celsius) == pytest.approx(fahrenheit, abs=0.1), "the two columns of the table belong together"


@pytest.mark.parametrize("table", ["guide-table", "rounded-table"])
def test_boiling_point_is_within_a_degree_of_tables_in_whole_degrees(table: str) -> None:
    for feet, fahrenheit in rows(table):
        assert boiling_point_f(float(feet)) == pytest.approx(float(fahrenheit), abs=within(table, "f")), feet


@pytest.mark.parametrize(("metres", "figures"), rows("metric-table"))
def test_boiling_point_is_near_a_metric_table(metres: str, figures: list[str]) -> None:
    celsius, near = map(float, figures)
    assert boiling_point_f(float(metres) / 0.3048) == pytest.approx(c_to_f(celsius), abs=near)


@pytest.mark.parametrize(("feet", "fahrenheit"), rows("gel-table"))
def test_gel_point_is_within_a_degree_of_the_published_altitude_table(feet: str, fahrenheit: str) -> None:
    assert gel_point_f(float(feet)) == pytest.approx(float(fahrenheit), abs=within("gel-table", "f"))


@pytest.mark.parametrize(("reading", "feet", "offset"), rows("thermometer"))
def test_offset_is_the_reading_less_the_true_boiling_point(reading: str, feet: str, offset: str) -> None:
    found = thermometer_offset(float(reading), float(feet))
    assert found == pytest.approx(float(offset), abs=within("thermometer", "f"))


@pytest.mark.parametrize("feet", [LOWEST_FEET, HIGHEST_FEET])
def test_the_ends_of_the_range_can_be_worked_out(feet: float) -> None:
    assert 184 < boiling_point_f(feet) < 214


@pytest.mark.parametrize("feet", [-1001.0, 15_001.0, 52_800.0, float("nan"), float("inf")])
@pytest.mark.parametrize(
    "work_out", [pressure_at, boiling_point_f, gel_point_f, lambda feet: thermometer_offset(212.0, feet)]
)
def test_a_height_where_nobody_cooks_is_refused_with_the_range_and_a_hint(feet: float, work_out: Any) -> None:
    with pytest.raises(ValueError, match=r"from -1,000 to 15,000 ft .* another unit"):
        work_out(feet)


@pytest.mark.parametrize("pascals", [0.0, -5.0, 611.0, 2.3e7, float("nan")])
def test_a_pressure_at_which_water_has_no_boiling_point_is_refused(pascals: float) -> None:
    with pytest.raises(ValueError, match="does not boil"):
        saturation_temperature_c(pascals)


@given(heights, heights)
def test_higher_up_the_air_is_thinner_and_water_boils_cooler(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert pressure_at(high) <= pressure_at(low)
    assert boiling_point_f(high) <= boiling_point_f(low)
    if high - low >= 1:
        assert boiling_point_f(high) < boiling_point_f(low)


@given(heights)
def test_water_boils_about_two_degrees_cooler_for_each_thousand_feet(feet: float) -> None:
    if feet + 1000 <= HIGHEST_FEET:
        assert 1.75 < boiling_point_f(feet) - boiling_point_f(feet + 1000) < 1.95


@given(heights)
def test_the_gel_point_lies_eight_degrees_above_boiling_everywhere(feet: float) -> None:
    assert gel_point_f(feet) - boiling_point_f(feet) == pytest.approx(8.0, abs=1e-9)


@given(heights, st.floats(-20, 20))
def test_a_wrong_thermometer_still_finds_the_gel_point_from_its_own_boiling_reading(feet: float, error: float) -> None:
    reading = boiling_point_f(feet) + error
    assert thermometer_offset(reading, feet) == pytest.approx(error, abs=1e-9)
    assert gel_target_on_thermometer(reading) - error == pytest.approx(gel_point_f(feet), abs=1e-9)


@pytest.mark.parametrize(("table", "block", "key", "column"), [
    ("gel-temperatures", "gel-table", "gel_f", None),
    ("boiling-points", "decimal-table", "decimal_f", 0),
    ("boiling-points", "decimal-table", "decimal_c", 1),
    ("boiling-points", "guide-table", "whole_f", None),
])  # fmt: skip
def test_the_table_in_the_knowledge_is_the_printed_one(table: str, block: str, key: str, column: int | None) -> None:
    path = ROOT / f"knowledge/tables/{table}.yaml"
    known = yaml.load(path.read_text("utf-8"), Loader=yaml.BaseLoader)["rows"].values()
    printed = {feet: float(figure if column is None else figure[column]) for feet, figure in rows(block)}
    assert {row["feet"]: float(row[key]) for row in known if key in row} == printed
