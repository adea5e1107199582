"""What went into the pot, told in any order, with typing errors and in both kinds of units."""

from __future__ import annotations

import pytest

from bot.engine.figures import Figure
from bot.engine.figures.ingredients import lacking, pot_of
from bot.kitchen.soluble_solids import Part
from tests.engine.figures.asking import asked

LB = 453.59237


def grams(parts: tuple[Part, ...]) -> list[tuple[int, int]]:
    return [(round(part.grams.lo), round(part.grams.hi)) for part in parts]


@pytest.mark.parametrize(
    ("text", "food", "sweet"),
    [
        # 6 % of strawberries is hulls, 6 % of plums stones (USDA food composition data); a cup of sugar weighs 195 to 205 g, and may hold 240 mL
        ("3 lb strawberries with 5 cups sugar in a 28 cm pot", [(1279, 1361)], [(975, 1040)]),
        ("5 cups of sugar and 3 lb of strawberries, all US", [(1279, 1361)], [(975, 1040)]),
        ("1.5 kg plums 1 kg sugar", [(1410, 1500)], [(1000, 1000)]),
        ("sugar 1 kg plums 1.5 kg", [(1410, 1500)], [(1000, 1000)]),
        ("sugar: 1 kg, plums: 1.5 kg", [(1410, 1500)], [(1000, 1000)]),
        ("1 kg each of plums and sugar", [(940, 1000)], [(1000, 1000)]),
        ("equal weights of damsons and sugar, 2 kg of damsons", [(1880, 2000)], [(2000, 2000)]),
        ("2 kg stoned plums, 1 kg suger", [(2000, 2000)], [(1000, 1000)]),
        ("2 kg strawberies and 1 kg sugar", [(1880, 2000)], [(1000, 1000)]),
        ("about 2 kg hulled strawberries, 1 kg sugar", [(1700, 2300)], [(1000, 1000)]),
        ("1 kg plums and 500 g strawberries, 1 kg sugar", [(940, 1000), (470, 500)], [(1000, 1000)]),
        ("2 kg. plums. 1 kg", [(1880, 2000)], [(1000, 1000)]),
        ("1 kg sugar and 200 g honey for 2 kg pitted plums", [(2000, 2000)], [(1000, 1000), (200, 200)]),
    ],
)  # fmt: skip
def test_each_amount_finds_its_name(text: str, food: list[tuple[int, int]], sweet: list[tuple[int, int]]) -> None:
    pot = pot_of(asked(text))
    assert sorted(grams(pot.food)) == sorted(food)
    assert sorted(grams(pot.sweet)) == sorted(sweet)


def test_a_cup_is_a_us_cup_only_where_nothing_metric_is_told() -> None:
    (us,), (both,) = (pot_of(asked(text)).sweet for text in ("3 lb plums, 5 cups sugar", "2 kg plums, 5 cups sugar"))
    assert (round(us.grams.lo), round(us.grams.hi)) == (975, 1040)  # 240 mL of a label at most
    assert both.grams.hi == pytest.approx(5 * 250 / 236.588 * 205, abs=1)
    assert both.grams.lo == us.grams.lo


def test_how_it_was_cut_decides_what_a_cup_weighs() -> None:
    (crushed,), (unsaid,) = (pot_of(asked(f"4 cups {how}strawberries, 4 cups sugar")).food for how in ("crushed ", ""))
    assert round(crushed.grams.lo) == 4 * 208 and round(unsaid.grams.lo) == 4 * 136
    assert crushed.grams.hi == unsaid.grams.hi


def test_very_ripe_fruit_holds_more_than_the_table_gives_for_any() -> None:
    (very,), (mixed,) = (pot_of(asked(f"2 kg plums, {how}, 1 kg sugar")).food for how in ("very ripe", "some unripe"))
    assert very.solids.lo > mixed.solids.lo and very.solids.hi > mixed.solids.hi


@pytest.mark.parametrize("text", ["an 8 quart pot", "in a 6 litre pan", "into 500 ml jars", "6 half pints"])
def test_the_size_of_a_pot_or_a_jar_is_no_amount(text: str) -> None:
    pot = pot_of(asked(f"3 lb strawberries {text}"))
    assert grams(pot.food) == [(1279, 1361)] and not pot.sweet


@pytest.mark.parametrize(
    ("text", "lacks"),
    [
        ("jam in a pot", Figure(missing="amounts")),
        ("5 cups sugar in a pot", Figure(missing="amount-of-food")),
        ("3 lb strawberries in a pot", Figure(missing="amount-of-sweet")),
        ("how many jars from 2 kg", Figure(missing="of-what")),
        ("3 lb strawberries without sugar", Figure("unsweetened")),
        ("3 lb strawberries and 0 cups sugar", Figure("unsweetened")),
        ("0 lb strawberries and 5 cups sugar", Figure("too-little")),
        ("3 g strawberries and 5 cups sugar", Figure("too-little")),
        ("3 lb elderberries 3 lb sugar", Figure("unknown-food", {"food": "elderberries"})),
        ("4 cups chopped quinces, 4 cups sugar", Figure("unweighed", {"food": "quinces"})),
        ("3 lb strawberries and 3 lb sugar", None),
        ("3 lb of fruit and 3 lb sugar", None),
    ],
)
def test_what_is_lacking_is_asked_for(text: str, lacks: Figure | None) -> None:
    assert lacking(pot_of(asked(text)), asked(text)) == lacks


def test_fruit_that_nobody_named_may_be_any_fruit() -> None:
    (some,), (plums,) = (pot_of(asked(f"2 kg {name} and 2 kg sugar")).food for name in ("fruit", "pitted plums"))
    assert some.solids.lo < plums.solids.lo and some.solids.hi > plums.solids.hi


@pytest.mark.parametrize(
    "text", ["how many jars from 2 kg of finished jam", "how many jars from 2 kg plum jam", "2 kg jam"]
)
def test_a_weight_of_jam_is_a_finished_batch(text: str) -> None:
    finished = pot_of(asked(text)).finished
    assert finished is not None and (finished.lo, finished.hi) == (2000, 2000)


def test_fruit_for_jam_is_no_finished_batch() -> None:
    assert pot_of(asked("how many jars from 2 kg plums for jam")).finished is None
