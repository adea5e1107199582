"""Units are the legal ones, conversions come back where they started, and what is shown can be measured in a kitchen."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import pint
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.units import (
    FACTORS,
    c_to_f,
    convert,
    difference_c_to_f,
    difference_f_to_c,
    f_to_c,
    kitchen_measure,
    mixed,
    show_altitude,
    show_length_in,
    show_temperature,
)

PUBLISHED = Path(__file__).parents[1] / "published"
DATA: dict[str, Any] = yaml.load((PUBLISHED / "units.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
EXACT = [
    (kind, unit, size) for kind, units in DATA["exact"].items() if kind != "source" for unit, size in units.items()
]
CUSTOMARY = [("volume", unit, size) for unit, size in DATA["customary"]["volume"].items()]
PINT_NAMES = {
    "fl oz": "fluid_ounce", "tsp": "teaspoon", "tbsp": "tablespoon", "dry pint": "dry_pint", "dry quart": "dry_quart", "in": "inch",
    "imperial fl oz": "imperial_fluid_ounce", "imperial cup": "imperial_cup", "imperial pint": "imperial_pint",
    "imperial quart": "imperial_quart", "imperial gill": "imperial_gill", "imperial gallon": "imperial_gallon", "d": "day", "h": "hour", "min": "minute",
}  # fmt: skip
LOCAL = frozenset(DATA["customary"]["volume"])  # measures that the reference library does not have
REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
MEASURES = {"cup": 48, "cups": 48, "tbsp": 3, "tsp": 1}
eighths = st.integers(1, 2000).map(lambda n: Fraction(n, 8))
amounts = st.fractions(Fraction(1, 16), 300)


def number(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def teaspoons(measure: str) -> Fraction:
    """What a person would measure out, reading only the words."""
    total = Fraction(0)
    for term in measure.split(" + "):
        amount, unit = term.rsplit(" ", 1)
        total += number(amount) * MEASURES[unit]
    return total


# --- Factors ---


@pytest.mark.parametrize(("kind", "unit", "size"), EXACT + CUSTOMARY)
def test_a_unit_has_exactly_its_defined_size(kind: str, unit: str, size: str) -> None:
    assert FACTORS[kind][unit] == Fraction(size)


def test_the_pound_per_square_inch_is_the_published_one() -> None:
    assert float(FACTORS["pressure"]["psi"]) == pytest.approx(
        float(DATA["psi"]["pascals"]), abs=float(DATA["psi"]["within"])
    )


@pytest.mark.parametrize(
    ("kind", "unit"), [(kind, unit) for kind, units in FACTORS.items() for unit in units if unit not in LOCAL]
)
def test_a_reference_library_of_units_agrees_on_every_conversion_of_what_it_has(kind: str, unit: str) -> None:
    for other in FACTORS[kind].keys() - LOCAL:
        theirs = REGISTRY.Quantity(1, PINT_NAMES.get(unit, unit)).to(PINT_NAMES.get(other, other)).magnitude
        assert float(convert(Fraction(1), unit, other)) == pytest.approx(theirs, rel=1e-6), other


def test_the_reference_library_too_refuses_to_add_two_readings_and_adds_a_difference() -> None:
    with pytest.raises(pint.OffsetUnitCalculusError):
        REGISTRY.Quantity(212.0, "degF") + REGISTRY.Quantity(8.0, "degF")
    warmer = REGISTRY.Quantity(212.0, "degF") + REGISTRY.Quantity(8.0, "delta_degF")
    assert f_to_c(212.0) + difference_f_to_c(8.0) == pytest.approx(warmer.to("degC").magnitude)
    assert REGISTRY.Quantity(8.0, "delta_degF").to("delta_degC").magnitude == pytest.approx(difference_f_to_c(8.0))


@pytest.mark.parametrize(("taken", "meant", "per_cent"), DATA["mistaken-for-another"]["rows"])
def test_one_countrys_measure_taken_for_anothers_is_as_wrong_as_printed(taken: str, meant: str, per_cent: str) -> None:
    error = (convert(Fraction(1), taken, meant) - 1) * 100
    assert float(error) == pytest.approx(float(per_cent), abs=float(DATA["mistaken-for-another"]["within"]))


@pytest.mark.parametrize(("unit", "to"), [("oz", "fl oz"), ("tsp", "min"), ("psi", "lb"), ("stones", "kg"), ("F", "C")])
def test_what_is_of_two_kinds_or_unknown_is_not_converted(unit: str, to: str) -> None:
    with pytest.raises(ValueError, match="cannot be told"):
        convert(Fraction(1), unit, to)


@given(st.data(), st.fractions(0, 10_000))
def test_converting_there_and_back_changes_nothing(data: st.DataObject, amount: Fraction) -> None:
    kind = data.draw(st.sampled_from(sorted(FACTORS)))
    one, other = data.draw(st.sampled_from(sorted(FACTORS[kind]))), data.draw(st.sampled_from(sorted(FACTORS[kind])))
    assert convert(convert(amount, one, other), other, one) == amount


@pytest.mark.parametrize(("cups", "spoons"), DATA["cup-in-spoons"]["rows"].items())
def test_a_part_of_a_cup_in_tablespoons(cups: str, spoons: str) -> None:
    assert convert(number(cups), "cup", "tbsp") == number(spoons)


@pytest.mark.parametrize("row", DATA["mixed-weights"]["rows"])
def test_pounds_and_ounces_are_no_decimals(row: dict[str, str]) -> None:
    grams = sum(convert(number(figure), unit, "g") for unit, figure in row.items() if unit != "is")
    assert float(grams) == pytest.approx(float(row["is"]), abs=float(DATA["mixed-weights"]["within"]))


# --- Temperatures ---


@pytest.mark.parametrize(("fahrenheit", "celsius"), DATA["readings"]["rows"].items())
def test_readings_convert_as_printed(fahrenheit: str, celsius: str) -> None:
    assert f_to_c(float(fahrenheit)) == pytest.approx(float(celsius), abs=float(DATA["readings"]["within"]))


@pytest.mark.parametrize(("fahrenheit", "celsius"), DATA["differences"]["rows"].items())
def test_a_difference_is_not_a_reading(fahrenheit: str, celsius: str) -> None:
    found = difference_f_to_c(float(fahrenheit))
    assert found == pytest.approx(float(celsius), abs=float(DATA["differences"]["within"]))
    assert f_to_c(212.0) + found == pytest.approx(f_to_c(212.0 + float(fahrenheit)))


@given(st.floats(-500, 5000))
def test_a_difference_turned_round_is_the_same_difference(f: float) -> None:
    assert difference_c_to_f(difference_f_to_c(f)) == pytest.approx(f, abs=1e-9)


@given(st.floats(-500, 5000))
def test_fahrenheit_to_celsius_and_back_is_the_same_reading(f: float) -> None:
    assert c_to_f(f_to_c(f)) == pytest.approx(f, abs=1e-9)


@pytest.mark.parametrize(("f", "us_first", "metric_first"), [
    (202.83, "202.8 °F (94.9 °C)", "94.9 °C (202.8 °F)"),
    (212.0, "212 °F (100 °C)", "100 °C (212 °F)"),
    (180.0, "180 °F (82.2 °C)", "82.2 °C (180 °F)"),
    (219.95, "220 °F (104.4 °C)", "104.4 °C (220 °F)"),
    (0.0, "0 °F (-17.8 °C)", "-17.8 °C (0 °F)"),
    (31.99, "32 °F (0 °C)", "0 °C (32 °F)"),
])  # fmt: skip
def test_a_temperature_is_shown_in_the_persons_unit_first(f: float, us_first: str, metric_first: str) -> None:
    assert show_temperature(f, metric=False) == us_first
    assert show_temperature(f, metric=True) == metric_first


@given(st.floats(-60, 300))
def test_a_shown_temperature_is_within_a_twentieth_of_a_degree(f: float) -> None:
    us, si = map(float, re.findall(r"-?[\d.]+", show_temperature(f, metric=False)))
    assert us == pytest.approx(f, abs=0.0501)
    assert si == pytest.approx(f_to_c(f), abs=0.0501)


# --- Heights and lengths ---


@pytest.mark.parametrize(("feet", "metres"), DATA["heights"]["rows"].items())
def test_the_band_edges_are_shown_with_their_printed_metres(feet: str, metres: str) -> None:
    height = float(feet.removesuffix(" ft").replace(",", ""))
    assert show_altitude(height, metric=False) == f"{feet} ({metres})"
    assert show_altitude(height, metric=True) == f"{metres} ({feet})"


def test_a_height_below_the_sea_keeps_its_sign() -> None:
    assert show_altitude(-282.0, metric=False) == "-282 ft (-86 m)"


@pytest.mark.parametrize(("inches", "millimetres"), DATA["rulers"]["rows"].items())
def test_ruler_fractions_are_shown_with_their_printed_millimetres(inches: str, millimetres: str) -> None:
    assert show_length_in(number(inches), metric=False) == f"{inches} in ({millimetres} mm)"
    assert show_length_in(number(inches), metric=True) == f"{millimetres} mm ({inches} in)"


@pytest.mark.parametrize(
    ("millimetres", "inches"), [(6, "1/4"), (10, "3/8"), (12, "1/2"), (15, "5/8"), (20, "3/4"), (25, "1"), (2, "1/16")]
)
def test_millimetres_are_shown_with_the_nearest_mark_of_a_ruler(millimetres: int, inches: str) -> None:
    assert show_length_in(millimetres / 25.4, metric=True) == f"{millimetres} mm ({inches} in)"


@given(st.floats(0, 12))
def test_a_shown_length_is_off_by_half_a_mark_at_most(inches: float) -> None:
    shown, millimetres = re.fullmatch(r"(.*) in \((\d+) mm\)", show_length_in(inches, metric=False)).groups()  # type: ignore[union-attr]
    assert abs(float(number(shown)) - inches) <= 1 / 16
    assert abs(float(millimetres) - inches * 25.4) <= 0.5 + 1e-9


@pytest.mark.parametrize("show", [show_temperature, show_altitude, show_length_in])
@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_not_shown(show: Any, value: float) -> None:
    with pytest.raises(ValueError, match="can be shown"):
        show(value, False)


def test_a_negative_length_is_not_shown() -> None:
    with pytest.raises(ValueError, match="cannot be"):
        show_length_in(-0.25, False)


# --- Spoons and cups ---


@pytest.mark.parametrize(("amount", "measure"), [
    ("1/8", "1/8 tsp"), ("1", "1 tsp"), ("9/4", "2 1/4 tsp"), ("3", "1 tbsp"), ("15/4", "3 3/4 tsp"), ("4", "4 tsp"),
    ("9/2", "1 1/2 tbsp"), ("6", "2 tbsp"), ("7", "2 tbsp + 1 tsp"), ("12", "1/4 cup"), ("16", "1/3 cup"), ("24", "1/2 cup"),
    ("32", "2/3 cup"), ("36", "3/4 cup"), ("45", "15 tbsp"), ("48", "1 cup"), ("54", "1 cup + 2 tbsp"), ("60", "1 1/4 cups"),
    ("96", "2 cups"), ("105/8", "1/4 cup + 1 1/8 tsp"),
])  # fmt: skip
def test_amounts_are_told_in_the_spoons_a_kitchen_has(amount: str, measure: str) -> None:
    assert kitchen_measure(Fraction(amount)) == measure


@given(eighths, st.booleans())
def test_eighths_of_a_teaspoon_are_told_exactly(amount: Fraction, never_below: bool) -> None:
    assert teaspoons(kitchen_measure(amount, never_below)) == amount


@given(amounts)
def test_rounding_is_off_by_three_per_cent_at_most_unless_the_smallest_spoon_is_coarser(amount: Fraction) -> None:
    error = abs(teaspoons(kitchen_measure(amount)) - amount)
    assert error <= max(amount * 3 / 100, Fraction(1, 16))


@given(amounts)
def test_acid_is_never_rounded_down_and_up_by_three_per_cent_at_most_unless_the_smallest_spoon_is_coarser(
    amount: Fraction,
) -> None:
    told = teaspoons(kitchen_measure(amount, never_below=True))
    assert amount <= told <= max(amount * 103 / 100, amount + Fraction(1, 8))


def test_a_trace_is_told_as_the_smallest_spoon_and_not_as_none() -> None:
    assert kitchen_measure(Fraction(1, 50)) == kitchen_measure(Fraction(1, 50), never_below=True) == "1/8 tsp"


@given(eighths)
def test_no_more_than_three_kinds_of_measure_are_named(amount: Fraction) -> None:
    units = [term.rsplit(" ", 1)[1].removesuffix("s") for term in kitchen_measure(amount).split(" + ")]
    assert units == [unit for unit in ("cup", "tbsp", "tsp") if unit in units], "largest first, each once"


@pytest.mark.parametrize("amount", [Fraction(0), Fraction(-1)])
def test_nothing_cannot_be_measured_out(amount: Fraction) -> None:
    with pytest.raises(ValueError, match="nothing to measure"):
        kitchen_measure(amount)


@given(st.fractions(0, 100))
def test_a_mixed_number_reads_as_the_number_it_is(amount: Fraction) -> None:
    assert number(mixed(amount)) == amount


def test_a_negative_amount_is_not_written() -> None:
    with pytest.raises(ValueError, match="not an amount"):
        mixed(Fraction(-1, 2))
