"""Combinations that are taken together do come to the same, and none is lost: held against going through them one by one."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from math import prod

from bot.engine.facts import YES
from tests.engine.combinations import DANGER, DOUBT, SETTLED, Allowed, At, Moved, allowed, parts
from tests.engine.one_by_one import moved_one_by_one
from tests.engine.taken_together import moved_together, rulebook
from tests.engine.tellings import rules

SOME = 500  # combinations of each rule that are gone through one by one here; the command does it for all
FEW = 3_000  # combinations of a rule of which all moves are


def some_combinations(rule_id: str) -> Iterator[At]:
    """All combinations, or of the parts with most states only every second, third and so on, first and last included."""
    states = [list(range(part.plain)) for part in parts(rule_id)]
    while prod(map(len, states)) > SOME:
        most = max(states, key=len)
        states[states.index(most)] = [*most[:-1:2], most[-1]] if len(most) > 3 else most[:: len(most) - 1][:-1] or most[:1]
    return product(*states)


def test_what_is_taken_together_is_looked_at_alike_by_the_rule() -> None:
    compared = 0
    for rule in rules():
        book = rulebook(rule.id)
        found: dict[object, tuple[At, Allowed]] = {}
        for at in some_combinations(rule.id):
            standing = book.start
            for n in book.order:
                standing = book.add(standing, n, at[n])
            first, expected = found.setdefault(standing, (at, allowed(rule.id, at)))
            assert allowed(rule.id, at) == expected, (rule.id, first, at)
            compared += 1
    assert compared > 10 * len(rules())


def small_rules() -> list[str]:
    return [rule.id for rule in rules() if prod(part.plain for part in parts(rule.id)) <= FEW]


def changes(moves: list[Moved], rule_id: str) -> set[tuple[object, ...]]:
    """What the moves change for the rule: by the kind of change, not by how often."""
    return {
        (one.move.name, allowed(rule_id, one.before), allowed(rule_id, one.after))
        for one in moves
        if allowed(rule_id, one.before) != allowed(rule_id, one.after)
    }


def test_no_change_is_lost_by_taking_moves_together() -> None:
    seen = 0
    for rule_id in small_rules():
        for kind in (DOUBT, DANGER, SETTLED):
            together, one_by_one = (list(way(rule_id, kind)) for way in (moved_together, moved_one_by_one))
            changed = {change[1:] for change in changes(one_by_one, rule_id)}
            assert changed == {change[1:] for change in changes(together, rule_id)}, (rule_id, kind)
            assert len(together) <= sum(one.count for one in together) >= len(one_by_one), (rule_id, kind)
            seen += len(changed)
    assert seen > len(small_rules())


def test_a_rule_is_cleared_in_some_combination_and_not_in_another() -> None:
    for rule in rules():
        ends = {allowed(rule.id, at).clear for one in moved_together(rule.id, DOUBT) for at in (one.before, one.after)}
        assert ends & {YES} and ends - {YES}, rule.id
