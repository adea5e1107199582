"""The share of the liquid that a drop is, and headspace as volume: from the words, by the sums of the kitchen, the cautious way."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.engine.figures.liquid import headspace, liquid_lost
from bot.engine.kitchen_tables import KitchenTables
from bot.kitchen.liquid_lost import drop_for_half, headspace_ml
from bot.kitchen.span import Span
from tests.conversation import engine
from tests.engine.figures.asking import asked

TABLES = KitchenTables(engine().knowledge.tables["plain"])  # type: ignore[arg-type]
WORSE = ["nothing-lost", "cooling", "under-half", "by-the-pieces", "half", "deeper-than-the-jar"]
JARS = {
    "half pint": ["half-pint"],
    "pint": ["pint", "wide-pint"],
    "quart": ["quart", "wide-quart"],
    "250 ml": ["quarter-litre"],
    "500 ml": ["half-litre"],
}


@pytest.mark.parametrize("jar", JARS)
@settings(deadline=None, max_examples=25)
@given(st.integers(0, 190))
def test_a_longer_drop_is_never_told_as_less(jar: str, mm: int) -> None:
    ways = [
        liquid_lost(asked(f"the level dropped {each} mm in a {jar} jar, how much is lost")).way for each in (mm, mm + 3)
    ]
    assert WORSE.index(ways[0]) <= WORSE.index(ways[1])


@pytest.mark.parametrize("jar", JARS)
def test_less_than_half_is_told_only_where_no_jar_of_the_size_can_have_lost_half(jar: str) -> None:
    """At the least drop that may be half, wherever the pieces are, the wording changes."""
    least = min(drop_for_half(TABLES.jar_shapes[shape], TABLES.pieces).lo for shape in JARS[jar])
    below, above = (
        f"the level dropped {mm} mm in a {jar} jar, how much is lost" for mm in (int(least), int(least) + 1)
    )
    assert liquid_lost(asked(below)).way == "under-half"
    assert liquid_lost(asked(above)).way == "by-the-pieces"


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("the level dropped 3 inches in a pint, how much is lost", "half"),
        ("the level dropped 2 inches in a wide mouth pint, how much is lost", "half"),
        ("the level dropped 2 inches in a regular mouth pint, how much is lost", "half"),
        ("level of my jam dropped an inch in a quart, how much is lost", "under-half"),
        ("level dropped 2 inches in a quart, how much is lost", "by-the-pieces"),
        ("1 inch headspace and dropped 2 mm in a quart, how much is lost", "cooling"),
        ("dropped 2 inches in a 12 oz jar, how much is lost", "no-shape"),
        ("dropped 20 inches in a pint, how much is lost", "deeper-than-the-jar"),
    ],
)
def test_the_way_it_is_told(text: str, way: str) -> None:
    assert liquid_lost(asked(text)).way == way


@pytest.mark.parametrize(
    "text",
    [
        "how much liquid is gone from a pint",
        "level dropped an inch in my quarts of green beans, how much is lost",
        "level dropped an inch in my quarts of peaches, 10 minutes in the boiling water bath, how much is lost",
        "2 cm down in a 500 ml jar of peaches",
    ],
)
def test_a_report_is_left_to_the_diagnosis(text: str) -> None:
    assert liquid_lost(asked(text)).declines


def test_the_jar_is_asked_for() -> None:
    assert liquid_lost(asked("the level dropped an inch, how much is lost")).missing == "jar-size"


@pytest.mark.parametrize(("mouth", "shape"), [("regular mouth", "quart"), ("wide mouth", "wide-quart")])
def test_headspace_is_the_room_in_that_neck(mouth: str, shape: str) -> None:
    figure = headspace(asked(f"how much is 1/2 inch headspace in ml in a {mouth} quart"))
    half_inch = Fraction(127, 10)
    room = headspace_ml(TABLES.jar_shapes[shape], Span(half_inch, half_inch))
    assert figure.way == "room" and f"({int(room.lo)} to {-int(-room.hi // 1)} mL)" in figure.values["room"]


@pytest.mark.parametrize(
    ("text", "way", "missing"),
    [
        ("how much is 1/2 inch headspace in ml in a quart", "room-both", ""),
        ("how deep is 30 ml headspace in a half pint", "depth", ""),
        ("how deep is 300 ml headspace in a half pint", "too-deep", ""),
        ("how much is 4 inch headspace in ml in a pint", "too-deep", ""),
        ("how much is 1/2 inch headspace in ml", "", "jar-size"),
        ("how much is headspace in ml in a pint", "", "depth"),
        ("how much is 1/2 inch headspace in ml in a 24 oz jar", "no-shape", ""),
    ],
)
def test_the_way_headspace_is_told(text: str, way: str, missing: str) -> None:
    figure = headspace(asked(text))
    assert (figure.way, figure.missing) == (way, missing)
