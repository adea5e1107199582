"""Property 6: every outcome can be reached; every rule, condition, line and act of the rules decides some jar alone."""

from __future__ import annotations

from tests.engine.sound_jars import sound_jars, told_of_all
from tests.engine.tellings import knowledge, rules
from tests.engine.without import everything_left_out
from tests.engine.witnesses import judged, witnesses

# What changes no verdict, and why it stands all the same; by the words of everything_left_out().
EXPLAINED: dict[str, str] = {}


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


def test_what_is_explained_has_no_witness() -> None:
    assert set(EXPLAINED) <= set(witnesses()[1])
    assert all(reason.endswith(".") for reason in EXPLAINED.values())
