"""No figure of acid or salt clears what a publication fails, whatever the amounts and the measures they are told in."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.engine.figures import Figure
from bot.kitchen.units import convert
from tests.engine.figures.asking import figure

UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

CUPS = st.integers(1, 60).map(lambda quarters: Fraction(quarters, 4))
PER_CENT = st.integers(1, 120).map(lambda tenths: Fraction(tenths, 10))
SMALLEST_CUP, LARGEST_CUP = Fraction("236.588"), Fraction("284.131")  # mL: of the US, and imperial


def of_acid(text: str) -> Figure:
    found = figure("poured-acid", text)
    assert not found.declines, text
    return found


@UNTIMED
@given(CUPS, CUPS, PER_CENT)
def test_a_mixture_passes_only_with_half_of_a_vinegar_of_five_per_cent(
    acid: Fraction, water: Fraction, strength: Fraction
) -> None:
    way = of_acid(f"{float(acid):g} cups {float(strength):g}% vinegar to {float(water):g} cups water").way
    assert (way == "half-or-more") == (strength >= 5 and acid >= water)
    assert (way == "too-weak") == (strength < 5)


@UNTIMED
@given(st.integers(100, 4000), st.integers(1, 16))
def test_beside_millilitres_a_cup_counts_as_whichever_has_less_acid(millilitres: int, cups: int) -> None:
    passes = of_acid(f"{cups} cups 5% vinegar to {millilitres} ml water").way == "half-or-more"
    assert passes == (cups * convert(Fraction(1), "cup", "mL") >= millilitres)
    thinned = of_acid(f"{millilitres} ml 5% vinegar to {cups} cups water").way == "half-or-more"
    assert thinned == (millilitres >= cups * convert(Fraction(1), "imperial cup", "mL"))


@UNTIMED
@given(CUPS, st.integers(1, 60))
def test_more_vegetables_never_make_a_jar_more_acid(acid: Fraction, pounds: int) -> None:
    less, more = (
        of_acid(f"{float(acid):g} cups 5% vinegar and 1 cup water for {lb} lb cucumbers") for lb in (pounds, pounds + 5)
    )
    least, most = (Fraction(each.values["jar"].removesuffix(" %").split(" to ")[-1]) for each in (more, less))
    assert least <= most
    if more.way == "half-or-more":
        assert less.way == "half-or-more"


@UNTIMED
@given(CUPS, CUPS)
def test_the_strength_is_asked_for_only_where_it_decides(acid: Fraction, water: Fraction) -> None:
    found = of_acid(f"{float(acid):g} cups vinegar to {float(water):g} cups water")
    assert (found.missing == "vinegar-strength") == (acid >= water)


@UNTIMED
@given(PER_CENT, PER_CENT)
def test_a_vinegar_under_five_is_never_for_the_shelf(used: Fraction, called: Fraction) -> None:
    found = figure("other-strength", f"can i use {float(used):g}% vinegar instead of {float(called):g}%")
    assert found.way.startswith("too-weak") == (used < 5)
    assert (found.way in ("same", "stronger", "essence")) == (used >= 5 and used >= called)


@UNTIMED
@given(st.integers(6, 30))
def test_water_to_thin_with_is_never_too_much(strength: int) -> None:
    found = figure("other-strength", f"can i use {strength}% vinegar instead of 5%")
    water = Fraction(found.values["water"].removesuffix(" mL"))
    assert Fraction(100 * strength) / (100 + water) >= 5


@UNTIMED
@given(st.integers(1, 400), st.integers(1, 40))
def test_cabbage_is_right_only_where_published_kraut_lies(grams: int, pounds: int) -> None:
    found = figure("salt-percent", f"{grams} g salt to {pounds} lb cabbage, what percent")
    percent = 100 * Fraction(grams) / convert(Fraction(pounds), "lb", "g")
    expected = (
        "dry-too-little" if percent < Fraction("2.25") else "dry-more" if percent > Fraction("2.5") else "dry-right"
    )
    assert found.way == expected or (found.way == "no-such-amounts" and percent >= 100)


@UNTIMED
@given(st.integers(1, 20), st.integers(3, 200))
def test_salt_for_a_per_cent_is_never_too_little(kilos: int, tenths: int) -> None:
    percent = Fraction(tenths, 10)
    found = figure("salt-amount", f"how much salt for {kilos} kg cabbage at {float(percent):g}%")
    assert Fraction(found.values["grams"].split(" g")[0].replace(",", "")) >= percent * kilos * 10


@pytest.mark.parametrize("kind", ["table", "sea", "kosher"])
@UNTIMED
@given(spoons=st.integers(1, 30))
def test_another_salt_weighs_no_less_than_the_one_called_for(kind: str, spoons: int) -> None:
    found = figure("salt-swap", f"how much {kind} salt instead of {spoons} tbsp canning salt")
    assert Fraction(found.values["grams"].removesuffix(" g").split(" to ")[-1]) >= 18 * spoons
