"""Properties 1 and 3 for the fact `minutes-enough`, which is worked out from more than a rule reads itself."""

from __future__ import annotations

from itertools import product

from bot.engine.facts import YES
from bot.engine.safety import look
from tests.engine.minutes import HEIGHTS, enough, left_to_the_recipe, minutes_tellings, printed_times
from tests.engine.tellings import Combination, answer, described, facts_of, knowledge, not_sure, number, silent, then


def test_an_unknown_jar_size_is_left_to_the_rule_on_large_jars() -> None:
    for kind in knowledge().evidence["product"].answers:
        told = (
            answer("product", kind),
            answer("recipe-source", "sheet"),
            answer("recipe-changes", "none", complete=True),
            not_sure("jar-size"),
        )
        assert look(knowledge().rules["jar-over-a-quart"], facts_of(told)).clear != YES


def test_the_time_of_the_own_column_stands_in_for_a_height_nobody_knows_but_must_reach_the_lowest() -> None:
    jam: Combination = (
        answer("product", "jam"),
        answer("food", "strawberry"),
        answer("jars-boiled-first", "hot-only"),
        answer("pack", "hot"),
    )
    jam += (answer("process-method", "bath"), answer("jar-size", "half-pint"), answer("time-for-height", "own-height"))
    for minutes, height, stands in (
        (10.0, not_sure("altitude"), {"enough"}), (9.0, not_sure("altitude"), {"short"}), (10.0, number("altitude", 8_000.0), {"short"}),
    ):  # fmt: skip
        assert facts_of((*jam, number("process-minutes", minutes), height)).possible("minutes-enough") == stands


def test_the_time_that_a_recipe_prints_does_not_stand_in_for_a_height_nobody_knows() -> None:
    unknown = {not_sure("altitude"): HEIGHTS, number("altitude", 500.0, 4_000.0): (500.0, 4_000.0), number("altitude", 0.0, 8_000.0): HEIGHTS}
    looked_at = 0
    for rows, (kind, food) in printed_times().items():
        choices = [part for part in minutes_tellings(rows) if part[0][0].name not in ("altitude", "time-for-height")]
        for told in product(*choices) if left_to_the_recipe(rows) else ():
            looked_at += 1
            for height, feet in unknown.items():
                short = [each for each in feet if not enough(kind, food, (*told, (number("altitude", each),)))]
                assert not short or not enough(kind, food, (*told, (height,))), f"{height}; {described(sum(told, ()))}"
    assert looked_at > 500


def test_a_printed_time_that_was_told_two_ways_is_no_time() -> None:
    filling: Combination = (answer("product", "pie-filling"), answer("food", "pie-filling"), answer("process-method", "bath"))
    filling += (answer("recipe-source", "sheet"), answer("jar-size", "pint"), not_sure("pack"), number("process-minutes", 45.0))
    filling += (number("altitude", 8_000.0), answer("time-for-height", "own-height"))
    once, other = number("time-as-printed", 45.0), number("time-as-printed", 25.0)
    for printed, stands in ((once, {"enough"}), (then(other, once), {"enough", "short"}), (then(once, other), {"enough", "short"})):
        assert facts_of((*filling, printed)).possible("minutes-enough") == stands


def test_minutes_of_an_unknown_product_or_of_a_food_that_no_table_lists_are_never_enough_by_themselves() -> None:
    for kind, food in [
        (not_sure("product"), answer("food", "strawberry")),
        *((answer("product", k), answer("food", f)) for k, f in [printed_times()[frozenset()]]),
    ]:
        for printed in (not_sure("time-as-printed"), silent("time-as-printed")):
            told = (
                kind,
                food,
                answer("process-method", "bath"),
                number("process-minutes", 500.0),
                number("altitude", 0.0),
                printed,
            )
            assert facts_of(told).possible("minutes-enough") != {"enough"}
