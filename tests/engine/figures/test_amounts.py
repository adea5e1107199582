"""Which number is of which thing, in whatever order people write them; and that no text breaks the reading."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.engine.figures.amounts import PART, below_nothing, find_amounts, has_any, in_parts, mentions, shares
from bot.engine.figures.both_systems import both, counted, grams_between, grams_up, per_cent, significant
from bot.engine.figures.degrees import degrees_named
from bot.engine.figures.measures import units_named
from bot.kitchen.span import Span

UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

WORDS = {"acid": ("vinegar", "white vinegar"), "water": ("water",), "salt": ("salt", "kosher salt")}
POURED = ("acid", "water")


def told(text: str) -> dict[str, str]:
    """Each thing with its amounts, "others" with those of nothing: {"acid": "2 cup"}."""
    found = find_amounts(text, WORDS, POURED)
    words = {
        thing: ", ".join(f"{each.figure.lo} {each.unit}" for each in each_of) for thing, each_of in found.of.items()
    }
    others = ", ".join(f"{each.figure.lo} {each.unit}" for each in found.others)
    return {**words, **({"others": others} if others else {})}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2 cups vinegar 2 cups water", {"acid": "2 cup", "water": "2 cup"}),
        ("vinegar 2 cups, water 1 litre", {"acid": "2 cup", "water": "1 L"}),
        ("vinegar 5% 3 cups to 1 litre water", {"acid": "3 cup", "water": "1 L"}),
        ("1 1/2 cups of white vinegar and a quart of water", {"acid": "3/2 cup", "water": "1 quart"}),
        ("for 3 lb cucumbers 2 cups vinegar and 1 cup water", {"acid": "2 cup", "water": "1 cup", "others": "3 lb"}),
        ("cucumbers 3 lb vinegar 2 cups water 1 cup", {"acid": "2 cup", "water": "1 cup", "others": "3 lb"}),
        ("half vinegar half water", {"acid": "1/2 part", "water": "1/2 part"}),
        ("two thirds vinegar one third water", {"acid": "2/3 part", "water": "1/3 part"}),
        ("1 part vinegar, 3 parts water", {"acid": "1 part", "water": "3 part"}),
        ("60% vinegar 40% water", {"acid": "60 part", "water": "40 part"}),
        ("2 cups vinegar of 5 percent, half a cup of water", {"acid": "2 cup", "water": "1/2 cup"}),
        ("3 tbsp salt to 5 lb cabbage", {"salt": "3 tbsp", "others": "5 lb"}),
        ("5 lb cabbage, 3 tbsp kosher salt", {"salt": "3 tbsp", "others": "5 lb"}),
        ("50 g salt per litre of water", {"salt": "50 g", "water": "1 L"}),
        ("quart of vinegar", {"acid": "1 quart"}),
        ("how many cups of vinegar", {}),
        ("2 cups vinegar. 3 cups water", {"acid": "2 cup", "water": "3 cup"}),
        ("boil 10 minutes in a water bath", {}),
    ],
)
def test_a_number_is_of_the_thing_that_it_stands_with(text: str, expected: dict[str, str]) -> None:
    assert told(text) == expected


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("equal parts vinegar and water", ("1", "1")),
        ("vinegar and water half and half", ("1", "1")),
        ("50/50 vinegar and water", ("50", "50")),
        ("2:1 vinegar to water", ("2", "1")),
        ("vinegar to water two to one", ("2", "1")),
        ("vinegar and water", ()),
        ("half and half vinegar", ()),
    ],
)
def test_two_things_may_be_told_only_by_how_they_stand_to_one_another(text: str, parts: tuple[str, ...]) -> None:
    found = in_parts(text, {thing: WORDS[thing] for thing in POURED})
    assert tuple(str(each.figure.lo) for each in found.values()) == parts
    assert all(each.unit == PART for each in found.values())


def test_a_longer_name_wins_over_a_shorter_one_inside_it() -> None:
    named = mentions("kosher salt and salt", {"flakes": ("kosher salt",), "any": ("salt",)})
    assert [each.thing for each in named] == ["flakes", "any"]
    assert has_any("two fizzing jars", ("fizz*",)) and not has_any("a low-vinegar brine", ("vinegar",))


@pytest.mark.parametrize("text", ["-2 cups", "minus 2 cups", "vinegar -1 cup"])
def test_less_than_nothing_is_seen(text: str) -> None:
    assert below_nothing(text)


@pytest.mark.parametrize("text", ["vinegar - 2 cups", "2-3 cups", "half-and-half", "5 lb"])
def test_a_dash_is_no_minus(text: str) -> None:
    assert not below_nothing(text)


def test_per_cent_are_parts_only_where_they_make_a_whole() -> None:
    assert shares("50% vinegar 50% water") and not shares("5% vinegar 50% water") and not shares("5% vinegar")


@UNTIMED
@given(st.text(st.sampled_from("0123456789./-%:, vinegarwtscuplb½°"), max_size=60))
def test_no_text_breaks_the_reading_of_amounts(text: str) -> None:
    found = find_amounts(text, WORDS, POURED)
    assert all(each.figure.lo <= each.figure.hi for amounts in found.of.values() for each in amounts)
    in_parts(text, {thing: WORDS[thing] for thing in POURED})
    units_named(text)
    degrees_named(text)


@UNTIMED
@given(st.integers(1, 40), st.integers(1, 40), st.sampled_from(["cups", "ml", "litres", "quarts"]))
def test_the_order_in_which_things_are_told_does_not_matter(acid: int, water: int, unit: str) -> None:
    ways = (
        f"{acid} {unit} vinegar and {water} {unit} water",
        f"{water} {unit} water and {acid} {unit} vinegar",
        f"vinegar {acid} {unit}, water {water} {unit}",
        f"{acid} {unit} of vinegar to {water} {unit} of water",
    )
    assert len({tuple(sorted(told(each).items())) for each in ways}) == 1


@pytest.mark.parametrize(
    ("figure", "shown"),
    [("907.18", "907"), ("4.2268", "4.23"), ("2.2", "2.2"), ("1360.8", "1,361"), ("0.0312", "0.0312"), ("0", "0")],
)
def test_three_digits_count(figure: str, shown: str) -> None:
    assert significant(Fraction(figure)) == shown


@UNTIMED
@given(st.fractions(Fraction(1, 100), 5_000, max_denominator=1000))
def test_a_weight_that_must_not_be_less_is_never_rounded_down(grams: Fraction) -> None:
    assert int(grams_up(grams).split(" g")[0].replace(",", "")) >= grams


@UNTIMED
@given(st.fractions(10, 5_000, max_denominator=100), st.fractions(2, 50, max_denominator=100))
def test_a_weight_to_aim_at_lies_between_its_ends(low: Fraction, more: Fraction) -> None:
    ends = [int(each.replace(",", "")) for each in grams_between(Span(low, low + more)).split(" g")[0].split(" to ")]
    assert low <= ends[0] <= ends[-1] <= low + more


@UNTIMED
@given(st.fractions(0, 100, max_denominator=1000), st.booleans())
def test_a_per_cent_is_never_rounded_up(figure: Fraction, hundredths: bool) -> None:
    assert Fraction(per_cent(Span(figure, figure), hundredths).removesuffix(" %")) <= figure


def test_amounts_are_told_in_both_systems_with_the_persons_own_first() -> None:
    (pounds,) = find_amounts("5 lb", {}).others
    (cups,) = find_amounts("2 1/2 cups", {}).others
    (litre,) = find_amounts("1 l", {}).others
    assert [both(each) for each in (pounds, cups, litre)] == [
        "5 lb (2.3 kg)",
        "2 1/2 cups (591 mL)",
        "1 L (1.1 quarts)",
    ]
    assert counted(Fraction(3, 2), "kg") == "1.5 kg" and counted(Fraction(1), "cup") == "1 cup"
