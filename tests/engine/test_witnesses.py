"""Property 6: every outcome can be reached; every rule, condition, line and act of the rules decides some jar alone."""

from __future__ import annotations

from bot.engine.safety import OUTCOMES
from tests.engine.finding import told_in_full
from tests.engine.sound_jars import sound_jars, told_of_all
from tests.engine.tellings import knowledge, rules
from tests.engine.without import everything_left_out
from tests.engine.witnesses import OF_THE_VERDICT, judged, reached, witnesses

# What changes no verdict, and why it stands all the same; by the words of everything_left_out().
EXPLAINED: dict[str, str] = {}


def test_every_outcome_that_the_verdict_alone_gives_is_reached() -> None:
    assert set(reached()) == OF_THE_VERDICT
    assert set(OUTCOMES) - OF_THE_VERDICT == {"quality-only"}


def test_sound_jars_are_told_in_full_and_something_may_be_done_with_each() -> None:
    for jar in sound_jars():
        assert set(jar.told) == set(told_of_all())
        assert all(telling.answered for telling in jar.told.values())
        assert judged(jar.facts)[0] in ("shelf-ok", "reprocess-now", "fridge-use-soon")
    assert len(sound_jars()) > len(knowledge().evidence["product"].answers)


def test_what_is_left_out_names_every_rule_condition_and_act() -> None:
    words = [each.words for each in everything_left_out()]
    assert len(words) == len(set(words))
    for rule in rules():
        assert f"rule {rule.id}" in words
        assert all(f"{rule.id}, act {act}" in words for act in rule.leaves)
    assert len(words) > sum(len(rule.clear_if) + len(rule.leaves) for rule in rules())


def test_nothing_stands_in_the_rules_that_decides_no_jar() -> None:
    found, missing = witnesses()
    assert len(found) > len(rules())
    unexplained = [each for each in missing if each not in EXPLAINED]
    assert not unexplained, told_in_full(unexplained)


def test_what_is_explained_has_no_witness() -> None:
    assert set(EXPLAINED) <= set(witnesses()[1])
    assert all(reason.endswith(".") for reason in EXPLAINED.values())
