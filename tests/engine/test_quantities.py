"""Quantities and part counts: phrasings, look-alikes, limits, and that no text whatever breaks the reader."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.quantities import PartCount, find_part_counts, find_quantities, resolve_temperature

DATA: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("quantities.yaml").read_text(encoding="utf-8"))
# Sizes in the unit of the kind, from the definitions of the units and not from the code.
SIZES = {
    "cm": 1 / 2.54, "mm": 1 / 25.4, "m": 1 / 0.3048, "km": 1000 / 0.3048, "tsp": 4.92892159375, "tbsp": 14.78676478125,
    "cup": 236.5882365, "fl oz": 29.5735295625, "pint": 473.176473, "quart": 946.352946, "gallon": 3785.411784,
    "L": 1000,
    "kg": 1000, "lb": 453.59237, "oz": 28.349523125,
}  # fmt: skip


def _expected(key: str, phrase: str) -> tuple[str, str, float, float, str, bool]:
    """A key such as "minutes 8 to 12 min about" with one of its phrases; "phrase#unit value" is read as that."""
    phrase, _, other = phrase.partition("#")
    kind, low, *rest = key.split()
    about = rest[-1:] == ["about"]
    rest = rest[:-1] if about else rest
    high = rest[1] if rest[:1] == ["to"] else low
    unit = " ".join(rest[2:] if rest[:1] == ["to"] else rest)
    if other:
        unit, *value = other.split()
        low = high = value[0] if value else low
    size = SIZES.get(unit, 1) if kind in ("length", "altitude", "volume", "weight") else 1
    size = 12 if (kind, unit) == ("length", "ft") else size
    return phrase, kind, float(low) * size, float(high) * size, unit, about


READ_AS = [_expected(key, str(phrase)) for key, phrases in DATA["read_as"].items() for phrase in phrases]


@pytest.mark.parametrize(("phrase", "kind", "low", "high", "unit", "about"), READ_AS)
def test_phrasing(phrase: str, kind: str, low: float, high: float, unit: str, about: bool) -> None:
    found = find_quantities(phrase.lower())
    assert [q.kind for q in found] == [kind]
    [quantity] = found
    assert (float(quantity.lo), float(quantity.hi)) == pytest.approx((low, high))
    assert quantity.unit == unit
    assert quantity.approx is about
    assert phrase[quantity.start : quantity.end].strip() == phrase[quantity.start : quantity.end] != ""


@pytest.mark.parametrize("phrase", DATA["nothing"])
def test_look_alike_is_no_quantity(phrase: str) -> None:
    phrase, _, but = phrase.partition("#")
    assert [phrase[q.start : q.end] for q in find_quantities(phrase)] == [but] * bool(but)


PARTS = [(str(key), phrase) for key, phrases in DATA["parts"].items() for phrase in phrases]


@pytest.mark.parametrize(("key", "phrase"), PARTS)
def test_part_count(key: str, phrase: str) -> None:
    part, *rest = key.split()
    whole = int(rest[1]) if rest[:1] == ["of"] else None
    [found] = find_part_counts(phrase)
    assert found == PartCount(int(part), whole, found.start, found.end, rest == ["more"])


@pytest.mark.parametrize("phrase", DATA["no_parts"])
def test_look_alike_is_no_part_count(phrase: str) -> None:
    assert find_part_counts(phrase) == []


def test_several_in_one_message() -> None:
    text = "boiled 10 minutes at 5,200 ft, 1/2 inch headspace, 2 of 7 didn't seal, 4 jars fine, about 9 last night"
    assert [q.kind for q in find_quantities(text)] == ["minutes", "altitude", "length", "count"]
    assert [(p.part, p.whole) for p in find_part_counts(text)] == [(2, 7), (4, None)]


def test_exact_values() -> None:
    [cup] = find_quantities("1/3 cup")
    assert cup.lo * 3 * 16 == Fraction(3785411784, 1_000_000)  # a gallon
    [pot] = find_quantities("100 c")
    assert pot.lo == 212
    [loss] = find_quantities("25.4 mm")
    assert loss.lo == 1


@pytest.mark.parametrize(
    ("value", "scale"),
    [
        (29.9, None),
        (30, "C"),
        (104, "C"),
        (130, "C"),
        (130.1, None),
        (149.9, None),
        (150, "F"),
        (220, "F"),
        (550, "F"),
        (551, None),
    ],
)
def test_scale_of_a_bare_temperature(value: float, scale: str | None) -> None:
    assert resolve_temperature(value) == scale


@pytest.mark.parametrize(
    ("phrase", "kind"),
    [
        ("19 ft", "length"), ("20 ft", "altitude"), ("30000 ft", "altitude"), ("30001 ft", None), ("199m", "minutes"),
        ("200m", "altitude"), ("49 m", "minutes"), ("50 m", "altitude"), ("100 %", "percent"), ("100.1 %", None),
        ("9 c", "volume"), ("10 c", "temperature"), ("30 c and", "volume"), ("31 c and", "temperature"),
        ("600 f", "temperature"), ("601 f", None),
    ],
)  # fmt: skip
def test_at_the_limits(phrase: str, kind: str | None) -> None:
    assert [q.kind for q in find_quantities(phrase)] == ([kind] if kind else [])


_VOCABULARY = (
    "1 2 10 1/2 ½ 1.5 1,500 180-185 a an half quarter hour hours min m f c ° oz fl lb jars lids of out my all six "
    "the other about under over just to or and between - . , ? day ft in inch % couple dozen thousand one ago old been "
    "9:30 pm minus nearly"
)
_TALK = st.lists(st.sampled_from(_VOCABULARY.split()), max_size=14).map(" ".join)


@given(st.one_of(st.text(max_size=200), _TALK))
def test_never_raises_and_keeps_order(text: str) -> None:
    last = 0
    for q in find_quantities(text):
        assert q.lo <= q.hi and not math.isnan(q.lo)
        assert last <= q.start < q.end <= len(text)
        last = q.end
    for p in find_part_counts(text):
        assert 0 <= p.part <= (p.part if p.whole is None else p.whole)
        assert 0 <= p.start < p.end <= len(text)


def test_very_long_text_is_read() -> None:
    find_quantities("9" * 6000)
    find_quantities("9." * 3000)
    find_quantities("one hundred " * 500)
