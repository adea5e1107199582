"""Minutes to go and soluble solids, from what people type: held to the sums of the kitchen, and to what never may be."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bot.engine.figures.boiling_down import minutes_to_go, solids
from bot.engine.figures.ingredients import pot_of
from bot.kitchen.boil_off import (
    minutes_from_readings,
    minutes_left,
    rate_from_heat,
    rate_from_width,
    slower,
    water_to_boil_off,
)
from bot.kitchen.boiling_rise import solids_from_reading
from bot.kitchen.ranges import Range
from tests.conversation import engine
from tests.engine.figures.asking import asked

HOW_LONG = "how much longer do I boil {plums:g} kg pitted plums and {sugar:g} kg sugar in a {wide:g} cm pot"
AMOUNTS = st.integers(5, 40).map(lambda n: n / 10)
QUICK = settings(deadline=None, max_examples=25)  # each reads a message
WIDTHS = st.integers(24, 45).map(float)


def ends(plums: float, sugar: float, wide: float, more: str = "") -> tuple[float, float]:
    """The minutes that are told, both 0 for a pot that comes off the heat."""
    figure = minutes_to_go(asked(HOW_LONG.format(plums=plums, sugar=sugar, wide=wide) + more))
    assume(figure.way != "too-deep")
    assert figure.way in ("minutes", "test-now", "past", "over-time")
    first, _, most = figure.values.get("minutes", "0 to 0").partition(" to ")
    return float(first), float(most)


@QUICK
@given(AMOUNTS, AMOUNTS, WIDTHS)
def test_it_is_never_one_number_and_the_first_test_is_at_the_short_end(plums: float, sugar: float, wide: float) -> None:
    figure = minutes_to_go(asked(HOW_LONG.format(plums=plums, sugar=sugar, wide=wide)))
    if figure.way in ("minutes", "test-now"):
        first, most = ends(plums, sugar, wide)
        assert first < most and figure.values["first"] == f"{first:g}"
        assert (figure.way == "test-now") == (first < 1)


@QUICK
@given(AMOUNTS, AMOUNTS, WIDTHS)
def test_a_wider_pot_or_more_sugar_never_takes_longer(plums: float, sugar: float, wide: float) -> None:
    first, most = ends(plums, sugar, wide)
    wider, sweeter = ends(plums, sugar, wide + 5), ends(plums, sugar + 0.5, wide)
    assert wider[0] <= first and wider[1] <= most
    assert sweeter[0] <= first and sweeter[1] <= most


@QUICK
@given(AMOUNTS, AMOUNTS, WIDTHS, st.integers(1, 40))
def test_what_has_boiled_already_is_taken_off_both_ends(plums: float, sugar: float, wide: float, boiled: int) -> None:
    first, most = ends(plums, sugar, wide)
    assert ends(plums, sugar, wide, f". it has been boiling for {boiled} minutes") == (
        max(first - boiled, 0),
        max(most - boiled, 0),
    )


def test_the_minutes_are_those_of_the_kitchen() -> None:
    ask = asked(HOW_LONG.format(plums=2, sugar=1.5, wide=30))
    rate = rate_from_width(Range(30, 30, "cm"), engine().knowledge.tables["evaporation"])  # type: ignore[arg-type]
    left = minutes_left(water_to_boil_off(pot_of(ask).parts), rate)
    assert minutes_to_go(ask).values["minutes"] == f"{left.lo:g} to {left.hi:g}"


def test_a_weak_burner_takes_longer_than_the_surface_alone() -> None:
    text = HOW_LONG.format(plums=2, sugar=1.5, wide=40)
    ask = asked(text + " on a 1.2 kW gas stove")
    tables = engine().knowledge.tables
    stoves, evaporation = tables["stoves"], tables["evaporation"]
    rate = slower(
        rate_from_width(Range(40, 40, "cm"), evaporation), rate_from_heat(Range(1.2, 1.2, "kW"), stoves["gas"])
    )  # type: ignore[arg-type, index]
    left = minutes_left(water_to_boil_off(pot_of(ask).parts), rate)
    assert minutes_to_go(ask).values["minutes"] == f"{left.lo:g} to {left.hi:g}"
    assert left.lo > ends(2, 1.5, 40)[0]


@pytest.mark.parametrize(
    ("text", "first_f", "later_f", "water_f", "minutes"),
    [
        ("it reads 216 and was 214 six minutes ago (my boiling water is 212)", 214, 216, 212, 6),
        ("214, ten minutes later 217, water boils at 212, how much longer", 214, 217, 212, 10),
        ("was 98 C, 8 min later 100 C, water boils at 95 C, how much longer", 208.4, 212, 203, 8),
        ("it reads 216 and was 214 six minutes ago, boiling water 212", 214, 216, 212, 6),
    ],
)
def test_two_readings_and_the_time_between(
    text: str, first_f: float, later_f: float, water_f: float, minutes: float
) -> None:
    evaporation = engine().knowledge.tables["evaporation"]
    left = minutes_from_readings(first_f, later_f, water_f, Range(minutes, minutes, "min"), evaporation)  # type: ignore[arg-type]
    assert minutes_to_go(asked(text)).values["minutes"] == f"{left.lo:g} to {left.hi:g}"


def test_a_kitchen_that_knows_its_boiling_water_is_not_asked() -> None:
    text = "it reads 216 and was 214 six minutes ago"
    assert minutes_to_go(asked(text)).missing == "boiling-water-reading"
    assert minutes_to_go(asked(text, thermometer_lo="212.0", thermometer_hi="212.0")).way == "test-now"


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("it reads 216 and was 216 six minutes ago", "alike"),
        ("it reads 215 and was 213 six minutes ago, water boils at 212", "too-early"),
        ("it reads 225 and was 222 five minutes ago, water boils at 212", "overcooked"),
        ("it reads 240 and was 222 five minutes ago, water boils at 212", "no-reading"),
        ("it reads 208 and was 206 five minutes ago, water boils at 212", "no-reading"),
        ("it reads 245 and was 240 five minutes ago, water boils at 235", "no-boiling-water"),
        ("how much longer do I boil 900 kg plums and 2 kg sugar in a 30 cm pot", "too-much"),
        ("how much longer do I boil 2 kg plums and 2 kg sugar in a 5 cm pot", "odd-width"),
        ("how much longer do I boil 2 kg plums and 2 kg sugar in a 90 cm pot", "odd-width"),
        ("how much longer do I boil 4 kg plums and 4 kg sugar in a 18 cm pot", "too-deep"),
        ("how much longer do I boil 2 kg plums and 2 kg jam sugar in a 30 cm pot", "packet"),
        ("2 kg plums and 1 kg sugar, it weighs 4 kg now, 30 cm pot, how much longer", "pot-in-the-weight"),
        ("2 kg plums and 1 kg sugar, it weighs 900 g now, 30 cm pot, how much longer", "weigh-again"),
        ("2 kg plums and 1 kg sugar, it weighs 1400 g now, 30 cm pot, how much longer", "past"),
        ("2 kg plums 1 kg sugar, weighed 2500 g, 5 minutes later 2500 g", "alike"),
        ("how much longer do I boil 1 kg plums and 4 kg sugar in a 30 cm pot", "past"),
    ],
)
def test_what_cannot_be_worked_out_is_asked_back(text: str, way: str) -> None:
    assert minutes_to_go(asked(text)).way == way


@pytest.mark.parametrize(
    ("text", "missing"),
    [
        ("how much longer do I boil 2 kg plums and 2 kg sugar", "pot-width"),
        ("how much longer do I boil 2 kg plums and 2 kg sugar. 28", "width-unit"),
        ("how much longer do I boil 2 kg plums", "amount-of-sweet"),
        ("how much longer do I boil it", "amounts"),
    ],
)
def test_what_is_missing_is_asked_for(text: str, missing: str) -> None:
    assert minutes_to_go(asked(text)).missing == missing


def test_the_width_is_not_asked_for_where_it_changes_nothing() -> None:
    assert minutes_to_go(asked("how much longer do I boil 1 kg plums and 4 kg sugar")).way == "past"


@pytest.mark.parametrize(
    "text",
    [
        "I boiled 3 lb plums with 4 cups sugar in a 12 inch pot and it is runny",
        "how much longer do I boil the pints",
        "That was 45 minutes ago. My wife came home.",
        "runny jam, how much longer do I wait",
    ],
)
def test_a_story_or_minutes_in_the_bath_are_left_alone(text: str) -> None:
    assert minutes_to_go(asked(text)).declines


@pytest.mark.parametrize(
    ("reading", "way"),
    [(217.5, "below"), (220, "there"), (223.5, "past"), (214, "too-early"), (225, "overcooked"), (230, "no-reading")],
)
def test_soluble_solids_of_a_reading(reading: float, way: str) -> None:
    figure = solids(asked(f"how concentrated is it at {reading:g} F, 212 F in boiling water"))
    assert figure.way == way
    if way in ("below", "there", "past"):
        assert figure.values["solids"] == solids_from_reading(reading, 212).text


@pytest.mark.parametrize(
    ("text", "missing"),
    [("how concentrated is it", "thermometer-reading"), ("how concentrated is it at 218 F", "boiling-water-reading")],
)
def test_soluble_solids_need_both_readings(text: str, missing: str) -> None:
    assert solids(asked(text)).missing == missing
