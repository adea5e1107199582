"""Jars expected: densities are the published ones, printed recipes fill what they say, promises are kept and no jar is missing."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.published import with_tables
from bot.kitchen.boil_off import finished_grams
from bot.kitchen.jars_expected import COLD_C, FILLED_C, JarsExpected, density, jars_of_volume, jars_of_weight, volume_of
from bot.kitchen.ranges import Range, exactly
from bot.kitchen.soluble_solids import FoodSolids, Part, batch_grams, batch_solids, food_solids, grams_of_cups
from bot.kitchen.units import convert
from bot.library import load

ROOT = Path(__file__).parents[2]


def read(path: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.load((ROOT / path).read_text("utf-8"), Loader=yaml.BaseLoader)
    return found


DENSITY, BATCHES = read("tests/published/sucrose-density.yaml"), read("tests/published/boil-off.yaml")
HALF_PINT = float(convert(Fraction(1), "cup", "mL"))
SIXTY_FIVE = exactly(65, "%")
ANY: frozenset[str] = frozenset()
VOLUMES = [
    pytest.param(row["parts"], target, figures, id=f"{name} to {target} %")
    for name, row in BATCHES["batches"].items()
    if isinstance(row, dict)
    for target, figures in row["targets"].items()
    if "cold_ml" in figures
]
masses = st.floats(50, 5000)
sizes = st.sampled_from([118.3, 236.6, 250.0, 473.2, 946.4])


@cache
def foods() -> dict[str, FoodSolids]:
    found: Any = with_tables(load()).tables["solids"]
    return dict(found)


def part(grams: str | float, percent: str | float) -> Part:
    return Part(exactly(float(grams), "g"), exactly(float(percent), "%"))


@pytest.mark.parametrize(("percent", "printed"), DENSITY["at-20-c"]["rows"].items())
def test_density_at_20_c_is_the_printed_one(percent: str, printed: str) -> None:
    assert density(float(percent), 20) == pytest.approx(float(printed), abs=float(DENSITY["at-20-c"]["within"]))


@pytest.mark.parametrize(("percent", "celsius", "printed"), DENSITY["hot"]["rows"])
def test_density_at_the_boil_is_that_of_the_specification(percent: str, celsius: str, printed: str) -> None:
    assert density(float(percent), float(celsius)) == pytest.approx(float(printed), abs=float(DENSITY["hot"]["within"]))


@pytest.mark.parametrize(("percent", "shrinks"), DENSITY["hot"]["shrinks_from_100_to_20_c"].items())
def test_what_is_filled_hot_shrinks_as_it_cools(percent: str, shrinks: str) -> None:
    found = 1 - density(float(percent), FILLED_C) / density(float(percent), COLD_C)
    assert found * 100 == pytest.approx(float(shrinks), abs=0.1)


@pytest.mark.parametrize(("brix", "pounds"), DENSITY["gallons"]["rows"].items())
def test_a_gallon_weighs_what_the_bureau_of_standards_printed(brix: str, pounds: str) -> None:
    vacuum = density(float(brix), 20)
    in_air = vacuum * (1 - 1.2 / vacuum) / (1 - 1.2 / 8400)  # air of 1.2 kg/m³, brass weights
    found = in_air * float(convert(Fraction(1), "gallon", "L")) / float(convert(Fraction(1), "lb", "g"))
    assert found == pytest.approx(float(pounds), abs=float(DENSITY["gallons"]["within"]))


@pytest.mark.parametrize("food", DENSITY["foods"]["rows"])
def test_honey_and_jam_weigh_nearly_what_a_solution_of_their_solids_weighs(food: str) -> None:
    row = DENSITY["foods"]["rows"][food]
    weighed = float(row["grams"]) / float(convert(Fraction(1), row["unit"], "L"))
    assert density(float(row["percent"]), 20) == pytest.approx(weighed, abs=float(DENSITY["foods"]["within"]))


@pytest.mark.parametrize(("parts", "target", "figures"), VOLUMES)
def test_volumes_cold_and_hot_are_those_reckoned_by_hand(
    parts: list[list[str]], target: str, figures: dict[str, str]
) -> None:
    near = float(BATCHES["batches"]["within_ml"])
    final = finished_grams([part(*each) for each in parts], float(target))
    found = volume_of(final, exactly(float(target), "%"))
    assert found.lo == pytest.approx(float(figures["cold_ml"]), abs=near)
    if "hot_ml" in figures:
        assert found.hi == pytest.approx(float(figures["hot_ml"]), abs=near)
    assert found.unit == "mL"


def test_the_least_volume_is_light_strong_and_cold_the_most_heavy_weak_and_hot() -> None:
    found = volume_of(Range(800, 850, "g"), Range(60, 70, "%"))
    assert found == (pytest.approx(800 / 1.3475, abs=0.1), pytest.approx(850 / 1.239, abs=0.5), "mL")


def finished(row: dict[str, Any]) -> tuple[Range, Range]:
    """Weight and solids of a printed recipe, over every ripeness of its fruit."""
    parts = []
    for food, (least, most) in row["cups"].items():
        printed = row.get("grams", {}).get(food)
        grams = (
            Range(float(printed[0]), float(printed[1]), "g")
            if printed
            else grams_of_cups(foods()[food], Range(float(least), float(most), "cup"), frozenset({"crushed"}))
        )
        parts.append(Part(grams, food_solids(foods()[food], ANY)))
    for name, food in (("sugar", "white-sugar"), ("water", "water"), ("lemon", "bottled-lemon-juice")):
        if name in row:
            ends = [float(each) for each in (row[name] if isinstance(row[name], list) else [row[name]] * 2)]
            grams = grams_of_cups(foods()[food], Range(ends[0], ends[1], "cup"), ANY)
            parts.append(Part(grams, food_solids(foods()[food], ANY)))
    if "boiled_to" in row:
        solids = Range(float(row["boiled_to"][0]), float(row["boiled_to"][1]), "%")
        return Range(finished_grams(parts, solids.hi).lo, finished_grams(parts, solids.lo).hi, "g"), solids
    start, solids, loses = batch_grams(parts), batch_solids(parts), float(row["loses"])
    mass = Range(start.lo - loses, start.hi - loses, "g")
    return mass, Range(solids.lo * start.hi / mass.hi, solids.hi * start.lo / mass.lo, "%")


@pytest.mark.parametrize("name", BATCHES["yields"]["rows"])
def test_printed_recipes_fill_about_as_many_jars_as_they_print(name: str) -> None:
    row = BATCHES["yields"]["rows"][name]
    volume = volume_of(*finished(row))
    fewest, most = volume.lo / HALF_PINT, volume.hi / HALF_PINT
    for reckoned in map(float, row["reckoned"]):
        assert fewest <= reckoned <= most
    assert most < 1.55 * fewest, "ripeness and the filling of cups do not make much more than half as much again"
    share, more = float(BATCHES["yields"]["within_share"]), float(BATCHES["yields"]["within_cups"])
    least_printed, most_printed = map(float, row["printed"])
    if name.startswith("guide-"):  # printed with a spread of their own
        assert fewest - more <= most_printed
        assert least_printed <= most + more
    else:
        assert (
            min(map(float, row["reckoned"])) / (1 + share)
            <= most_printed
            <= max(map(float, row["reckoned"])) * (1 + share)
        )


def test_two_pounds_of_strawberries_are_promised_two_half_pints_and_three_are_made_ready() -> None:
    pot = [Part(exactly(907.2, "g"), Range(6.5, 10, "%")), part(450, 100), part(15, 7)]
    found = jars_of_weight(finished_grams(pot), SIXTY_FIVE, HALF_PINT)
    assert (found.promised, found.ready) == (2, 3)
    assert found.jars == (2, 3, "jars")
    assert 2.5 < found.volume.lo / HALF_PINT < found.volume.hi / HALF_PINT < 2.8


@pytest.mark.parametrize(("volume", "jars"), [
    ((500, 500), (2, 3)), ((499, 500), (1, 2)), ((499.9, 500.1), (1, 3)), ((500, 760), (2, 4)), ((100, 120), (0, 1)), ((250, 250), (1, 2)),
])  # fmt: skip
def test_the_promise_is_rounded_down_and_what_to_make_ready_up(
    volume: tuple[float, float], jars: tuple[int, int]
) -> None:
    found = jars_of_volume(Range(*volume, "mL"), 250.0)
    assert (found.promised, found.ready) == jars


@given(masses, st.floats(0, 1000), st.floats(45, 70), st.floats(0, 5), sizes)
def test_a_promise_is_kept_and_no_jar_is_missing(
    mass: float, more: float, solids: float, doubt: float, size: float
) -> None:
    found = jars_of_weight(Range(mass, mass + more, "g"), Range(solids, solids + doubt, "%"), size)
    assert isinstance(found, JarsExpected)
    assert 0 <= found.promised < found.ready
    assert found.promised * size <= found.volume.lo + 1e-6
    assert found.volume.hi <= found.ready * size + 1e-6
    assert found.volume.lo < found.volume.hi
    assert (found.volume.unit, found.jars.unit) == ("mL", "jars")


@given(masses, masses, sizes)
def test_a_heavier_batch_never_fills_fewer(one: float, other: float, size: float) -> None:
    light, heavy = (jars_of_weight(exactly(each, "g"), SIXTY_FIVE, size) for each in sorted((one, other)))
    assert light.promised <= heavy.promised
    assert light.ready <= heavy.ready


@given(masses)
def test_larger_jars_are_fewer(mass: float) -> None:
    half_pints, pints = (jars_of_weight(exactly(mass, "g"), SIXTY_FIVE, size) for size in (HALF_PINT, 2 * HALF_PINT))
    assert pints.promised <= half_pints.promised
    assert pints.ready <= half_pints.ready


@given(st.floats(0, 85), st.floats(0, 85), st.floats(0, 100))
def test_more_sugar_is_denser(one: float, other: float, celsius: float) -> None:
    if abs(one - other) > 0.01:
        assert density(min(one, other), celsius) < density(max(one, other), celsius)


@given(st.floats(40, 80), st.floats(5, 95))
def test_warmer_is_lighter(percent: float, celsius: float) -> None:
    assert density(percent, celsius + 5) < density(percent, celsius)


@pytest.mark.parametrize(("work_out", "complaint"), [
    (lambda: density(-1, 20), r"give 0 to 85 % and 0 to 100 °C"), (lambda: density(86, 20), r"give 0 to 85 %"),
    (lambda: density(65, 104), r"0 to 100 °C"), (lambda: density(65, float("nan")), r"0 to 100 °C"),
    (lambda: jars_of_volume(exactly(0, "mL"), 250), r"the volume of the batch cannot be 0 mL: give 1 mL or more"),
    (lambda: jars_of_volume(exactly(500, "cup"), 250), r"must be told in mL, not in cup: convert it first"),
    (lambda: jars_of_volume(exactly(500, "mL"), 0), r"0 mL is no size of a jar: give 20 to 4,000 mL"),
    (lambda: jars_of_volume(exactly(500, "mL"), float("nan")), r"no size of a jar"),
    (lambda: jars_of_weight(exactly(0, "g"), SIXTY_FIVE, 250), r"the weight of the batch cannot be 0 g"),
    (lambda: jars_of_weight(Range(900, 800, "g"), SIXTY_FIVE, 250), r"give the smaller number first"),
    (lambda: jars_of_weight(exactly(800, "g"), exactly(90, "%"), 250), r"soluble solids cannot be 90 %: give 0 to 85 %"),
])  # fmt: skip
def test_what_cannot_be_is_refused_with_what_to_give(work_out: Any, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        work_out()
