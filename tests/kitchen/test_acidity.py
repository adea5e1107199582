"""Acid of brines and jars: the worked figures, never rounded toward more acid, and never a clearance from a figure not known."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.kitchen_tables import number
from bot.kitchen import acidity
from bot.kitchen.acidity import (
    AcidMinimum,
    Brine,
    Pack,
    acid_against,
    acid_grams,
    acid_per_jar,
    against_minimums,
    against_recipe,
    batch_acidity,
    brine_strength,
    jar_acidity,
    show_acid,
    vinegar_share,
    volume_for_same_acid,
    water_share,
    water_to_thin,
)
from bot.kitchen.span import Span, exactly
from bot.kitchen.units import convert
from tests.kitchen.given import published, reading, spans, tables, within

DATA = published("acid")
BATCHES = [pytest.param(row["is"], id=name) for name, row in DATA["batches"]["rows"].items()]
POUND_G, CUP_ML = convert(Fraction(1), "lb", "g"), convert(Fraction(1), "cup", "mL")
CUCUMBER, FLOATS = exactly("0.9523"), exactly("0.96")
ANY_STRENGTH = Span(Fraction(0), Fraction(30))

brines = st.builds(Brine, spans(1, 5000), spans(0, 30), spans(0, 5000))
packs = st.builds(Pack, spans(0, 5000), spans(0, 1), st.just(FLOATS))
weights_of_a_ml = spans(0, 1).map(lambda span: Span(Fraction(19, 20) + span.lo / 2, Fraction(19, 20) + span.hi / 2))
jar_packs = st.builds(Pack, spans(0, 180), spans(0, 1), weights_of_a_ml)  # with 100 g more it still fits 300 mL


def cups(vinegar: str | int, strength: str | int, water: str | int) -> Brine:
    return Brine(
        exactly(number(str(vinegar)) * CUP_ML), exactly(number(str(strength))), exactly(number(str(water)) * CUP_ML)
    )


def cucumbers(grams: Fraction) -> Pack:
    return Pack(exactly(grams), CUCUMBER, FLOATS)


def known(span: Span) -> float:
    assert span.lo == span.hi
    return float(span.lo)


# --- Worked figures ---


@pytest.mark.parametrize("row", BATCHES)
def test_a_batch_holds_the_acid_worked_out_for_it(row: list[str]) -> None:
    vinegar, strength, water, pounds, sugar, acid, share, liquid, even = row
    brine, pack = cups(vinegar, strength, water), cucumbers(number(pounds) * POUND_G)
    points, grams = float(DATA["batches"]["within"]), float(DATA["batches"]["within_g"])
    room = exactly(number(sugar) * 200 * tables().dissolved_ml_per_g["sugar"])
    assert known(acid_grams(brine)) == pytest.approx(float(acid), abs=grams)
    assert known(vinegar_share(brine)) == pytest.approx(float(share), abs=points)
    assert known(brine_strength(brine)) == pytest.approx(float(liquid), abs=points)
    assert known(batch_acidity(brine, pack, room)) == pytest.approx(float(even), abs=points)


@pytest.mark.parametrize(("strength", "grams", "even"), DATA["jars"]["rows"])
def test_a_tightly_packed_pint_holds_less_acid_than_the_batch(strength: str, grams: str, even: str) -> None:
    found = jar_acidity(exactly(445), cucumbers(Fraction(grams)), exactly(number(strength)))
    assert known(found) == pytest.approx(float(even), abs=float(DATA["jars"]["within"]))


@pytest.mark.parametrize(("vinegar", "water", "grams", "even"), DATA["pints"]["rows"])
def test_a_pint_comes_to_what_a_second_reckoning_gave(vinegar: str, water: str, grams: str, even: str) -> None:
    pack = Pack(exactly(grams), exactly("0.95"), exactly(1))
    found = jar_acidity(exactly(443), pack, brine_strength(cups(vinegar, 5, water)))
    assert known(found) == pytest.approx(float(even), abs=float(DATA["pints"]["within"]))


@pytest.mark.parametrize(
    ("recipe", "pints", "grams"), [(r, *row) for r, row in DATA["most-acid-a-pint"]["rows"].items()]
)
def test_a_tested_recipe_gives_its_pints_the_acid_worked_out(recipe: str, pints: str, grams: str) -> None:
    assert within(tables().tested_pints[recipe], number(pints))
    found = acid_per_jar(tables().tested_brines[recipe], exactly(number(pints)))
    assert known(found) == pytest.approx(float(grams), abs=float(DATA["most-acid-a-pint"]["within_g"]))


@pytest.mark.parametrize(("strength", "figures"), DATA["strengths"]["weaker"].items())
def test_a_weaker_vinegar_is_told_by_how_much(strength: str, figures: list[str]) -> None:
    acid, volume = map(Fraction, figures)
    assert acid_against(exactly(strength)) == exactly(acid)
    assert volume_for_same_acid(exactly(strength)) == volume


def test_a_strength_known_only_roughly_counts_at_its_weak_end() -> None:
    roughly = Span(Fraction(4), Fraction(8))
    assert volume_for_same_acid(roughly) == Fraction(5, 4)
    assert water_to_thin(roughly, Fraction(2)) == 1


@pytest.mark.parametrize(("strength", "water"), DATA["strengths"]["stronger"].items())
def test_a_stronger_vinegar_takes_so_much_water_and_is_then_of_five_per_cent(strength: str, water: str) -> None:
    thinned = water_to_thin(exactly(strength))
    assert thinned == Fraction(water)
    assert brine_strength(Brine(exactly(1), exactly(strength), exactly(thinned))) == exactly(5)


def test_single_figures_of_the_trade() -> None:
    given, near = DATA["single"], float(DATA["single"]["within"])
    pint_of_five = [
        Brine(exactly(convert(Fraction(1), pint, "mL")), exactly(5), exactly(0)) for pint in ("imperial pint", "pint")
    ]
    assert known(acid_grams(cups(1, 5, 0))) == pytest.approx(float(given["cup-of-five"]), abs=near)
    assert known(acid_grams(cups(1, 4, 0))) == pytest.approx(float(given["cup-of-four"]), abs=near)
    assert known(brine_strength(cups(4, 5, "1/2"))) == pytest.approx(float(given["half-cup-left-in-four"]), abs=near)
    uk, us = (known(acid_grams(brine)) for brine in pint_of_five)
    assert uk == pytest.approx(float(given["uk-pint"]), abs=near)
    assert us == pytest.approx(float(given["us-pint"]), abs=near)


# --- Against what is published ---


def held(brine: Brine, jar: Span | None = None) -> dict[str, str]:
    return {each.minimum.id: each.stands for each in against_minimums(tables().acid_minimums, brine, jar)}


@pytest.mark.parametrize(("strength", "shelf", "name"), [
    (3, "below", "below"), ("3.99", "below", "below"), (4, "below", "reached"), ("4.99", "below", "reached"), (5, "reached", "reached"),
    (6, "reached", "reached"),
])  # fmt: skip
def test_vinegar_below_five_per_cent_is_below_whatever_may_be_sold_as_vinegar(
    strength: Any, shelf: str, name: str
) -> None:
    found = held(cups(1, strength, 0))
    assert (found["shelf-vinegar"], found["sold-as-vinegar"]) == (shelf, name)


@pytest.mark.parametrize(
    ("vinegar", "water", "stands"), [("2.98", 3, "below"), (3, 3, "reached"), (4, 1, "reached"), (6, 8, "below")]
)
def test_half_and_half_is_compared_without_rounding(vinegar: Any, water: Any, stands: str) -> None:
    assert held(cups(vinegar, 5, water))["untested-recipe"] == stands


def test_a_vinegar_of_unknown_strength_is_open_against_every_strength() -> None:
    unknown = Brine(exactly(500), ANY_STRENGTH, exactly(0))
    assert held(unknown) == {
        "shelf-vinegar": "open", "sold-as-vinegar": "open", "untested-recipe": "reached", "fresh-pack": "open",
    }  # fmt: skip
    assert against_recipe(unknown, tables().tested_brines["quick-dills"]) == "open"


@pytest.mark.parametrize(("jar", "stands"), [(Span(Fraction("0.4"), Fraction("0.49")), "below"), (exactly("0.5"), "reached"),
    (Span(Fraction("0.4"), Fraction("0.6")), "open"), (None, "open")])  # fmt: skip
def test_the_finished_jar_is_held_against_its_own_minimum_only_when_it_was_worked_out(
    jar: Span | None, stands: str
) -> None:
    assert held(cups(1, 5, 0), jar)["fresh-pack"] == stands


def test_the_tested_dills_are_under_half_vinegar_and_still_reach_themselves() -> None:
    dills = tables().tested_brines["quick-dills"]
    assert held(dills)["untested-recipe"] == "below"
    assert against_recipe(dills, dills) == "reached"
    assert min(vinegar_share(each).lo for each in tables().tested_brines.values()) == Fraction(300, 7)


@pytest.mark.parametrize(("vinegar", "strength", "water", "stands"), [
    ("5.99", 5, 8, "below"), (6, 5, "8.01", "below"), (6, 4, 8, "below"), (6, "4.99", 8, "below"), (6, 5, 8, "reached"), (7, 5, 8, "reached"),
])  # fmt: skip
def test_a_hair_under_the_tested_recipe_is_below_it(vinegar: Any, strength: Any, water: Any, stands: str) -> None:
    assert against_recipe(cups(vinegar, strength, water), tables().tested_brines["quick-dills"]) == stands


def test_a_recipe_known_only_roughly_counts_with_its_strongest_reading() -> None:
    recipe = Brine(Span(Fraction(4), Fraction(5)), exactly(5), exactly(4))
    assert against_recipe(Brine(exactly(4), exactly(5), exactly(4)), recipe) == "below"


def test_an_unknown_measure_is_refused() -> None:
    odd = AcidMinimum("odd", "ph", Fraction(4), "nothing", "a publication")
    with pytest.raises(ValueError, match="use one of strength, share, jar"):
        against_minimums((odd,), cups(1, 5, 1))


def test_no_function_gives_a_ph_or_an_outcome() -> None:
    promises = ("ph", "safe", "outcome", "shelf", "verdict", "lethality")
    assert [
        name
        for name in vars(acidity)
        if not name.startswith("_") and any(p in name.lower().split("_") for p in promises)
    ] == []


# --- Water of vegetables ---


def test_a_listed_vegetable_has_its_published_water() -> None:
    shares = tables().water_in_food
    printed = {
        food: [Fraction(figure) / 100 for figure in figures] for food, figures in DATA["water-in-food"]["rows"].items()
    }
    assert {food: Span(min(figures), max(figures)) for food, figures in printed.items()} == shares


def test_a_vegetable_that_is_not_listed_may_be_anything_up_to_water_itself() -> None:
    shares = tables().water_in_food
    assert water_share(["cucumber"], shares) == CUCUMBER
    assert water_share(["cucumber", "onion"], shares) == Span(Fraction("0.8911"), Fraction("0.9523"))
    assert (
        water_share(["mooli"], shares)
        == Span(Fraction("0.5858"), Fraction(1))
        == water_share(["cucumber", "mooli"], shares)
    )
    assert water_share(["mooli"], {}) == Span(Fraction(0), Fraction(1))


# --- Properties ---


@given(brines, packs, st.fractions(1, 1000, max_denominator=8))
def test_more_water_is_less_acid_everywhere(brine: Brine, pack: Pack, more: Fraction) -> None:
    wetter = brine._replace(water_ml=brine.water_ml.plus(exactly(more)))
    for now, then in [
        (brine_strength(brine), brine_strength(wetter)),
        (vinegar_share(brine), vinegar_share(wetter)),
        (batch_acidity(brine, pack), batch_acidity(wetter, pack)),
    ]:
        assert then.lo <= now.lo and then.hi <= now.hi
        assert then.hi < now.hi or now.hi == 0
    assert acid_grams(wetter) == acid_grams(brine)


@given(spans(300, 900), jar_packs, spans(1, 30), st.fractions(1, 100, max_denominator=8))
def test_a_tighter_pack_is_less_acid_in_the_jar(filled: Span, pack: Pack, strength: Span, more: Fraction) -> None:
    tighter = pack._replace(grams=pack.grams.plus(exactly(more)))
    now, then = (jar_acidity(filled, each, strength) for each in (pack, tighter))
    assert then.lo <= now.lo and then.hi <= now.hi
    assert then.hi < now.hi or pack.water.lo == 0, "dry pieces only take room"


@given(brines, packs, st.data())
def test_every_reading_of_a_span_comes_to_something_inside_the_result(
    brine: Brine, pack: Pack, data: st.DataObject
) -> None:
    exact_brine, exact_pack = (
        Brine(*(reading(data, each) for each in brine)),
        Pack(*(reading(data, each) for each in pack)),
    )
    for of_span, of_one in [
        (acid_grams(brine), acid_grams(exact_brine)),
        (vinegar_share(brine), vinegar_share(exact_brine)),
        (brine_strength(brine), brine_strength(exact_brine)),
        (batch_acidity(brine, pack), batch_acidity(exact_brine, exact_pack)),
        (acid_against(brine.strength), acid_against(exact_brine.strength)),
    ]:
        assert within(of_span, of_one.lo) and of_one.lo == of_one.hi


@given(spans(300, 900), jar_packs, spans(0, 30), st.data())
def test_every_reading_of_a_jar_comes_to_something_inside_the_result(
    filled: Span, pack: Pack, strength: Span, data: st.DataObject
) -> None:
    of_span = jar_acidity(filled, pack, strength)
    exact_pack = Pack(*(reading(data, each) for each in pack))
    of_one = jar_acidity(reading(data, filled), exact_pack, reading(data, strength))
    assert within(of_span, of_one.lo) and of_one.lo == of_one.hi


@given(brines, packs)
def test_vegetables_never_make_a_brine_stronger(brine: Brine, pack: Pack) -> None:
    assert batch_acidity(brine, pack).hi <= brine_strength(brine).hi <= brine.strength.hi


@given(brines, spans(1, 2000), packs)
def test_dissolved_sugar_weakens_the_liquid_and_the_batch(brine: Brine, room: Span, pack: Pack) -> None:
    for plain, sweet in [
        (brine_strength(brine), brine_strength(brine, room)),
        (batch_acidity(brine, pack), batch_acidity(brine, pack, room)),
    ]:
        assert sweet.lo <= plain.lo and sweet.hi <= plain.hi
        assert sweet.hi < plain.hi or plain.hi == 0


@given(brines)
def test_without_vegetables_the_batch_is_the_brine(brine: Brine) -> None:
    nothing = Pack(exactly(0), CUCUMBER, FLOATS)
    assert batch_acidity(brine, nothing) == brine_strength(brine)
    assert jar_acidity(exactly(445), nothing, brine_strength(brine)) == brine_strength(brine)


@given(st.fractions(Fraction(1, 2), 30, max_denominator=64), st.fractions(Fraction(1, 2), 30, max_denominator=64))
def test_the_same_acid_by_volume_and_the_acid_in_the_same_volume_are_each_others_inverse(
    one: Fraction, other: Fraction
) -> None:
    assert acid_against(exactly(one), other).lo * volume_for_same_acid(exactly(one), other) == 1


@given(spans(5, 30))
def test_a_vinegar_thinned_by_as_much_as_is_told_never_falls_under_five_per_cent(strength: Span) -> None:
    assert brine_strength(Brine(exactly(1), strength, exactly(water_to_thin(strength)))).lo == 5


@given(spans(0, 100))
def test_what_is_shown_is_never_more_acid_than_there_is(found: Span) -> None:
    shown = [Fraction(each) for each in show_acid(found).removesuffix(" %").split(" to ")]
    assert found.lo - Fraction(1, 10) < shown[0] <= found.lo
    assert found.hi - Fraction(1, 10) < shown[-1] <= found.hi


@pytest.mark.parametrize(
    ("low", "high", "shown"),
    [("1.99", "1.99", "1.9 %"), ("1.25", "1.5599", "1.2 to 1.5 %"), ("1.51", "1.59", "1.5 %"), (0, 4, "0 to 4 %")],
)
def test_acid_is_shown_cut_to_a_tenth(low: Any, high: Any, shown: str) -> None:
    assert show_acid(Span(Fraction(low), Fraction(high))) == shown


def test_a_jar_counts_with_the_lightest_pieces_for_its_weak_end() -> None:
    pack = Pack(exactly(200), CUCUMBER, Span(Fraction("0.8"), Fraction(1)))
    weak, strong = (
        jar_acidity(exactly(445), pack._replace(grams_per_ml=exactly(each)), exactly(5)) for each in pack.grams_per_ml
    )
    assert jar_acidity(exactly(445), pack, exactly(5)) == Span(weak.lo, strong.hi)
    assert weak.lo < strong.lo, "light pieces leave less room for what is poured on"


# --- What is refused ---


def test_a_pack_that_may_leave_no_room_may_have_no_acid_and_one_that_never_fits_is_refused() -> None:
    tight = Pack(Span(Fraction(300), Fraction(500)), CUCUMBER, FLOATS)
    assert jar_acidity(exactly(445), tight, exactly(5)).lo == 0
    with pytest.raises(ValueError, match="500 g leave no room in 445 mL: give what went into one jar"):
        jar_acidity(exactly(445), cucumbers(Fraction(500)), exactly(5))


@pytest.mark.parametrize("strength", [exactly(-1), exactly("30.1"), Span(Fraction(6), Fraction(5))])
def test_a_strength_that_no_label_has_is_refused_by_everything_that_takes_one(strength: Span) -> None:
    odd = Brine(exactly(100), strength, exactly(100))
    for work_out in (acid_grams, brine_strength, vinegar_share):
        with pytest.raises(ValueError, match="per cent acid of the label"):
            work_out(odd)
    for ask in (acid_against, volume_for_same_acid, water_to_thin):
        with pytest.raises(ValueError, match="per cent acid of the label"):
            ask(strength)
    with pytest.raises(ValueError, match="per cent acid of the label"):
        jar_acidity(exactly(445), cucumbers(Fraction(200)), strength)


@pytest.mark.parametrize(("brine", "todo"), [
    (Brine(exactly(-1), exactly(5), exactly(1)), "volume poured.*give mL"), (Brine(exactly(1), exactly(5), exactly(-1)), "volume of water.*give mL"),
    (Brine(exactly(0), exactly(5), exactly(0)), "no liquid.*mL that were poured"), (Brine(exactly(2_000_000), exactly(5), exactly(0)), "0 to 1,000,000"),
])  # fmt: skip
def test_volumes_that_are_none_are_refused_with_what_to_give(brine: Brine, todo: str) -> None:
    with pytest.raises(ValueError, match=todo):
        brine_strength(brine)


@pytest.mark.parametrize(
    "pack",
    [
        Pack(exactly(-1), CUCUMBER, FLOATS),
        Pack(exactly(1), exactly("95.23"), FLOATS),
        Pack(exactly(1), CUCUMBER, exactly(0)),
    ],
)
def test_a_pack_that_is_none_is_refused(pack: Pack) -> None:
    with pytest.raises(ValueError, match=r"cannot be .*: give"):
        batch_acidity(cups(1, 5, 1), pack)


@pytest.mark.parametrize(("call", "todo"), [
    (lambda: volume_for_same_acid(ANY_STRENGTH), "read the per cent acid"), (lambda: water_to_thin(Span(Fraction(4), Fraction(6))), "use a stronger one"),
    (lambda: acid_against(exactly(5), Fraction(0)), "the recipe calls for"), (lambda: water_to_thin(exactly(5), Fraction(-1)), "the recipe calls for"),
    (lambda: acid_per_jar(cups(1, 5, 1), exactly(0)), "how many were filled"), (lambda: water_share([], {}), "name what it may be"),
    (lambda: batch_acidity(cups(1, 5, 1), cucumbers(Fraction(1)), exactly(-1)), "give the mL that it adds"),
    (lambda: jar_acidity(exactly(-1), cucumbers(Fraction(1)), exactly(5)), "up to the headspace"), (lambda: show_acid(exactly(101)), "give it in per cent"),
])  # fmt: skip
def test_what_cannot_be_worked_out_says_what_to_do(call: Any, todo: str) -> None:
    with pytest.raises(ValueError, match=todo):
        call()
