"""Property 3: nothing milder than a hold rests on an open fact.

A fact is open when it was answered with "not sure", told with doubt or taken back, told in part, told in two ways that exclude
each other, or not told at all. Whatever act is certain then has to be certain with each single answer that the fact may still
have: every answer; after a part, those that it leaves; after two that exclude each other, these two. What is excluded:

- a silence that is documented to mean something (`silent`), where it has no conditions or they hold in that combination, and
  the same for what was not ticked where other things were only ruled out: it was not asked, it was settled by the knowledge;
- a silence that something else told settles: `implies` of another answer, or the product a food is meant as (`usual_product`);
- a product that is meant only where the food told is listed for it (`if_listed`: a ferment is told of), while none is named;
- evidence with an answer that stands for doubt (`in_doubt`), and a shrug about evidence that no safety rule hangs on;
- a food told beside another one: nobody is asked whether that was all;
- for the minutes, four readings that tests/engine/minutes_open.py names.
"""

from __future__ import annotations

from bot.engine.facts import OPEN, YES
from bot.engine.safety import look
from tests.engine.combinations import SETTLED, allowed
from tests.engine.moves import open_tellings
from tests.engine.reach import reach
from tests.engine.taken_together import moved_together
from tests.engine.tellings import answer, doubtful, facts_of, knowledge, not_sure, rules, then


def test_an_open_fact_does_hold_something_back_under_every_rule() -> None:
    for rule in rules():
        answers = [(allowed(rule.id, one.before), allowed(rule.id, one.after)) for one in moved_together(rule.id, SETTLED)]
        assert any(before.clear != YES == after.clear for before, after in answers), rule.id


def test_what_is_told_in_part_or_in_two_ways_leaves_more_than_one_answer() -> None:
    looked_at = 0
    for part in {part for rule in rules() for part in reach(rule.id).parts}:
        for name in part.names:
            if knowledge().evidence[name].kind == "choice":
                for told, answers in open_tellings(part, name):
                    if told.said and len(answers) > 1 and not knowledge().evidence[name].danger:
                        assert len(facts_of((told,)).possible(name)) > 1, str(told)
                        looked_at += 1
    assert looked_at > len(rules())


def test_what_is_ruled_out_with_doubt_clears_nothing() -> None:
    kept = answer("recipe-changes", "less-sugar", denied=True)
    for told, clear in ((kept, YES), (doubtful(kept), OPEN), (then(kept, not_sure("recipe-changes")), OPEN), (then(kept, doubtful(kept)), OPEN)):
        assert look(knowledge().rules["sugar-cut"], facts_of((told,))).clear == clear, str(told)
