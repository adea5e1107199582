"""Property 3 in every combination: an act that is certain while a fact is open is as certain with each answer the fact may have."""

from __future__ import annotations

from functools import cache

from bot.engine.facts import YES
from bot.engine.knowledge import ACTS
from tests.engine.combinations import SETTLED, allowed, words_for
from tests.engine.doubt_and_danger import Way
from tests.engine.finding import Finding, all_of, first_lines
from tests.engine.taken_together import moved_together
from tests.engine.tellings import rules


@cache
def resting_on_open_facts(way: Way = moved_together) -> Finding:
    """Over all rules: how often a fact was open, and the first act that one of its answers takes away, by rule and evidence."""
    return all_of(resting(rule.id, way) for rule in rules())


def resting(rule_id: str, way: Way = moved_together) -> Finding:
    """Acts that are certain while a fact is open, and not with one of its answers. There should be none."""
    looked_at = 0
    found: dict[str, list[str]] = {}
    for one in way(rule_id, SETTLED):
        looked_at += one.count
        was, now = allowed(rule_id, one.before).acts, allowed(rule_id, one.after).acts
        taken = [act for act, each, other in zip(ACTS, was, now, strict=True) if each == YES != other]
        if taken:
            found.setdefault(one.move.name, []).append(f"{', '.join(taken)} while {words_for(rule_id, one.move, one.before)}")
    return Finding(looked_at, first_lines(rule_id, found))
