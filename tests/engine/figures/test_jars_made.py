"""Jars that a batch fills: the fewer promised, the more made ready."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.engine.figures.jars_made import jars_made
from bot.kitchen.jars_expected import jars_of_weight
from bot.kitchen.ranges import Range
from tests.engine.figures.asking import asked

AMOUNTS = st.integers(5, 60).map(lambda n: n / 10)


@settings(deadline=None, max_examples=25)
@given(AMOUNTS, AMOUNTS, st.sampled_from(["half pints", "pints", "250 ml jars", "300 ml jars", "quarts"]))
def test_more_are_made_ready_than_promised_and_packet_pectin_never_makes_fewer(
    plums: float, sugar: float, jars: str
) -> None:
    figure = jars_made(asked(f"how many {jars} from {plums:g} kg pitted plums and {sugar:g} kg sugar"))
    promised, ready = (int(figure.values[name]) for name in ("promised", "ready"))
    assert promised < ready
    if figure.way == "either":
        assert promised <= int(figure.values["packet_promised"]) and ready <= int(figure.values["packet_ready"])


@settings(deadline=None, max_examples=25)
@given(AMOUNTS, AMOUNTS)
def test_larger_jars_are_never_more(plums: float, sugar: float) -> None:
    counts = []
    for jars in ("half pints", "pints", "quarts"):
        figure = jars_made(
            asked(f"how many {jars} from {plums:g} kg pitted plums and {sugar:g} kg sugar without pectin")
        )
        counts.append((int(figure.values["promised"]), int(figure.values["ready"])))
    assert counts == sorted(counts, reverse=True)


@pytest.mark.parametrize(
    ("text", "jars"),
    [
        ("how many jars from 3 lb plums and 3 lb sugar", "half-pints"),
        ("how many jars from 2 kg plums and 2 kg sugar", "250 mL jars"),
        ("how many 300 ml jars from 2 kg plums and 2 kg sugar", "300 mL jars"),
        ("how many 8 oz jars from 3 lb plums and 3 lb sugar", "half-pints"),
        ("how many jars from 300 g plums and 340 g sugar", "250 mL jars"),  # weights, not sizes of jars
        ("how many half pints from 3 lb plums and 3 lb sugar. and for pints?", "pints"),
        ("how many pints from 2 pints of raspberries and 2 lb sugar", "pints"),
    ],
)
def test_the_jar_is_the_one_that_was_named_last_or_the_usual_one(text: str, jars: str) -> None:
    assert jars_made(asked(text)).values["jars"] == jars


def test_finished_jam_is_weighed_as_it_is() -> None:
    expected = jars_of_weight(Range(2000, 2000, "g"), Range(60, 68, "%"), 250.0)
    figure = jars_made(asked("how many 250 ml jars from 2 kg of finished jam"))
    assert (figure.way, figure.values["promised"], figure.values["ready"]) == (
        "finished",
        str(expected.promised),
        str(expected.ready),
    )


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("how many pints from 3 lb plums and 3 lb sugar with liquid pectin", "packet"),
        ("how many pints from 3 lb plums and 3 lb sugar, no pectin", "boiled-down"),
        ("how many quarts from 8 oz plums and 8 oz sugar without pectin", "not-one"),
        ("how many pints from 300 lb plums and 300 lb sugar", "too-much"),
        ("how many pints of pickles from 5 lb cucumbers and 1 lb sugar", "other-product"),
        ("how many jars from 3 lb elderberries and 3 lb sugar", "unknown-food"),
        ("how many 9 litre jars from 3 lb plums and 3 lb sugar", "no-such-jar"),
    ],
)
def test_the_way_it_is_told(text: str, way: str) -> None:
    assert jars_made(asked(text)).way == way


def test_trouble_without_amounts_is_left_to_the_diagnosis() -> None:
    assert jars_made(asked("how many jars can I get from runny jam that did not set")).declines
