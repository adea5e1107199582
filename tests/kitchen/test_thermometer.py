"""A thermometer is as good as its reading in boiling water: classes, the truth behind a reading, ice water, and the unit it was told in."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.kitchen.boiling import HIGHEST_FEET, LOWEST_FEET, boiling_point_f
from bot.kitchen.thermometer import (
    OFFSET_UNCERTAINTY_F,
    Interval,
    bath_reading_f,
    by_two_points,
    offset_class,
    offsets_to_allow_for,
    true_interval,
)

ROOT = Path(__file__).parents[2]
UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
DATA: dict[str, Any] = yaml.load((ROOT / "tests/published/thermometer.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
heights = st.floats(LOWEST_FEET, HIGHEST_FEET)
readings = st.floats(150, 230)
offsets = st.floats(-5, 5)


@pytest.mark.parametrize(("reading", "feet", "kind"), DATA["classes"]["rows"])
def test_a_reading_in_boiling_water_says_what_the_thermometer_is_worth(reading: str, feet: str, kind: str) -> None:
    assert offset_class(float(reading), float(feet)) == kind


@pytest.mark.parametrize(("reading", "ice", "boiling", "feet", "true"), DATA["two-points"]["rows"])
def test_ice_water_and_boiling_water_together_give_the_true_temperature(
    reading: str, ice: str, boiling: str, feet: str, true: str
) -> None:
    found = by_two_points(float(reading), float(ice), float(boiling), float(feet))
    assert found == pytest.approx(float(true), abs=float(DATA["two-points"]["within_f"]))


@pytest.mark.parametrize(("told", "unit", "fahrenheit"), DATA["units"]["fits"])
def test_a_reading_of_a_bath_is_taken_in_the_unit_it_was_told_in(told: str, unit: Any, fahrenheit: str) -> None:
    assert bath_reading_f(float(told), unit) == pytest.approx(float(fahrenheit), abs=float(DATA["units"]["within_f"]))


@pytest.mark.parametrize(("told", "unit"), DATA["units"]["asked-back"])
def test_a_reading_that_looks_like_the_other_unit_is_asked_back(told: str, unit: Any) -> None:
    with pytest.raises(ValueError, match=rf"is it {told} °{'C' if unit == 'F' else 'F'}"):
        bath_reading_f(float(told), unit)


def test_an_accurate_thermometer_may_be_right_or_off_by_what_was_found() -> None:
    assert offsets_to_allow_for(213.95, 0) == pytest.approx((0, 2.0), abs=0.01)
    assert offsets_to_allow_for(210.95, 0) == pytest.approx((-1.0, 0), abs=0.01)


def test_one_that_is_off_is_corrected_and_one_that_is_worse_decides_nothing() -> None:
    assert offsets_to_allow_for(215.95, 0) == pytest.approx((4.0, 4.0), abs=0.01)
    assert offsets_to_allow_for(214, 2000) is None, "5.7 °F off"
    assert offsets_to_allow_for(100, 0) is None, "no boiling water in °F"


def test_the_low_end_is_for_a_minimum_and_the_high_end_for_a_maximum() -> None:
    assert true_interval(182, 2, 1) == (179, 181)
    assert true_interval(182, Interval(-1, 2), 1) == (179, 184)
    assert true_interval(182) == (182 - OFFSET_UNCERTAINTY_F, 182 + OFFSET_UNCERTAINTY_F)


def test_three_degrees_too_high_can_hide_water_that_is_too_cold() -> None:
    """A shown 180 to 185 °F may be 177 to 182 °F."""
    assert true_interval(180, 3, 0).lo == 177
    assert true_interval(185, 3, 0).hi == 182


@pytest.mark.parametrize("bad", [
    lambda: true_interval(float("nan")), lambda: true_interval(182, float("inf")), lambda: true_interval(182, 0, -1),
    lambda: true_interval(182, Interval(2, 1)), lambda: true_interval(182, 0, float("nan")), lambda: offset_class(float("nan"), 0),
    lambda: offset_class(212, 20_000), lambda: bath_reading_f(float("nan"), "F"), lambda: bath_reading_f(182, "K"),  # type: ignore[arg-type]
    lambda: by_two_points(182, 0, 212, 0), lambda: by_two_points(182, 32, 100, 0), lambda: by_two_points(182, 32, 212, 5000),
    lambda: by_two_points(float("nan"), 32, 212, 0),
])  # fmt: skip
def test_what_is_no_reading_is_refused(bad: Any) -> None:
    with pytest.raises(ValueError):
        bad()


@UNTIMED
@given(readings, offsets, offsets, st.floats(0, 5))
def test_more_doubt_never_narrows_the_truth(reading: float, one: float, other: float, uncertainty: float) -> None:
    sure = true_interval(reading, one, 0)
    doubtful = true_interval(reading, Interval(min(one, other), max(one, other)), uncertainty)
    assert doubtful.lo <= sure.lo <= sure.hi <= doubtful.hi


@UNTIMED
@given(readings, offsets, st.floats(0, 5))
def test_the_truth_lies_in_the_interval(true: float, offset: float, uncertainty: float) -> None:
    found = true_interval(true + offset, offset, uncertainty)
    assert found.lo - 1e-9 <= true <= found.hi + 1e-9


@UNTIMED
@given(heights, st.floats(-5, 5))
def test_an_offset_that_counts_leads_back_to_the_boiling_point(feet: float, offset: float) -> None:
    reading = boiling_point_f(feet) + offset
    allowed = offsets_to_allow_for(reading, feet)
    if allowed is not None:
        found = true_interval(reading, allowed, 0)
        assert found.lo - 1e-9 <= boiling_point_f(feet) <= found.hi + 1e-9


@UNTIMED
@given(heights)
def test_a_right_thermometer_is_accurate_at_every_height(feet: float) -> None:
    assert offset_class(boiling_point_f(feet), feet) == "accurate"


@UNTIMED
@given(st.floats(-2000, 2000), heights)
def test_a_reading_further_off_never_has_a_better_class(by: float, feet: float) -> None:
    order = ["accurate", "off", "questioned", "impossible"]
    nearer, further = (offset_class(boiling_point_f(feet) + part * by, feet) for part in (0.5, 1.0))
    assert order.index(nearer) <= order.index(further)


@UNTIMED
@given(heights, st.floats(-2, 2), st.floats(-2, 2), readings)
def test_two_points_undo_a_thermometer_that_is_off_along_a_line(
    feet: float, at_ice: float, at_boil: float, true: float
) -> None:
    boils = boiling_point_f(feet)
    shown = true + at_ice + (at_boil - at_ice) * (true - 32) / (boils - 32)
    assert by_two_points(shown, 32 + at_ice, boils + at_boil, feet) == pytest.approx(true, abs=1e-6)


@UNTIMED
@given(st.floats(-50, 300), st.sampled_from(["F", "C"]))
def test_no_number_is_taken_in_both_units(told: float, unit: Any) -> None:
    taken = []
    for each in ("F", "C"):
        try:
            taken.append(bath_reading_f(told, each))  # type: ignore[arg-type]
        except ValueError:
            continue
    assert len(taken) == 1
