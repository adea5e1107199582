"""One name, several units: every reading is told with its volume, the country narrows them, and a gas mark is no temperature."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.acidity import Brine, acid_grams
from bot.kitchen.span import Span, exactly
from bot.kitchen.units import FACTORS, convert
from bot.kitchen.which_unit import COUNTRIES, NAMES, differ_by, gas_mark_words, possible_ml, reading_words, readings
from tests.kitchen.given import published, reading, spans, within

DATA = published("units")
# Everything but what a country does not measure by.
ASKED = [
    (name, country)
    for name in NAMES
    for country in (None, *COUNTRIES)
    if (name, country) not in {("gill", "Canada"), ("gill", "Australia")}
    and (country != "Japan" or name in ("tsp", "tbsp", "cup"))
]


@pytest.mark.parametrize(
    "row",
    DATA["which-unit"]["rows"],
    ids=lambda row: " ".join(str(row.get(key, "")) for key in ("name", "country", "heaped")),
)
def test_a_name_means_the_listed_units_smallest_first(row: dict[str, Any]) -> None:
    found = readings(Fraction(1), row["name"], row.get("country"), row.get("heaped") == "yes")
    assert [each.unit for each in found] == list(row["is"])
    near = float(DATA["which-unit"]["within"])
    assert [float(each.millilitres) for each in found] == pytest.approx(
        [float(ml) for ml in row["is"].values()], abs=near
    )


@pytest.mark.parametrize(("taken", "meant", "per_cent"), DATA["mistaken-for-another"]["rows"])
def test_one_unit_taken_for_another_is_told_by_how_much(taken: str, meant: str, per_cent: str) -> None:
    assert float(differ_by(taken, meant)) == pytest.approx(
        float(per_cent), abs=float(DATA["mistaken-for-another"]["within"])
    )


def test_a_pint_of_vinegar_from_an_unknown_country_holds_as_little_acid_as_a_us_one() -> None:
    found = acid_grams(Brine(possible_ml(exactly(1), "pint"), exactly(5), exactly(0)))
    us, uk = (
        acid_grams(Brine(exactly(convert(Fraction(1), pint, "mL")), exactly(5), exactly(0)))
        for pint in ("pint", "imperial pint")
    )
    assert found == Span(us.lo, uk.hi)


def test_readings_are_told_in_one_line_for_asking_back() -> None:
    assert reading_words(readings(Fraction(1), "pint")) == "pint (473 mL) or imperial pint (568 mL)"
    assert reading_words(readings(Fraction(2), "tbsp", "Australia")) == "Australian tbsp (40 mL)"


@given(st.sampled_from(ASKED), spans(0, 100), st.booleans(), st.data())
def test_every_reading_lies_inside_what_is_possible(
    asked: tuple[str, str | None], amount: Span, heaped: bool, data: st.DataObject
) -> None:
    (name, country) = asked
    found = possible_ml(amount, name, country, heaped)
    every = readings(reading(data, amount).lo, name, country, heaped)
    assert all(within(found, each.millilitres) for each in every)
    assert all(country is None or country in each.countries for each in every)


@pytest.mark.parametrize(("name", "country"), ASKED)
def test_a_country_that_is_known_never_adds_a_reading_and_dry_measures_only_ever_come_in_for_what_is_heaped(
    name: str, country: str | None
) -> None:
    everywhere, there, heaped = (
        {each.unit for each in readings(Fraction(1), name, *given)} for given in ((), (country,), (country, True))
    )
    assert there <= everywhere
    assert heaped - there <= {"dry pint", "dry quart"} and there <= heaped


@given(st.sampled_from(sorted(FACTORS["volume"])), st.sampled_from(sorted(FACTORS["volume"])))
def test_taking_one_for_the_other_and_back_cancels(one: str, other: str) -> None:
    there, back = (1 + differ_by(*pair) / 100 for pair in ((one, other), (other, one)))
    assert there * back == 1


# --- Gas marks ---


@pytest.mark.parametrize(("told", "mark"), [
    ("gas mark 4", "4"), ("Gas Mark 1/2", "1/2"), ("mark 7", "7"), ("gas 3", "3"), ("gasmark 10", "10"), ("S", "S"), (" gas mark ¼ ", "¼"),
])  # fmt: skip
def test_a_gas_mark_is_refused_kindly_and_without_any_degrees(told: str, mark: str) -> None:
    words = gas_mark_words(told)
    assert words.startswith(f"Gas mark {mark} sets the air in an oven")
    assert "please give what a thermometer" in words
    assert re.findall(r"\d+", words) == re.findall(r"\d+", mark), "no figure but the person's own"


@pytest.mark.parametrize("told", ["gas mark 11", "220", "gas mark", "180 °C", "", "mark 0"])
def test_what_is_no_gas_mark_is_refused_with_what_one_looks_like(told: str) -> None:
    with pytest.raises(ValueError, match="marks are S, 1/4, 1/2 and 1 to 10"):
        gas_mark_words(told)


# --- What is refused ---


@pytest.mark.parametrize(("call", "todo"), [
    (lambda: readings(Fraction(1), "inch"), "known are tsp, tbsp"), (lambda: readings(Fraction(1), "pint", "France"), "give one of US, UK"),
    (lambda: readings(Fraction(1), "pint", "Japan"), "leave the country out"), (lambda: readings(Fraction(1), "gill", "Canada"), "leave the country out"), (lambda: readings(Fraction(-1), "pint"), "give how many"),
    (lambda: possible_ml(Span(Fraction(2), Fraction(1)), "pint"), "smaller figure first"), (lambda: differ_by("pint", "lb"), "cannot be told"),
    (lambda: reading_words(()), "at least one reading"),
])  # fmt: skip
def test_what_cannot_be_worked_out_says_what_to_do(call: Any, todo: str) -> None:
    with pytest.raises(ValueError, match=todo):
        call()
