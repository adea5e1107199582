"""Gauge pressures are the printed ones and no others, stricter between the bands; the steam they make is as hot as the guides count on."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.engine.published import with_tables
from bot.kitchen.boiling import HIGHEST_FEET, LOWEST_FEET, boiling_point_f, pressure_at
from bot.kitchen.pressure import HIGHEST_PSI, PressureRow, dial_setting, published_row, steam_temperature_f
from bot.library import load

ROOT = Path(__file__).parents[2]
UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
DATA: dict[str, Any] = yaml.load((ROOT / "tests/published/pressure.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
ROWS: tuple[PressureRow, ...] = with_tables(load()).tables["pressure"]  # type: ignore[assignment]
GAUGES = sorted({(row.foods, row.gauge) for row in ROWS})
TOPS = [float(top) for top in DATA["printed"]["tops"]]
heights = st.floats(LOWEST_FEET, HIGHEST_FEET)
gauges = st.sampled_from(GAUGES)


def psi_at(foods: str, gauge: str, low: float, high: float | None = None) -> float | None:
    found = published_row(ROWS, foods, gauge, low, low if high is None else high)
    return found and found.psi


@pytest.mark.parametrize("line", DATA["printed"]["rows"])
def test_pressures_are_the_printed_ones_on_both_sides_of_every_band_edge(line: str) -> None:
    named, _, figures = line.partition(" = ")
    foods, _, gauge = named.partition(" / ")
    psi, _, kilopascals = figures.partition("; ")
    columns = [float(each) for each in psi.split()]
    for bottom, top, printed in zip([-300.0, *TOPS], TOPS, columns, strict=False):
        for feet in (bottom + 0.001, bottom + 1, (bottom + top) / 2, top - 1, top):
            assert psi_at(foods, gauge, feet) == printed, feet
    assert [round(each * 6.894757) for each in columns] == [int(each) for each in kilopascals.split()]


@pytest.mark.parametrize("story", DATA["nothing-printed"]["rows"])
def test_where_nothing_is_printed_nothing_is_told(story: str) -> None:
    foods, gauge, feet = story.split(" / ")
    assert psi_at(foods, gauge, float(feet)) is None


def test_every_row_of_the_knowledge_stands_behind_some_printed_line() -> None:
    lines = {line.partition(" = ")[0] for line in DATA["printed"]["rows"]}
    assert {f"{row.foods} / {row.gauge}" for row in ROWS} == lines


@pytest.mark.parametrize(("foods", "gauge"), GAUGES)
def test_bands_follow_one_another_without_a_gap_and_ask_for_more(foods: str, gauge: str) -> None:
    bands = [row for row in ROWS if (row.foods, row.gauge) == (foods, gauge)]
    assert bands[0].above_ft == 0
    for lower, upper in pairwise(bands):
        assert lower.to_ft == upper.above_ft and lower.psi < upper.psi


@pytest.mark.parametrize(("psi", "feet", "kilopascals", "fahrenheit"), DATA["steam"]["rows"])
def test_steam_is_as_hot_as_the_formulations_of_its_properties_say(
    psi: str, feet: str, kilopascals: str, fahrenheit: str
) -> None:
    assert steam_temperature_f(float(psi), float(feet)) == pytest.approx(
        float(fahrenheit), abs=float(DATA["steam"]["within_f"])
    )
    assert float(psi) * 6.894757 + pressure_at(float(feet)) / 1000 == pytest.approx(float(kilopascals), abs=0.006)


@pytest.mark.parametrize(("psi", "feet", "fahrenheit"), DATA["steam-by-antoine"]["rows"])
def test_steam_is_near_what_a_coarser_formula_gives(psi: str, feet: str, fahrenheit: str) -> None:
    within = float(DATA["steam-by-antoine"]["within_f"])
    assert steam_temperature_f(float(psi), float(feet)) == pytest.approx(float(fahrenheit), abs=within)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row.foods == "low-acid" and row.gauge == "dial"], ids=lambda row: row.id
)
def test_the_printed_dial_pressures_make_steam_of_about_240_degrees_up_to_the_top_of_their_band(
    row: PressureRow,
) -> None:
    meant = float(DATA["meant"]["fahrenheit"])
    coolest, hottest = steam_temperature_f(row.psi, row.to_ft), steam_temperature_f(row.psi, row.above_ft)
    assert meant - float(DATA["meant"]["below_f"]) <= coolest
    assert coolest < hottest <= meant + float(DATA["meant"]["above_f"])


def test_the_heights_at_which_the_weighted_rows_end_still_have_steam_that_hot() -> None:
    ends = {
        row.foods: steam_temperature_f(row.psi, row.to_ft) for row in ROWS if row.gauge == "weighted" and row.above_ft
    }
    assert ends["low-acid"] >= 240
    assert ends["fruit"] >= steam_temperature_f(6, 2000), "the coolest that the dial column for fruit allows"


@pytest.mark.parametrize(("psi", "reads_high", "shows"), DATA["dial-settings"]["rows"])
def test_a_dial_that_reads_high_is_taken_higher_and_one_that_reads_low_is_left(
    psi: str, reads_high: str, shows: str
) -> None:
    assert dial_setting(float(psi), float(reads_high)) == float(shows)


@pytest.mark.parametrize("off", [*DATA["dial-settings"]["replaced"], "nan", "inf"])
def test_a_dial_that_is_too_far_off_is_replaced(off: str) -> None:
    with pytest.raises(ValueError, match="has to be replaced"):
        dial_setting(11, float(off))


@pytest.mark.parametrize(
    ("psi", "feet"), [(-1, 0), (20.1, 0), (76, 0), (float("nan"), 0), (11, 20_000), (11, float("nan"))]
)
def test_no_canner_and_no_kitchen_are_refused(psi: float, feet: float) -> None:
    with pytest.raises(ValueError):
        steam_temperature_f(psi, feet)


@pytest.mark.parametrize(("low", "high"), [(2000, 1000), (float("nan"), 1000), (0, float("nan"))])
def test_heights_in_the_wrong_order_are_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="wrong order, or no numbers"):
        published_row(ROWS, "low-acid", "dial", low, high)


@UNTIMED
@given(heights, st.floats(0, HIGHEST_PSI), st.floats(0, HIGHEST_PSI))
def test_more_pressure_is_hotter_and_none_is_the_boil(feet: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert boiling_point_f(feet) == pytest.approx(steam_temperature_f(0, feet), abs=1e-9)
    assert steam_temperature_f(low, feet) <= steam_temperature_f(high, feet)


@UNTIMED
@given(heights, heights, st.floats(0, HIGHEST_PSI))
def test_higher_up_the_same_gauge_pressure_is_cooler(one: float, other: float, psi: float) -> None:
    low, high = sorted((one, other))
    assert steam_temperature_f(psi, high) <= steam_temperature_f(psi, low)


@UNTIMED
@given(gauges, heights, heights)
def test_a_higher_kitchen_never_gets_a_lower_pressure(gauge: tuple[str, str], one: float, other: float) -> None:
    low, high = sorted((one, other))
    below, above = psi_at(*gauge, low), psi_at(*gauge, high)
    if above is not None:
        assert below is not None and below <= above


@UNTIMED
@given(gauges, heights, heights, heights)
def test_a_height_known_only_roughly_gets_no_less_than_any_height_in_it(
    gauge: tuple[str, str], one: float, other: float, third: float
) -> None:
    low, middle, high = sorted((one, other, third))
    roughly, there = psi_at(*gauge, low, high), psi_at(*gauge, middle)
    if roughly is not None:
        assert there is not None and there <= roughly
    if there is None:
        assert roughly is None
