"""What the tests of the kitchen arithmetic share: published data, the knowledge's own tables, and spans for Hypothesis."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from hypothesis import strategies as st

from bot.engine.kitchen_tables import KitchenTables, number
from bot.kitchen.span import Span

ROOT = Path(__file__).parents[2]


def published(name: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.load(
        (ROOT / f"tests/published/{name}.yaml").read_text("utf-8"), Loader=yaml.BaseLoader
    )
    return found


@cache
def tables() -> KitchenTables:
    files = (ROOT / "knowledge/tables").glob("*.yaml")
    return KitchenTables({each.stem: yaml.load(each.read_text("utf-8"), Loader=yaml.BaseLoader) for each in files})


def amount(text: str) -> tuple[Fraction, str]:
    """ "1 1/2 tbsp" as figure and unit."""
    figure, unit = text.rsplit(" ", 1)
    return number(figure), unit


def spans(least: int, most: int) -> st.SearchStrategy[Span]:
    figures = st.fractions(least, most, max_denominator=64)
    return st.tuples(figures, figures).map(lambda ends: Span(min(ends), max(ends)))


def within(span: Span, figure: Fraction) -> bool:
    return span.lo <= figure <= span.hi


def reading(data: st.DataObject, span: Span) -> Span:
    """One figure out of a span, as if it had been measured; its ends more often than not."""
    part = data.draw(st.sampled_from([Fraction(0), Fraction(1)]) | st.fractions(0, 1, max_denominator=64))
    figure = span.lo + part * (span.hi - span.lo)
    return Span(figure, figure)
