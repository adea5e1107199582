"""A figure that is only known to lie between two ends, and its unit, which never leaves it."""

from __future__ import annotations

from math import ceil, floor, isfinite
from typing import NamedTuple


class Range(NamedTuple):
    """From `lo` to `hi`, both ends included, in `unit`. An exact figure has the same number at both ends."""

    lo: float
    hi: float
    unit: str

    @property
    def text(self) -> str:
        """ "6 to 10 min", "65 %"; to one decimal, and none for a whole number. Round with `outward` first, or an end may move in."""
        lo, hi = (f"{round(end, 1):,.10g}" for end in (self.lo, self.hi))
        return f"{lo} {self.unit}" if lo == hi else f"{lo} to {hi} {self.unit}"


def exactly(number: float, unit: str) -> Range:
    """A figure without a spread."""
    return Range(number, number, unit)


def told_in(value: Range, unit: str, what: str, least: float = 0.0, most: float = float("inf")) -> Range:
    """The range itself, once it is sure that it can be reckoned with: in this unit, in order, and from `least` to `most`.

    Raises ValueError that names `what` and says what to give instead.
    """
    if value.unit != unit:
        raise ValueError(f"{what} must be told in {unit}, not in {value.unit}: convert it first")
    if not (isfinite(value.lo) and isfinite(value.hi) and value.lo <= value.hi):
        raise ValueError(f"{what} from {value.lo} to {value.hi} {unit} is no range: give the smaller number first")
    if value.lo < least or value.hi > most:
        limit = f"{least:,.10g} {unit} or more" if most == float("inf") else f"{least:,.10g} to {most:,.10g} {unit}"
        raise ValueError(f"{what} cannot be {value.text}: give {limit}")
    return value


def outward(value: Range, step: float) -> Range:
    """The range with both ends moved away from the middle to whole steps (above 0), so that it holds all it held before.

    Never one number: a range whose ends meet is widened by a step either way, though not below 0.
    """
    lo, hi = floor(_steps(value.lo, step)) * step, ceil(_steps(value.hi, step)) * step
    if lo == hi:
        lo, hi = max(lo - step, 0.0), hi + step
    return Range(round(lo, 9), round(hi, 9), value.unit)


def _steps(number: float, step: float) -> float:
    return round(number / step, 9)  # 0.3 / 0.1 is a hair under 3
