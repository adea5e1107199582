"""Figures known only to lie between two ends: what comes in so goes out so, and what rests on them takes the worse end."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

BELOW, OPEN, REACHED = "below", "open", "reached"


class Span(NamedTuple):
    """From `lo` to `hi`, both included, in one unit; both ends are the same when the figure is known."""

    lo: Fraction
    hi: Fraction

    def plus(self, other: Span) -> Span:
        """Ends added: two amounts together."""
        return Span(self.lo + other.lo, self.hi + other.hi)

    def times(self, factor: Span) -> Span:
        """Ends multiplied. For figures of 0 and more only, as amounts and shares are."""
        return Span(self.lo * factor.lo, self.hi * factor.hi)


def exactly(figure: Fraction | int | str) -> Span:
    """A figure that is known. Raises ValueError for a text that is no number."""
    number = Fraction(figure)
    return Span(number, number)


NOTHING = exactly(0)


def hull(spans: Iterable[Span]) -> Span:
    """The shortest span that holds all of these, as when it is not known which of them it is. Raises ValueError for none."""
    every = list(spans)
    if not every:
        raise ValueError("nothing is possible any more: name at least one thing that it may be")
    return Span(min(each.lo for each in every), max(each.hi for each in every))


def stands(found: Span, least: Fraction) -> str:
    """Whether a figure reaches the least asked for: "below" or "reached" when both ends agree, otherwise "open".

    Ends are compared as they are: a hair under the least is below it.
    """
    if found.hi < least:
        return BELOW
    return REACHED if found.lo >= least else OPEN


def checked(span: Span, what: str, least: Fraction | int, most: Fraction | int, todo: str) -> Span:
    """The span, when its ends are in order and within the range; otherwise a ValueError that says what to do."""
    if not least <= span.lo <= span.hi <= most:  # also refuses what is not a number
        low, high, bottom, top = (f"{float(each):,.10g}" for each in (*span, least, most))
        ends = low if low == high else f"{low} to {high}"
        raise ValueError(f"{what} cannot be {ends}: {todo}, smaller figure first, {bottom} to {top}")
    return span
