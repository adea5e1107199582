"""Water and minutes left: what is reckoned by hand comes out, always as a range with its unit, and what cannot be is refused."""

from __future__ import annotations

from math import pi
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.boil_off import (
    Evaporation,
    PastTarget,
    finished_grams,
    minutes_from_readings,
    minutes_left,
    rate_from_heat,
    rate_from_levels,
    rate_from_weighings,
    rate_from_width,
    slower,
    water_left_by_solids,
    water_left_by_weight,
    water_to_boil_off,
)
from bot.kitchen.boiling_rise import INVERTED, solids_at_rise
from bot.kitchen.ranges import Range, exactly
from bot.kitchen.soluble_solids import Part, batch_grams, dissolved_grams

ROOT = Path(__file__).parents[2]
DATA: dict[str, Any] = yaml.load((ROOT / "tests/published/boil-off.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
BATCHES: dict[str, Any] = {name: row for name, row in DATA["batches"].items() if isinstance(row, dict)}
SPREAD = Evaporation(Range(25, 60, "kg/m²h"), 0.7)
STEADY = Evaporation(exactly(40, "kg/m²h"), 1.0)


def part(grams: str | float, percent: str | float) -> Part:
    return Part(exactly(float(grams), "g"), exactly(float(percent), "%"))


def pot_of(name: str) -> list[Part]:
    return [part(*each) for each in BATCHES[name]["parts"]]


def cm(width: float) -> Range:
    return exactly(width, "cm")


TARGETS = [
    pytest.param(name, target, figures, id=f"{name} to {target} %")
    for name, row in BATCHES.items()
    for target, figures in row["targets"].items()
]
widths = st.floats(10, 60)
waters = st.floats(1, 5000)


@st.composite
def pots(draw: st.DrawFn) -> list[Part]:
    """Fruit and sugar, each in doubt, that have water to lose."""
    fruit, sugar = draw(st.floats(500, 3000)), draw(st.floats(0.3, 1.0))
    solids, doubt = draw(st.floats(3, 20)), draw(st.floats(0, 0.2))
    return [
        Part(
            Range(fruit * (1 - doubt), fruit * (1 + doubt), "g"), Range(solids * (1 - doubt), solids * (1 + doubt), "%")
        ),
        part(fruit * sugar, 100),
    ]


# ---- Water ----


@pytest.mark.parametrize(("name", "target", "figures"), TARGETS)
def test_finished_weight_and_water_are_those_reckoned_by_hand(name: str, target: str, figures: dict[str, str]) -> None:
    near = float(DATA["batches"]["within_g"])
    pot, aim = pot_of(name), float(target)
    final = finished_grams(pot, aim)
    assert final == (pytest.approx(float(figures["final"]), abs=near), pytest.approx(final.lo), "g")
    if "water" in figures:
        water = water_to_boil_off(pot, aim)
        assert water == (pytest.approx(float(figures["water"]), abs=near), pytest.approx(water.lo), "g")


def test_a_batch_in_print_comes_to_its_printed_weight() -> None:
    printed = DATA["printed-batch"]
    found = finished_grams([part(*each) for each in printed["parts"]], float(printed["target"]))
    assert found.lo == pytest.approx(float(printed["final"]), abs=float(printed["within_g"]))


@given(pots(), st.floats(60, 70))
def test_water_is_what_lies_between_the_weight_of_the_pot_and_of_the_finished_batch(
    pot: list[Part], target: float
) -> None:
    water, start, final = water_to_boil_off(pot, target), batch_grams(pot), finished_grams(pot, target)
    assert water.unit == start.unit == final.unit == "g"
    assert 0 <= water.lo <= water.hi
    assert start.lo - final.hi - 1e-6 <= water.lo
    assert water.hi <= start.hi - final.lo + 1e-6


@given(pots(), st.floats(60, 70), st.data())
def test_no_water_that_is_possible_falls_outside(pot: list[Part], target: float, data: st.DataObject) -> None:
    found = water_to_boil_off(pot, target)
    masses = [data.draw(st.floats(each.grams.lo, each.grams.hi)) for each in pot]
    inside = [data.draw(st.floats(each.solids.lo, each.solids.hi)) for each in pot]
    water = sum(masses) - sum(mass * solids for mass, solids in zip(masses, inside, strict=True)) / target
    assert found.lo - 1e-6 <= max(water, 0) <= found.hi + 1e-6


def test_the_least_water_is_that_of_the_lightest_and_strongest_fruit() -> None:
    pot = [Part(Range(900, 1000, "g"), Range(6, 10, "%")), part(450, 100)]
    least, most = (grams + 450 - (grams * solids + 450) / 0.65 for grams, solids in ((900, 0.10), (1000, 0.06)))
    assert water_to_boil_off(pot) == (pytest.approx(least), pytest.approx(most), "g")


@given(pots(), st.floats(10, 1000))
def test_water_poured_in_has_to_be_boiled_off_again(pot: list[Part], grams: float) -> None:
    before, after = water_to_boil_off(pot), water_to_boil_off([*pot, part(grams, 0)])
    assert after.hi == pytest.approx(before.hi + grams)
    assert after.lo >= before.lo


@given(pots(), st.floats(10, 200))
def test_more_sugar_leaves_less_water_to_lose(pot: list[Part], grams: float) -> None:
    sweeter = [*pot, part(grams, 100)]
    if batch_grams(sweeter).hi - finished_grams(sweeter).lo > 0:
        assert water_to_boil_off(sweeter).hi < water_to_boil_off(pot).hi


@given(pots())
def test_a_firmer_target_takes_more_water_off(pot: list[Part]) -> None:
    soft, firm = water_to_boil_off(pot, 60), water_to_boil_off(pot, 68)
    assert soft.lo <= firm.lo
    assert soft.hi < firm.hi


def test_the_scale_tells_what_is_left_whatever_has_gone() -> None:
    pot = pot_of("strawberry")
    at_start = water_left_by_weight(pot, batch_grams(pot))
    assert at_start.lo == pytest.approx(water_to_boil_off(pot).lo)
    later = water_left_by_weight(pot, Range(990, 1010, "g"))
    assert later == (pytest.approx(990 - 805.5, abs=0.2), pytest.approx(1010 - 805.5, abs=0.2), "g")


def test_a_refractometer_tells_what_is_left() -> None:
    pot = pot_of("strawberry")
    found = water_left_by_solids(pot, Range(55, 60, "%"))
    dissolved = dissolved_grams(pot).lo
    assert found == (
        pytest.approx(dissolved / 0.60 - dissolved / 0.65),
        pytest.approx(dissolved / 0.55 - dissolved / 0.65),
        "g",
    )


@given(pots(), st.floats(0.1, 0.9))
def test_scale_and_refractometer_agree(pot: list[Part], gone: float) -> None:
    exact = [Part(exactly(each.grams.lo, "g"), exactly(each.solids.lo, "%")) for each in pot]
    weight = batch_grams(exact).lo - gone * water_to_boil_off(exact).lo
    solids = dissolved_grams(exact).lo / weight * 100
    by_weight = water_left_by_weight(exact, exactly(weight, "g"))
    assert water_left_by_solids(exact, exactly(solids, "%")).lo == pytest.approx(by_weight.lo, rel=1e-6)


def test_the_low_end_is_nothing_when_the_batch_may_be_there_already() -> None:
    found = water_left_by_solids(pot_of("plum"), Range(62, 69, "%"))
    assert found.lo == 0
    assert found.hi > 0


@pytest.mark.parametrize("left", [
    lambda: water_to_boil_off([part(100, 8), part(900, 100)]),
    lambda: water_left_by_weight(pot_of("plum"), exactly(1300, "g")),
    lambda: water_left_by_solids(pot_of("plum"), Range(65, 69, "%")),
    lambda: minutes_from_readings(219, 223, 212, exactly(5, "min"), SPREAD),
])  # fmt: skip
def test_past_the_target_there_is_no_water_and_the_pot_comes_off(left: Any) -> None:
    with pytest.raises(PastTarget, match=r"at or past 65 %, no water is left .* take the pot off the heat"):
        left()


# ---- Rates ----


@pytest.mark.parametrize(("width", "grams"), DATA["widths"]["rows"].items())
def test_the_rate_follows_the_width_of_the_pot(width: str, grams: list[str]) -> None:
    for each, printed in zip(DATA["widths"]["kg_per_m2_and_hour"], grams, strict=True):
        found = rate_from_width(cm(float(width)), Evaporation(exactly(float(each), "kg/m²h"), 0.7))
        assert found == (pytest.approx(float(printed), abs=float(DATA["widths"]["within"])), found.lo, "g/min")


@pytest.mark.parametrize("pan", DATA["pans"]["rows"])
def test_pans_of_practice_lose_water_within_the_range(pan: list[str]) -> None:
    long, wide, gallons = map(float, pan)
    each = gallons * 3.785 / (long * wide * 0.0254**2)  # kg/m²h
    assert SPREAD.kg_per_m2_hour.lo - 1 <= each <= SPREAD.kg_per_m2_hour.hi


@pytest.mark.parametrize(("power", "share", "grams"), DATA["stoves"]["rows"])
def test_a_stove_boils_off_no_more_than_its_heat(power: str, share: str, grams: str) -> None:
    found = rate_from_heat(exactly(float(power), "kW"), exactly(float(share), "%"))
    assert found == (pytest.approx(float(grams), abs=float(DATA["stoves"]["within_g"])), found.lo, "g/min")


@pytest.mark.parametrize(("feet", "kilojoules"), DATA["stoves"]["heat"].items())
def test_the_heat_of_evaporation_is_that_of_steam_properties(feet: str, kilojoules: str) -> None:
    heat = 60_000 / rate_from_heat(exactly(1, "kW"), exactly(100, "%"), float(feet)).lo
    assert heat == pytest.approx(float(kilojoules), abs=float(DATA["stoves"]["within_kj"]))


def test_the_smaller_of_surface_and_stove_holds() -> None:
    surface, stove = Range(26, 62, "g/min"), Range(37, 43, "g/min")
    assert slower(surface, stove) == slower(stove, surface) == (26, 43, "g/min")


def test_a_sunk_level_is_water_gone() -> None:
    printed = DATA["levels"]
    drop = exactly(float(printed["drop_mm"]), "mm")
    found = rate_from_levels(cm(float(printed["width"])), drop, exactly(1, "min"), STEADY)
    assert found == (pytest.approx(float(printed["grams"]), abs=float(printed["within_g"])), found.lo, "g/min")


def test_two_weighings_give_the_rate_and_the_slow_end_is_slower_still() -> None:
    first, later, minutes = Range(1370, 1375, "g"), Range(1170, 1175, "g"), exactly(5, "min")
    assert rate_from_weighings(first, later, minutes, SPREAD) == (
        pytest.approx(195 / 5 * 0.7),
        pytest.approx(205 / 5),
        "g/min",
    )
    assert rate_from_weighings(first, later, minutes, STEADY) == (pytest.approx(39), pytest.approx(41), "g/min")


# ---- Minutes ----


@pytest.mark.parametrize("row", DATA["minutes"]["rows"].values(), ids=DATA["minutes"]["rows"])
def test_minutes_are_those_reckoned_for_the_width(row: dict[str, Any]) -> None:
    water, near = exactly(float(row["water"]), "g"), float(DATA["minutes"]["within_min"])
    found = minutes_left(water, rate_from_width(cm(float(row["width"])), SPREAD))
    assert found == (*(pytest.approx(float(each), abs=near) for each in row["minutes"]), "min")
    middle = rate_from_width(cm(float(row["width"])), STEADY).lo
    assert water.lo / middle == pytest.approx(float(row["middle"]), abs=near)


@pytest.mark.parametrize("width", DATA["minutes"]["practice"]["widths"])
def test_a_batch_as_it_is_usually_made_takes_about_as_long_as_it_usually_takes(width: str) -> None:
    practice = DATA["minutes"]["practice"]
    found = minutes_left(water_to_boil_off(pot_of(practice["batch"])), rate_from_width(cm(float(width)), SPREAD))
    least, most = map(float, practice["minutes"])
    assert found.lo <= least
    assert least <= found.hi
    assert found.hi <= 1.5 * most, "not of another order either"


def test_a_printed_recipe_boils_at_a_rate_within_the_range_of_a_wide_pot() -> None:
    recipe = DATA["minutes"]["plum_recipe"]
    rate = float(recipe["water"]) / float(recipe["minutes"])
    assert rate == pytest.approx(float(recipe["rate"]), abs=1)
    found = rate_from_width(Range(28, 32, "cm"), SPREAD)
    assert found.lo < rate < found.hi


def test_the_range_is_rounded_outward_and_told_with_its_unit() -> None:
    found = minutes_left(exactly(300, "g"), Range(32, 48, "g/min"))
    assert found == (6, 10, "min")
    assert found.text == "6 to 10 min"


@given(waters, widths, widths)
def test_a_wider_pot_takes_fewer_minutes(water: float, one: float, other: float) -> None:
    narrow, wide = (
        minutes_left(exactly(water, "g"), rate_from_width(cm(each), SPREAD)) for each in sorted((one, other))
    )
    assert wide.lo <= narrow.lo
    assert wide.hi <= narrow.hi
    if max(one, other) > 1.5 * min(one, other) and water > 500:
        assert wide.hi < narrow.hi


@given(waters, waters, widths)
def test_more_water_takes_more_minutes(one: float, other: float, width: float) -> None:
    less, more = (minutes_left(exactly(each, "g"), rate_from_width(cm(width), SPREAD)) for each in sorted((one, other)))
    assert less.lo <= more.lo
    assert less.hi <= more.hi
    if abs(one - other) > 200:
        assert less.hi < more.hi


@given(waters, st.floats(0, 500), st.floats(1, 100), st.floats(0, 50))
def test_minutes_hold_every_possible_time_and_are_never_one_number(
    water: float, doubt: float, rate: float, spread: float
) -> None:
    found = minutes_left(Range(water, water + doubt, "g"), Range(rate, rate + spread, "g/min"))
    assert found.unit == "min"
    assert found.lo < found.hi
    assert found.lo <= water / (rate + spread) + 1e-6
    assert (water + doubt) / rate <= found.hi + 1e-6
    assert found.lo == int(found.lo)
    assert found.hi == int(found.hi)


@given(pots(), st.floats(0.2, 0.7), st.floats(20, 45))
def test_from_two_weighings_of_a_steady_boil_the_true_time_is_in_the_range(
    pot: list[Part], gone: float, rate: float
) -> None:
    exact = [Part(exactly(each.grams.hi, "g"), exactly(each.solids.lo, "%")) for each in pot]
    start, water = batch_grams(exact).lo, water_to_boil_off(exact).lo
    later = start - gone * water
    measured = rate_from_weighings(
        exactly(start, "g"), exactly(later, "g"), exactly(gone * water / rate, "min"), SPREAD
    )
    found = minutes_left(water_left_by_weight(exact, exactly(later, "g")), measured)
    assert found.lo - 1e-6 <= (1 - gone) * water / rate <= found.hi + 1e-6


@given(
    st.floats(2, 5), st.floats(2, 5), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(*INVERTED), st.floats(3, 15)
)
def test_from_two_readings_whatever_fits_them_is_in_the_range(
    first: float, more: float, one: float, other: float, share: float, minutes: float
) -> None:
    target, spent = 68.0, exactly(minutes, "min")
    at_first, at_later = (solids_at_rise(rise, share) for rise in (first + one, first + more + other))
    if at_later < target:
        true = minutes * (1 / at_later - 1 / target) / (1 / at_first - 1 / at_later)
        found = minutes_from_readings(211.95 + first, 211.95 + first + more, 211.95, spent, SPREAD, target)
        assert found.lo - 1e-3 <= true <= found.hi + 1e-3
        assert found.unit == "min"
        assert found.lo < found.hi


def test_near_the_end_the_pot_is_given_longer() -> None:
    steady, slowing = (minutes_from_readings(215, 218, 212, exactly(20, "min"), each) for each in (STEADY, SPREAD))
    assert slowing.lo == steady.lo
    assert slowing.hi == pytest.approx(steady.hi / 0.7, abs=1.5)


def test_a_longer_wait_between_the_same_readings_means_a_longer_wait_still() -> None:
    quick, slow = (minutes_from_readings(215, 218, 212, exactly(each, "min"), SPREAD) for each in (3, 12))
    assert quick.lo <= slow.lo
    assert quick.hi < slow.hi


# ---- What cannot be ----


@pytest.mark.parametrize(("work_out", "complaint"), [
    (lambda: rate_from_width(cm(0), SPREAD), r"width of the pot, measured inside across the top, cannot be 0 cm: give 10 to 60 cm"),
    (lambda: rate_from_width(cm(280), SPREAD), r"give 10 to 60 cm"),
    (lambda: rate_from_width(exactly(11, "in"), SPREAD), r"must be told in cm, not in in: convert it first"),
    (lambda: rate_from_width(cm(28), Evaporation(Range(60, 25, "kg/m²h"), 0.7)), r"give the smaller number first"),
    (lambda: rate_from_heat(exactly(0, "kW"), exactly(75, "%")), r"power of the burner cannot be 0 kW"),
    (lambda: rate_from_heat(exactly(2000, "kW"), exactly(75, "%")), r"give 0.1 to 15 kW"),
    (lambda: rate_from_heat(exactly(2, "kW"), exactly(0, "%")), r"efficiency of the burner"),
    (lambda: rate_from_heat(exactly(2, "kW"), exactly(75, "%"), 50_000), r"no height of a kitchen"),
    (lambda: slower(exactly(2, "g"), exactly(2, "g/min")), r"a rate must be told in g/min"),
    (lambda: rate_from_weighings(exactly(900, "g"), exactly(900, "g"), exactly(5, "min"), SPREAD), r"boil some minutes longer, then measure"),
    (lambda: rate_from_weighings(exactly(900, "g"), exactly(950, "g"), exactly(5, "min"), SPREAD), r"cannot be told apart"),
    (lambda: rate_from_weighings(Range(880, 920, "g"), Range(860, 900, "g"), exactly(5, "min"), SPREAD), r"cannot be told apart"),
    (lambda: rate_from_weighings(exactly(900, "g"), exactly(800, "g"), exactly(0, "min"), SPREAD), r"the time between cannot be 0 min"),
    (lambda: rate_from_weighings(exactly(900, "g"), exactly(800, "g"), exactly(5, "min"), Evaporation(Range(25, 60, "kg/m²h"), 0)), r"more than 0 and at most 1"),
    (lambda: rate_from_levels(cm(30), exactly(0, "mm"), exactly(5, "min"), SPREAD), r"cannot be told apart"),
    (lambda: rate_from_levels(cm(0), exactly(10, "mm"), exactly(5, "min"), SPREAD), r"give 10 to 60 cm"),
    (lambda: minutes_left(exactly(300, "g"), exactly(0, "g/min")), r"has no end: give water still to lose, and a rate above 0"),
    (lambda: minutes_left(exactly(0, "g"), exactly(40, "g/min")), r"has no end"),
    (lambda: minutes_left(exactly(300, "mL"), exactly(40, "g/min")), r"the water must be told in g, not in mL"),
    (lambda: water_to_boil_off(pot_of("plum"), 90), r"90 % is no target of soluble solids: give 40 to 72 %"),
    (lambda: finished_grams(pot_of("plum"), 0.65), r"give 40 to 72 %"),
    (lambda: water_to_boil_off([]), r"nothing is in the pot"),
    (lambda: water_left_by_weight(pot_of("plum"), exactly(2500, "g")), r"1,690 g went in: take the weight of the empty pot off"),
    (lambda: water_left_by_weight(pot_of("plum"), exactly(600, "g")), r"less than the 884.4 g dissolved in them: weigh again"),
    (lambda: water_left_by_solids(pot_of("plum"), exactly(0, "%")), r"soluble solids now cannot be 0 %"),
    (lambda: minutes_from_readings(216, 217, 212, exactly(5, "min"), SPREAD), r"read again once it is 2 °F hotter"),
    (lambda: minutes_from_readings(218, 215, 212, exactly(5, "min"), SPREAD), r"cannot be told apart"),
    (lambda: minutes_from_readings(213, 218, 212, exactly(5, "min"), SPREAD), r"tells nothing yet: begin from 2 °F above"),
    (lambda: minutes_from_readings(216, 226, 212, exactly(5, "min"), SPREAD), r"past any set"),
    (lambda: minutes_from_readings(216, 219, 212, exactly(0, "min"), SPREAD), r"time between the readings cannot be 0 min"),
    (lambda: minutes_from_readings(216, 219, 212, exactly(5, "min"), SPREAD, 95), r"give 40 to 72 %"),
])  # fmt: skip
def test_what_cannot_be_is_refused_with_what_to_do(work_out: Any, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        work_out()


def test_the_ends_of_what_a_pot_can_be_are_taken() -> None:
    for width in (10.0, 60.0):
        assert rate_from_width(cm(width), STEADY).lo == pytest.approx(40 * pi * (width / 100) ** 2 / 4 / 60 * 1000)
    for target in (40.0, 72.0):
        assert finished_grams(pot_of("plum"), target).lo == pytest.approx(884.42 / target * 100)
