"""`python -m tests.measure.counted`: what the tests hold the verdicts against, counted, with what is known not to come out right.

What does not come out right stands by name in tests/stories/still_wrong.yaml, and a test fails when that list is not exact.
"""

from __future__ import annotations

from collections import Counter

from bot.library import load
from tests.measure.safety_cases import EDIBLE, play
from tests.test_corpora import STILL_WRONG, stories
from tests.test_every_rule import STORIES as EVERY_RULE
from tests.test_not_safe_stories import STORIES as NOT_SAFE
from tests.test_published_decisions import ROWS
from tests.test_safety_statements import ENTRIES
from tests.test_sentences import NOT_HEARD, SENTENCES


def main() -> None:
    known = load()
    played = [play(case) for case in stories("verdicts")]
    kinds = Counter(each.kind for each in played)
    edible = [each for each in played if each.truth in EDIBLE]
    told = [each for each in edible if each.outcome in EDIBLE]
    print(f"{len(known.rules)} safety rules and {len(known.exceptions)} exceptions; conversations typed as text in which each decides: {len(EVERY_RULE)}")
    print(f"statements of the publications: {len(ENTRIES)}; left out with a reason: {_with('left_out')}; with wordings that still miss it: {_with('hole')}")
    print(f"rows of published decision tables, on either side of each limit: {len(ROWS)}, all as printed")
    print(f"stories with a known verdict: {len(played)}; right: {kinds['right']} ({kinds['right'] / len(played):.1%}); harsher: {kinds['harsher']}; milder: {kinds['milder']}")
    print(f"  food that must not be eaten told edible: {sum(each.eaten for each in played)}; edible food told edible: {len(told)} of {len(edible)}")
    print(f"sentences that answer one question: {len(SENTENCES)}; heard: {len(SENTENCES) - len(NOT_HEARD)}")
    print(f"harmless messages: {len(stories('harmless'))}; told to throw out: {len(STILL_WRONG['harmless'])}")
    print("each of these is a test, and none of them may be told that it can be eaten:")
    print(f"  dangerous messages: {len(stories('dangerous'))}")
    print(f"  stories deadly only in combination: {len(stories('deadly'))}")
    print(f"  stories that once got a wrong safe: {len(NOT_SAFE)}")


def _with(field: str) -> int:
    return sum(field in entry for entry in ENTRIES)


if __name__ == "__main__":
    main()
