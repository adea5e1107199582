"""Conversions against what publications and definitions print, a reading told apart from a difference, and what is no conversion."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.kitchen.units import c_to_f
from tests.engine.figures.asking import figure

UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


# International yard and pound agreement (1959); US and imperial gallons by law; metric cup 250 mL.
@pytest.mark.parametrize(
    ("text", "first", "second"),
    [
        ("convert 2 lb to grams", "907 g", ""),
        ("3 kg in pounds", "6.61 lb", ""),
        ("how many grams in an ounce", "28.3 g", ""),
        ("how many ml in a pint", "473 mL", "568 mL"),
        ("how many cups in a litre", "4.23 cups", "4 cups"),
        ("how many ml in a gallon", "3,785 mL", "4,546 mL"),
        ("how many fl oz in a pint", "16 fl oz", "20 fl oz"),
        ("how many ml in a tablespoon", "15 mL", "20 mL"),
        ("convert 1/4 inch to mm", "6.35 mm", ""),
        ("what is 5200 ft in metres", "1,585 m", ""),
        ("16 oz in ml", "473 mL", "455 mL"),
    ],
)
def test_a_unit_in_another(text: str, first: str, second: str) -> None:
    found = figure("unit", text)
    assert not found.of_this_kitchen
    assert (found.values["first"], found.values["second"]) == (first, second)


@pytest.mark.parametrize(
    "text",
    [
        "2 tbsp lemon juice in every quart",
        "i put 3 lb to 2 quarts",
        "how many jars in a batch",
        "how many grams in a cup",
        "2 lb of plums",
        "how many ounces in a cup of sugar",
    ],
)
def test_what_is_no_conversion_of_one_kind(text: str) -> None:
    assert figure("unit", text).declines


# USDA food composition tables (2015), a tenth either way for pieces.
@pytest.mark.parametrize(
    ("text", "result"),
    [
        ("how many grams in a cup of sugar", "200 g (7.1 oz)"),
        ("how many grams in 2 cups brown sugar", "440 g (16 oz)"),
        ("2 cups of blueberries in grams", "266 to 326 g (9.4 to 11 oz)"),
        ("how many cups is 500 g sugar", "2.5 cups (591 mL)"),
        ("how much does a cup of chopped onion weigh", "144 to 176 g (5.1 to 6.2 oz)"),
        ("how many grams in a cup of strawberry jam", "312 g (11 oz)"),
        ("1 cup strawberry puree in grams", "208 to 256 g (7.4 to 9 oz)"),
    ],
)
def test_the_weight_of_a_cup(text: str, result: str) -> None:
    found = figure("cup-weight", text)
    assert found.values["result"] == result


@pytest.mark.parametrize("text", ["how many cups of sugar for 2 kg of plums", "how many grams of salt in a cup"])
def test_two_foods_or_salt_are_no_weight_of_a_cup(text: str) -> None:
    assert figure("cup-weight", text).declines


@pytest.mark.parametrize(
    ("text", "way", "shown"),
    [
        ("what is 220F in C", "reading", "104.4 °C (220 °F)"),
        ("what is -18 c in f", "reading", "-0.4 °F (-18 °C)"),
        ("180 to 185 f in c", "reading", "82.2 °C (180 °F) to 85 °C (185 °F)"),
        ("8 degrees difference in celsius", "difference", "4.4 °C (8 °F)"),
        ("5 degrees c higher in fahrenheit", "difference", "9 °F (5 °C)"),
    ],
)
def test_degrees_as_readings_and_as_differences(text: str, way: str, shown: str) -> None:
    found = figure("degrees", text)
    assert (found.way, found.values["shown"]) == (way, shown)


@UNTIMED
@given(st.integers(-40, 300))
def test_a_reading_comes_back_to_where_it_began(celsius: int) -> None:
    found = figure("degrees", f"what is {celsius} c in f")
    assert float(found.values["shown"].split(" °F")[0]) == pytest.approx(c_to_f(celsius), abs=0.05)


@pytest.mark.parametrize("text", ["220F in F", "what is the gel point in celsius", "180 f and 90 c in f"])
def test_what_is_no_question_of_degrees(text: str) -> None:
    assert figure("degrees", text).declines


@pytest.mark.parametrize("mark", ["1", "4", "1/2", "10"])
def test_no_gas_mark_becomes_a_number_of_degrees(mark: str) -> None:
    found = figure("gas-mark", f"gas mark {mark}")
    assert (found.way, found.values) == ("mark", {"mark": mark})


@pytest.mark.parametrize("text", ["i processed tomatoes in the oven at gas mark 4", "gas mark 4, the jars are fizzing"])
def test_a_story_about_jars_is_left_to_the_rules(text: str) -> None:
    assert figure("gas-mark", text).declines
