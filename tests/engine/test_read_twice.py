"""Both readers agree on all that the proofs look at (tests/engine/test_proof.py); here: one that was mistaken would be noticed."""

from __future__ import annotations

from math import prod

import pytest

from bot.engine.knowledge import Rule
from tests.engine.both_readers import differ
from tests.engine.combinations import parts, told_at
from tests.engine.read_twice import alone, combinations_of, heard, read_under, some_combinations
from tests.engine.tellings import facts_of, rules
from tests.engine.without import LeftOut, left_out_of

FEW = 3_000  # combinations of a rule of which all are counted


def small_rules() -> list[Rule]:
    return [rule for rule in rules() if prod(part.in_all for part in parts(rule.id)) <= FEW]


def test_every_combination_is_read_once_and_those_of_the_tests_are_among_them() -> None:
    assert len(small_rules()) > 10
    for rule in small_rules():
        every = list(combinations_of(rule.id))
        assert len(set(every)) == len(every) >= prod(part.plain for part in parts(rule.id))
        assert set(some_combinations(rule.id)) <= set(every), rule.id


def seen_by_the_other(piece: LeftOut) -> bool:
    """Whether a reader who lacks this piece of a rule differs about some combination from one who has it."""
    lacking = piece.knowledge._replace(rules={piece.rule_id: piece.rule} if piece.rule is not None else {})
    _, whole = alone(piece.rule_id)
    every = (told_at(piece.rule_id, at) for at in some_combinations(piece.rule_id))
    return any(differ(facts_of(told, lacking), heard(told), whole) for told in every)


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.id)
def test_a_reader_who_lacks_any_piece_of_a_rule_is_noticed(rule: Rule) -> None:
    assert not any(read_under(rule.id, told_at(rule.id, at)) for at in list(some_combinations(rule.id))[:1])
    pieces = list(left_out_of(rule))
    assert pieces
    assert [piece.words for piece in pieces if not seen_by_the_other(piece)] == []
