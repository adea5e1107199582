"""The limits of time: at the limit counts as past it, and of a span of time the stricter end counts."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product

from bot.engine.facts import FOREVER, NO, OPEN, YES
from bot.engine.knowledge import ACTS, Limits, Rule
from bot.engine.safety import look
from tests.engine.combinations import parts
from tests.engine.reach import clocks_of, leaves_of, limits_of, softening
from tests.engine.sight import beside
from tests.engine.tellings import (
    CLOCK,
    MINUTE,
    PLACE,
    WARM,
    Combination,
    Telling,
    answer,
    facts_of,
    hours_ago,
    knowledge,
    rules,
)

OPENED = "opened-when"
ROOM, FRIDGE, SOON = answer(PLACE, "room"), answer(PLACE, "fridge"), answer(WARM, "under-2h")


def just_now(name: str) -> Telling:
    return hours_ago(0.0, name=name)


@cache
def uncleared(rule_id: str, exception_id: str, times: Combination) -> Combination | None:
    """Something that breaks a rule for certain with these times, and that an exception softens, or none does."""
    rule = knowledge().rules[rule_id]
    timeless = [part for part in parts(rule_id) if not any(clocks_of(name) for name in part.view.names)]
    for states in product(*(part.states[: part.plain] for part in timeless)):
        told = (*(each for part in timeless for each in beside(part.view)), *(each for state in states for each in state), *times)
        facts = facts_of(told)
        softened = all(facts.any_holds(each.if_) == (YES if each.id == exception_id else NO) for each in softening(rule))
        if softened and look(rule, facts).clear == NO:
            return told
    return None


def left_by_rules() -> Iterator[tuple[Rule, str, str, Limits]]:
    """Rule, exception if any, act and limits. Where an exception gives an act back, its limits count, which are the looser ones."""
    for rule in rules():
        for exception_id, leaves in zip(("", *(each.id for each in softening(rule))), leaves_of(rule), strict=True):
            yield from ((rule, exception_id, act, limits) for act, limits in leaves.items())


def stands_at(rule: Rule, exception_id: str, act: str, times: Combination) -> int | None:
    """How an act stands while the rule is broken; None where it cannot be broken at such times."""
    told = uncleared(rule.id, exception_id, times)
    return None if told is None else look(rule, facts_of(told)).acts[act]


def test_at_the_limit_counts_as_past_it() -> None:
    looked_at = 0
    for rule, exception_id, act, limits in left_by_rules():
        strictest = min((hours for clock, hours in limits.items() if clock in ("since", "warm")), default=FOREVER)
        for off, stands in ((-MINUTE, YES), (0.0, NO), (MINUTE, NO)) if strictest < FOREVER / 2 else ():
            times = (hours_ago(strictest + off), ROOM, just_now(OPENED))
            found = stands_at(rule, exception_id, act, times)
            assert found in (stands, None), (rule.id, exception_id, act, strictest + off)
            looked_at += found is not None
    assert looked_at > len(rules())


def test_at_the_limit_of_the_cold_counts_as_past_it_even_after_the_longest_warm_time() -> None:
    for rule, exception_id, act, limits in left_by_rules():
        cold = limits.get("cold", FOREVER)
        # within 2 h warm: as long in the cold, or up to 2 h less
        for since, stands in ((cold - MINUTE, {YES}), (cold, {OPEN, NO}), (cold + 2.0, {NO})) if cold < FOREVER / 2 else ():
            in_the = {
                place: stands_at(rule, exception_id, act, (hours_ago(since), answer(PLACE, place), SOON, just_now(OPENED)))
                for place in ("fridge", "freezer")
            }
            assert in_the["fridge"] in stands, (rule.id, exception_id, act, since)
            assert (in_the["freezer"] or NO) >= (in_the["fridge"] or NO), (rule.id, exception_id, act, since)


def test_at_the_limit_of_an_open_jar_counts_as_past_it() -> None:
    for rule, exception_id, act, limits in left_by_rules():
        opened = limits.get("open", FOREVER)
        for off, stands in ((-MINUTE, YES), (0.0, NO), (MINUTE, NO)) if opened < FOREVER / 2 else ():
            times = [(just_now(CLOCK), place, SOON, hours_ago(opened + off, name=OPENED)) for place in (FRIDGE, ROOM)]
            found = {stands_at(rule, exception_id, act, each) for each in times}
            assert found - {None} == {stands}, (rule.id, exception_id, act, off)


def test_an_act_that_a_broken_rule_does_not_name_is_gone_at_any_time() -> None:
    for rule in rules():
        softer = {act for each in softening(rule) for act in each.leaves}
        for act in set(ACTS) - set(rule.leaves) - softer:
            for times in ((), (just_now(CLOCK),), (just_now(CLOCK), FRIDGE, SOON), (just_now(CLOCK), ROOM)):
                assert stands_at(rule, "", act, times) in (NO, None), (rule.id, act)


def test_of_a_span_of_time_the_longest_counts_for_keeping_and_the_shortest_for_giving_up() -> None:
    looked_at = 0
    for rule, act, clock, hours in [(each, *limit) for each in rules() for limit in limits_of(each)]:
        if clock in ("since", "warm"):
            times = (hours_ago(hours - MINUTE, hours + MINUTE), ROOM, just_now(OPENED))
            found = stands_at(rule, "", act, times)
            assert found in (NO, OPEN, None), (rule.id, act)
            looked_at += found is not None
    assert looked_at > len(rules())
