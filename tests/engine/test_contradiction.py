"""Doubt and contradiction about one piece of evidence: an answer in doubt, one taken back, and two that exclude each other."""

from __future__ import annotations

from functools import cache
from itertools import product

from bot.engine.facts import YES
from bot.engine.knowledge import ACTS
from bot.engine.safety import look
from tests.engine.reach import behind, limits_of, reach
from tests.engine.tellings import Telling, answer, doubtful, facts_of, hours_ago, knowledge, not_sure, rules, then
from tests.engine.told_apart import agree, read_evidence, sayings, stays


def lines_reading(name: str) -> set[tuple[str, tuple[str, ...]]]:
    """The lines of all rules that name this evidence, its clocks and what is worked out from it included."""
    read = {line for rule in rules() for part in reach(rule.id).parts for line in part.lines}
    lines = {line for line in read if line[0] == name or name in behind(line[0])}
    limits = {(clock, hours) for rule in rules() for _, clock, hours in limits_of(rule) if name in behind(clock)}
    return lines | {(clock, (f"under {hours:g} h",)) for clock, hours in limits}


@cache
def cleared_by(told: Telling, name: str) -> set[tuple[str, tuple[str, ...]]]:
    facts = facts_of((told,))
    return {line for line in lines_reading(name) if facts.line(*line) == YES}


def test_an_answer_told_with_doubt_clears_no_line_that_not_sure_would_not() -> None:
    bold = []
    for name in read_evidence():
        for each in sayings(name):
            bold += [str(doubtful(each))] if cleared_by(doubtful(each), name) - cleared_by(not_sure(name), name) else []
    assert not bold, "\n".join(bold)


def test_not_sure_after_an_answer_takes_back_what_the_answer_cleared() -> None:
    bold = []
    for name in read_evidence():
        for each in sayings(name):
            then_unsure = then(each, not_sure(name))
            if not stays(each) and cleared_by(then_unsure, name) - cleared_by(not_sure(name), name):
                bold.append(str(then_unsure))
    assert not bold, "\n".join(bold)


def test_two_answers_that_contradict_each_other_clear_only_what_each_would() -> None:
    bold = []
    for name in read_evidence():
        if knowledge().evidence[name].kind in ("several", "food"):
            continue
        for one, other in product([each for each in sayings(name) if not each.said[0].denied], sayings(name)):
            either = [left_by(each, name) for each in (one, other)]
            if not agree(one, other) and left_by(then(one, other), name) - either[0] & either[0 if stays(one) else 1]:
                bold.append(f"{one}, then {other}")
    assert not bold, "\n".join(bold)


@cache
def left_by(told: Telling, name: str) -> frozenset[object]:
    """What a telling clears; of the lid, the acts that all rules about it leave just after the heat."""
    if name != "sealed":
        return frozenset(cleared_by(told, name))
    about_the_lid = [rule for rule in rules() if any("sealed" in condition for condition in rule.clear_if)]
    just_now = facts_of((told, hours_ago(0.0), answer("kept-as", "shelf"), answer("food", "strawberry")))
    states = [look(rule, just_now) for rule in about_the_lid]
    return frozenset(act for act in ACTS if all(state.acts[act] == YES for state in states))
