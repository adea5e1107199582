"""Salt: the printed per cents, spoons of one kind for another, never more salt claimed than a spoon may hold."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.kitchen_tables import number
from bot.kitchen.salt import (
    SATURATED,
    calcium_chloride,
    grams_of_salt,
    per_volume,
    salt_for,
    salt_from_sodium,
    salt_percent,
    spoken_percent,
    spoon_for_spoon,
    swap_salt,
    teaspoons_of_salt,
    water_grams,
)
from bot.kitchen.span import Span, exactly
from bot.kitchen.units import convert
from tests.kitchen.given import amount, published, reading, spans, tables

DATA = published("salt")
FINE = tables().salts["canning"]
KINDS = sorted(tables().salts)
weights = spans(1, 5000)
percents = st.fractions(0, SATURATED, max_denominator=64)


def grams(told: str) -> Span:
    figure, unit = amount(told)
    return grams_of_salt(exactly(figure), unit, (FINE,))


def holds(found: Span, printed: str, near: str) -> bool:
    """Whether the printed figure lies in the span, give or take."""
    return found.lo - Fraction(near) <= Fraction(printed) <= found.hi + Fraction(near)


# --- Printed figures ---


@pytest.mark.parametrize(
    "row", DATA["brines"]["rows"], ids=lambda row: f"{row['source']}: {row['salt']} in {row['water']}"
)
def test_a_brine_has_the_worked_per_cent_in_all_three_ways_of_counting(row: dict[str, Any]) -> None:
    figure, unit = amount(row["water"])
    found = salt_percent(grams(row["salt"]), water_grams(exactly(convert(figure, unit, "mL"))))
    of_water, of_whole, by_volume = row["is"]
    near = DATA["brines"]["within"]
    for span, printed in [
        (found.of_other, of_water),
        (found.of_whole, of_whole),
        (per_volume(found.of_whole), by_volume),
    ]:
        assert printed == "-" or holds(span, printed, near)
    assert found.of_whole.hi - found.of_whole.lo < Fraction("0.12"), "a fine salt is known closely, even by the cup"


@pytest.mark.parametrize("row", DATA["kraut"]["rows"], ids=lambda row: f"{row['source']}: {row['salt']}")
def test_salted_cabbage_has_the_worked_per_cent_of_its_weight(row: dict[str, Any]) -> None:
    figure, unit = amount(row["cabbage"])
    found = salt_percent(grams(row["salt"]), exactly(convert(figure, unit, "g")))
    assert holds(found.of_other, row["is"], DATA["kraut"]["within"])


def test_the_step_of_the_kraut_recipe_is_saltier_than_its_list() -> None:
    step, listed, *_ = DATA["kraut"]["rows"]
    assert Fraction(step["is"]) > Fraction(9, 4) > 2 > Fraction(listed["is"])


def test_a_crock_evens_out_to_half_the_strength_of_its_brine() -> None:
    water = water_grams(exactly(convert(Fraction(8), "cup", "mL")))
    cucumbers = exactly(convert(Fraction(4), "lb", "g"))
    found = salt_percent(grams("1/2 cup"), water.plus(cucumbers))
    assert holds(found.of_whole, DATA["crock"]["evens-out-to"], DATA["crock"]["within"])


@pytest.mark.parametrize(("said", "meanings"), DATA["spoken"]["rows"].items())
def test_one_spoken_per_cent_means_three_things(said: str, meanings: list[str]) -> None:
    found = spoken_percent(Fraction(said))
    assert [float(each) for each in found] == pytest.approx(
        [float(each) for each in meanings], abs=float(DATA["spoken"]["within"])
    )


@pytest.mark.parametrize(("per_cent", "printed"), DATA["wanted"]["rows"].items())
def test_grams_for_a_wanted_per_cent(per_cent: str, printed: list[str]) -> None:
    of_whole, of_water = (salt_for(exactly(per_cent), exactly(1000), whole).lo for whole in (True, False))
    near = float(DATA["wanted"]["within"])
    assert [float(of_whole), float(of_water)] == pytest.approx([float(each) for each in printed], abs=near)


@pytest.mark.parametrize(("per_cent", "spoons"), DATA["spoons-a-quart"]["rows"].items())
def test_spoons_of_fine_salt_for_a_quart(per_cent: str, spoons: str) -> None:
    quart = water_grams(exactly(convert(Fraction(1), "quart", "mL")))
    found = teaspoons_of_salt(salt_for(exactly(per_cent), quart), FINE)
    assert found.lo == found.hi
    assert float(found.lo / 3) == pytest.approx(float(number(spoons)), abs=float(DATA["spoons-a-quart"]["within"]))


@pytest.mark.parametrize(
    ("per_cent", "kg_per_m3"), [*DATA["brine-density"]["rows"].items(), *DATA["brine-density"]["library"].items()]
)
def test_brine_weighs_what_the_tables_say(per_cent: str, kg_per_m3: str) -> None:
    weight = Fraction(per_cent) or Fraction(1, 1_000_000)
    found = per_volume(exactly(weight)).lo / weight * 1000
    assert float(found) == pytest.approx(float(kg_per_m3), abs=float(DATA["brine-density"]["within"]))


@pytest.mark.parametrize(("milligrams", "salt"), DATA["sodium"]["rows"].items())
def test_salt_from_the_sodium_of_a_label(milligrams: str, salt: str) -> None:
    found = salt_from_sodium(exactly(milligrams))
    assert float(found.lo) / 1000 == pytest.approx(float(salt), abs=float(DATA["sodium"]["within"]))


@pytest.mark.parametrize(("kind", "ends"), DATA["kinds"]["grams_per_tsp"].items())
def test_the_knowledge_weighs_a_spoon_of_each_kind_as_printed(kind: str, ends: list[str]) -> None:
    low, high = map(Fraction, ends)
    assert tables().salts[kind].grams_per_tsp == Span(low, high)
    assert set(KINDS) == set(DATA["kinds"]["grams_per_tsp"])


@pytest.mark.parametrize("kind", KINDS)
def test_a_cup_of_each_kind_is_forty_eight_of_its_spoons_within_two_per_cent(kind: str) -> None:
    salt = tables().salts[kind]
    for cup, spoon in zip(salt.grams_per_cup, salt.grams_per_tsp, strict=True):
        assert float(cup) == pytest.approx(48 * float(spoon), rel=0.02)


@pytest.mark.parametrize(("kind", "ends"), DATA["kinds"]["tsp-for-a-tbsp"].items())
def test_a_tablespoon_of_fine_salt_in_spoons_of_another(kind: str, ends: list[str]) -> None:
    found = swap_salt(exactly(1), "tbsp", FINE, tables().salts[kind])
    near = float(DATA["kinds"]["within"])
    assert found.grams == exactly(18)
    assert [float(end) for end in found.teaspoons] == pytest.approx([float(number(end)) for end in ends], abs=near)


def test_a_swap_is_told_in_spoons_once_or_from_to() -> None:
    assert swap_salt(exactly(1), "tbsp", FINE, tables().salts["kosher"]).measure == "3 3/4 tsp to 2 tbsp + 1/2 tsp"
    assert swap_salt(exactly(18), "g", FINE, tables().salts["table"]).measure == "1 tbsp"


@pytest.mark.parametrize(("kind", "ends"), DATA["kinds"]["spoon-for-spoon"].items())
def test_kraut_salted_by_the_spoon_with_another_salt(kind: str, ends: list[str]) -> None:
    asked = salt_percent(grams("3 tbsp"), exactly(convert(Fraction(5), "lb", "g"))).of_other
    found = spoon_for_spoon(asked, FINE, tables().salts[kind])
    assert [float(end) for end in found] == pytest.approx(
        [float(end) for end in ends], abs=float(DATA["kinds"]["within"])
    )


@pytest.mark.parametrize(("size", "printed"), DATA["calcium-chloride"]["rows"].items())
def test_calcium_chloride_goes_by_the_jar(size: str, printed: list[str]) -> None:
    found = calcium_chloride(size, 7, tables().calcium_chloride)
    assert (found.measure, found.millilitres) == (printed[0], Fraction(printed[1]))
    assert found.all_jars == 7 * found.teaspoons
    assert set(tables().calcium_chloride) == set(DATA["calcium-chloride"]["rows"])


# --- Kinds that are not known ---


def test_a_salt_of_unknown_kind_counts_from_the_lightest_to_the_heaviest() -> None:
    found = grams_of_salt(exactly(1), "tbsp", tables().salts.values())
    assert found == Span(Fraction("8.4"), Fraction(18))


def test_weighed_salt_is_known_whatever_its_kind() -> None:
    assert grams_of_salt(exactly(2), "oz", tables().salts.values()) == exactly(2 * Fraction("28.349523125"))
    assert grams_of_salt(exactly(50), "g", ()) == exactly(50)


def test_spoons_of_other_countries_hold_more_or_less() -> None:
    us, metric, australian = (
        grams_of_salt(exactly(1), unit, (FINE,)).lo for unit in ("tbsp", "metric tbsp", "Australian tbsp")
    )
    assert us == 18 < metric < australian
    assert australian / metric == Fraction(4, 3)


# --- Properties ---


@given(weights, weights, st.fractions(1, 100, max_denominator=8))
def test_more_salt_is_a_higher_per_cent_and_more_water_a_lower_one(salt: Span, water: Span, more: Fraction) -> None:
    now = salt_percent(salt, water)
    saltier, wetter = salt_percent(salt.plus(exactly(more)), water), salt_percent(salt, water.plus(exactly(more)))
    for was, up, down in zip(now, saltier, wetter, strict=True):
        assert down.lo < was.lo < up.lo and down.hi < was.hi < up.hi


@given(weights, weights, st.data())
def test_every_reading_of_the_weights_comes_to_a_per_cent_inside_the_result(
    salt: Span, water: Span, data: st.DataObject
) -> None:
    one = salt_percent(reading(data, salt), reading(data, water))
    for span, figure in zip(salt_percent(salt, water), one, strict=True):
        assert span.lo <= figure.lo == figure.hi <= span.hi


@given(percents, st.fractions(1, 5000, max_denominator=8))
def test_salt_weighed_out_for_a_per_cent_makes_that_per_cent(per_cent: Fraction, water: Fraction) -> None:
    for of_whole in (True, False):
        salt = salt_for(exactly(per_cent), exactly(water), of_whole)
        found = salt_percent(salt, exactly(water))
        assert (found.of_whole if of_whole else found.of_other) == exactly(per_cent)


@given(st.fractions(Fraction(1, 8), SATURATED, max_denominator=64))
def test_the_three_meanings_keep_their_order_and_the_volume_turns_back(per_cent: Fraction) -> None:
    of_water, of_volume, of_whole = spoken_percent(per_cent)
    assert of_water < of_whole == per_cent
    assert of_volume == 0 or float(per_volume(exactly(of_volume)).lo) == pytest.approx(float(per_cent), abs=1e-5)


@given(spans(1, 500), st.sampled_from(KINDS), st.sampled_from(KINDS))
def test_a_swap_holds_the_same_weight_there_and_back(amount_of: Span, one: str, other: str) -> None:
    first, second = tables().salts[one], tables().salts[other]
    there = swap_salt(amount_of, "tsp", first, second)
    back = grams_of_salt(there.teaspoons, "tsp", (second,))
    assert back.lo <= there.grams.lo and there.grams.hi <= back.hi
    if second.grams_per_tsp.lo == second.grams_per_tsp.hi:
        assert back == there.grams


@given(st.fractions(1, 20, max_denominator=8), st.sampled_from(KINDS))
def test_spoon_for_spoon_agrees_with_weighing_the_spoons(tsp: Fraction, kind: str) -> None:
    cabbage, used = exactly(2268), tables().salts[kind]
    asked, got = (salt_percent(grams_of_salt(exactly(tsp), "tsp", (each,)), cabbage).of_other for each in (FINE, used))
    assert spoon_for_spoon(asked, FINE, used) == got


@given(spans(0, 26))
def test_a_litre_of_brine_holds_at_least_as_many_grams_as_a_kilogram_of_it_does(of_whole: Span) -> None:
    found = per_volume(of_whole)
    assert found.lo <= found.hi
    assert found.lo >= of_whole.lo * Fraction("0.998")


# --- What is refused ---


@pytest.mark.parametrize(("call", "todo"), [
    (lambda: salt_percent(exactly(-1), exactly(100)), "weight of salt.*give g"), (lambda: salt_percent(exactly(1), exactly(0)), "weigh the water"),
    (lambda: salt_percent(Span(Fraction(2), Fraction(1)), exactly(1)), "smaller figure first"), (lambda: salt_percent(exactly(1), exactly(-1)), "give g"),
    (lambda: water_grams(exactly(-1)), "give mL"), (lambda: per_volume(exactly(27)), "weigh salt and water again"),
    (lambda: spoken_percent(Fraction(40)), "as it was said"), (lambda: spoken_percent(Fraction(-1)), "as it was said"),
    (lambda: salt_for(exactly(30), exactly(1000)), "that the recipe names"), (lambda: salt_for(exactly(2), exactly(0)), "weigh the water"),
    (lambda: grams_of_salt(exactly(1), "in", (FINE,)), "spoons and cups"), (lambda: grams_of_salt(exactly(1), "spoon", (FINE,)), "spoons and cups"),
    (lambda: grams_of_salt(exactly(-1), "tsp", (FINE,)), "give spoons or cups"), (lambda: grams_of_salt(exactly(1), "tsp", ()), "name at least one"),
    (lambda: grams_of_salt(exactly(-1), "g", (FINE,)), "give g"), (lambda: teaspoons_of_salt(exactly(-1), FINE), "give g"),
    (lambda: swap_salt(exactly(0), "tsp", FINE, FINE), "give the amount of the recipe"), (lambda: spoon_for_spoon(exactly(-1), FINE, FINE), "per cent of salt"),
    (lambda: salt_from_sodium(exactly(-1)), "give g"), (lambda: calcium_chloride("pint", 0, {"pint": Fraction(1, 8)}), "how many are filled"),
    (lambda: calcium_chloride("half-pint", 1, tables().calcium_chloride), "known are pint, quart"),
])  # fmt: skip
def test_what_cannot_be_worked_out_says_what_to_do(call: Any, todo: str) -> None:
    with pytest.raises(ValueError, match=todo):
        call()
