"""A measured drop inside a diagnosis: at the middle or lower it counts as half; what is not sure clears nothing."""

from __future__ import annotations

import pytest

from bot.engine.level import with_drop
from tests.conversation import TUESDAY_TEN, engine


def heard(*messages: str) -> list[tuple[str, bool]]:
    """What the last message says about the liquid, after the others."""
    turns = []
    for message in messages[:-1]:
        read = engine().reader.read(message, TUESDAY_TEN)
        turns.append({"observations": [o.as_dict() for o in read.observations], "problems": list(read.problems)})
    case = engine().case(turns, {})
    reading = with_drop(
        engine().knowledge, engine().reader.read(messages[-1], TUESDAY_TEN), messages[-1], case, TUESDAY_TEN
    )
    return [
        (each, o.certain)
        for o in reading.observations
        if o.evidence == "liquid-lost" and not o.denied
        for each in o.answers
    ]


@pytest.mark.parametrize(
    "messages",
    [
        ("my pints of peaches lost 3 inches of liquid",),
        ("the brine is 8 cm down in my 500 ml jars",),
        ("the level sank 1.5 inches in the half pints",),
        ("I think the level is 3 inches down in my pints",),
        ("peaches in pints", "the level dropped 3 inches"),
        ("pints that siphoned, peaches, all the fruit sunk to the bottom", "the syrup dropped an inch"),
        ("the level dropped an inch in one pint and four inches in the other",),
        ("the liquid fell 6 inches",),
    ],
)
def test_half_or_what_may_be_half_counts_as_half(messages: tuple[str, ...]) -> None:
    assert heard(*messages) == [("half", True)]


@pytest.mark.parametrize(
    "messages",
    [
        ("the liquid dropped 1 inch in my quarts of peaches",),
        ("the syrup is 2 cm down in my half litre jars of plums",),
        ("strawberry jam, level dropped 1 cm in half pints",),
        ("plums in pints, fruit sunk to the bottom", "the syrup dropped 1/4 inch"),
    ],
)
def test_less_than_half_where_the_jar_is_known(messages: tuple[str, ...]) -> None:
    assert heard(*messages) == [("under-half", True)]


@pytest.mark.parametrize(
    "message",
    [
        "the liquid dropped 2 inches in the jars",
        "maybe the level dropped an inch in my pints",
        "the liquid dropped an inch",
    ],
)
def test_a_jar_or_a_drop_that_is_not_sure_leaves_it_to_be_asked(message: str) -> None:
    assert heard(message) == [("under-half", False)]


@pytest.mark.parametrize(
    "message",
    [
        "I left 1 inch headspace in my pints",
        "water 2 inches over the lids, it dropped a bit",
        "the canner water dropped 3 inches, pints of plums",
        "I dropped a pint jar 3 feet",
        "the level did not drop an inch in my pints",
        "if the level drops 3 inches in a pint",
        "the brine is down to 2 inches",
        "I moved the shelf 3 inches lower",
    ],
)
def test_other_lengths_are_no_drop_of_the_level(message: str) -> None:
    plain = [each for each, _ in heard(message)]
    read = engine().reader.read(message, TUESDAY_TEN)
    assert plain == [
        each for o in read.observations if o.evidence == "liquid-lost" and not o.denied for each in o.answers
    ]


@pytest.mark.parametrize(
    "message",
    ["half the liquid is gone, it dropped 1 inch in a quart", "lost most of the liquid, level down 1 cm in quarts"],
)
def test_a_danger_that_was_told_stays(message: str) -> None:
    assert ("half", True) in heard(message)
