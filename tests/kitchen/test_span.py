"""Spans keep both ends, hold everything that is still possible, and leave open what their ends do not agree on."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.span import NOTHING, Span, checked, exactly, hull, stands
from tests.kitchen.given import spans

figures = st.fractions(0, 100, max_denominator=64)


@pytest.mark.parametrize(("low", "high", "least", "found"), [
    (5, 5, 5, "reached"), (5, 6, 5, "reached"), (4, 5, 5, "open"), (4, 6, 5, "open"), (3, 4, 5, "below"),
    ("4.999999", "4.999999", 5, "below"), (0, 100, 0, "reached"),
])  # fmt: skip
def test_only_ends_that_agree_decide(low: int | str, high: int | str, least: int, found: str) -> None:
    assert stands(Span(Fraction(low), Fraction(high)), Fraction(least)) == found


@given(spans(0, 50), spans(0, 50), st.data())
def test_whatever_lies_in_two_spans_adds_and_multiplies_into_the_result(
    one: Span, other: Span, data: st.DataObject
) -> None:
    a, b = data.draw(st.fractions(*one)), data.draw(st.fractions(*other))
    total, product = one.plus(other), one.times(other)
    assert total.lo <= a + b <= total.hi
    assert product.lo <= a * b <= product.hi


@given(st.lists(spans(0, 50), min_size=1))
def test_a_hull_holds_every_span_and_no_more(every: list[Span]) -> None:
    found = hull(every)
    assert all(found.lo <= each.lo and each.hi <= found.hi for each in every)
    assert found.lo in {each.lo for each in every} and found.hi in {each.hi for each in every}


@given(figures)
def test_a_known_figure_is_a_span_without_width(figure: Fraction) -> None:
    assert exactly(figure) == (figure, figure) == exactly(figure).plus(NOTHING)


def test_the_hull_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="name at least one"):
        hull([])


@pytest.mark.parametrize(
    ("low", "high", "shown"), [(-1, 2, "-1 to 2"), (3, 2, "3 to 2"), (1, 11, "1 to 11"), (11, 11, "11")]
)
def test_a_span_outside_its_range_or_the_wrong_way_round_is_refused_with_the_range(
    low: int, high: int, shown: str
) -> None:
    with pytest.raises(ValueError, match=f"a depth cannot be {shown}: measure mm, smaller figure first, 0 to 10"):
        checked(Span(Fraction(low), Fraction(high)), "a depth", 0, 10, "measure mm")


def test_what_is_not_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be nan"):
        checked(Span(float("nan"), float("nan")), "a depth", 0, 10, "measure mm")  # type: ignore[arg-type]


@given(spans(0, 10))
def test_a_span_within_its_range_passes_as_it_is(span: Span) -> None:
    assert checked(span, "a depth", 0, 10, "measure mm") == span
