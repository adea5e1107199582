"""Properties 1 and 2 in every combination: "not sure" in place of an answer, and a danger sign on top, never open an act."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache

from tests.engine.combinations import Moved, allowed, words_for
from tests.engine.finding import Finding, all_of, first_lines
from tests.engine.taken_together import moved_together
from tests.engine.tellings import rules

Way = Callable[[str, str], Iterable[Moved]]  # how the moves of a rule are gone through: together, or one by one


@cache
def opened_by(kind: str, way: Way = moved_together) -> Finding:
    """Moves of one kind over all rules: how many there are, and the first that opens something, by rule and evidence."""
    return all_of(opened(rule.id, kind, way) for rule in rules())


def opened(rule_id: str, kind: str, way: Way = moved_together) -> Finding:
    """Moves after which a rule is clear, or leaves an act for certain, that it was or did not before. There should be none."""
    looked_at = 0
    found: dict[str, list[str]] = {}
    for one in way(rule_id, kind):
        looked_at += one.count
        if allowed(rule_id, one.before).opens(allowed(rule_id, one.after)):
            found.setdefault(one.move.name, []).append(words_for(rule_id, one.move, one.before))
    return Finding(looked_at, first_lines(rule_id, found))
