"""Properties 1 and 3 for the fact `minutes-enough`, which is worked out from more than a rule reads itself."""

from __future__ import annotations

from bot.engine.facts import YES
from bot.engine.safety import look
from tests.engine.minutes import printed_times
from tests.engine.tellings import Combination, answer, facts_of, knowledge, not_sure, number, silent


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
