"""Properties 1 and 2, over every combination of answers that a rule can tell apart: doubt and danger never open an act."""

from __future__ import annotations

from bot.engine.facts import YES
from bot.engine.safety import look
from tests.engine.reach import MINUTES_FROM, reach, reads_minutes, real_limits
from tests.engine.tellings import answer, facts_of, knowledge, not_sure, rules


def test_a_rule_of_which_nothing_is_known_is_not_cleared() -> None:
    for rule in rules():
        state = look(rule, facts_of(not_sure(name) for name in reach(rule.id).names))
        limited = {act for act in state.acts if act not in rule.leaves or real_limits(rule.leaves[act])}  # the others are never in question
        assert YES not in (state.clear, *(state.acts[act] for act in limited)), rule.id


def test_nothing_else_that_can_be_said_moves_a_rule() -> None:
    for rule in rules():
        reads = set(reach(rule.id).names) | set(MINUTES_FROM if reads_minutes(rule.id) else ())
        untouched = look(rule, facts_of(()))
        for entry in knowledge().evidence.values():
            for each in entry.answers if entry.kind in ("choice", "several") and entry.id not in reads else ():
                state = look(rule, facts_of((answer(entry.id, each),)))
                assert (state.clear, state.acts) == (untouched.clear, untouched.acts), (rule.id, entry.id, each)
