"""A range keeps its unit, is refused when it cannot be, and is rounded so that it loses nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.ranges import Range, exactly, outward, told_in

amounts = st.floats(0, 1e5)
steps = st.sampled_from([0.1, 0.5, 1.0, 5.0])


@pytest.mark.parametrize(("value", "text"), [
    (Range(6.0, 10.0, "min"), "6 to 10 min"), (Range(59.5, 69.0, "%"), "59.5 to 69 %"), (exactly(65.0, "%"), "65 %"),
    (Range(1200.0, 1345.62, "g"), "1,200 to 1,345.6 g"),
])  # fmt: skip
def test_a_range_is_told_with_its_unit(value: Range, text: str) -> None:
    assert value.text == text


@pytest.mark.parametrize(("lo", "hi", "step", "found"), [
    (6.2, 9.1, 1.0, (6, 10)), (6.0, 9.0, 1.0, (6, 9)), (0.0, 0.2, 1.0, (0, 1)), (7.0, 7.0, 1.0, (6, 8)),
    (0.0, 0.0, 1.0, (0, 1)), (0.3, 0.7, 0.1, (0.3, 0.7)), (61.3, 61.4, 0.5, (61, 61.5)),
])  # fmt: skip
def test_ends_are_moved_away_from_the_middle(lo: float, hi: float, step: float, found: tuple[float, float]) -> None:
    assert outward(Range(lo, hi, "min"), step) == (*found, "min")


@given(amounts, amounts, steps)
def test_rounding_outward_loses_nothing_and_is_never_one_number(one: float, other: float, step: float) -> None:
    value = Range(min(one, other), max(one, other), "g")
    wide = outward(value, step)
    assert 0 <= wide.lo <= value.lo + 1e-6
    assert value.hi - 1e-6 <= wide.hi
    assert wide.lo < wide.hi
    assert wide.hi - wide.lo <= value.hi - value.lo + 2 * step + 1e-6
    assert wide.unit == value.unit


@given(amounts, st.floats(0, 1e3))
def test_what_can_be_reckoned_with_comes_back_as_it_was(lo: float, width: float) -> None:
    value = Range(lo, lo + width, "g")
    assert told_in(value, "g", "the weight") is value


@pytest.mark.parametrize(("value", "complaint"), [
    (Range(1, 2, "oz"), r"the weight must be told in g, not in oz: convert it first"),
    (Range(2, 1, "g"), r"the weight from 2 to 1 g is no range: give the smaller number first"),
    (Range(1, float("inf"), "g"), r"is no range"), (Range(float("nan"), 1, "g"), r"is no range"),
    (Range(-1, 2, "g"), r"the weight cannot be -1 to 2 g: give 0 to 50 g"), (Range(10, 51, "g"), r"give 0 to 50 g"),
])  # fmt: skip
def test_what_cannot_be_is_refused_with_what_to_give(value: Range, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        told_in(value, "g", "the weight", most=50.0)


def test_without_an_upper_limit_only_the_lower_one_is_named() -> None:
    with pytest.raises(ValueError, match=r"the water cannot be -3 g: give 0 g or more"):
        told_in(exactly(-3.0, "g"), "g", "the water")
