"""`python -m tests.measure.counted`: what the tests hold the verdicts against, counted, with what is known not to come out right.

What does not come out right stands by name in tests/stories/still_wrong.yaml, and a test fails when that list is not exact.
"""

from __future__ import annotations

from collections import Counter

from bot.library import load
from tests.measure.safety_cases import EDIBLE, kind_of
from tests.test_corpora import STILL_WRONG, stories
from tests.test_every_rule import STORIES as EVERY_RULE
from tests.test_not_safe_stories import STORIES as NOT_SAFE
from tests.test_published_decisions import ROWS
from tests.test_safety_statements import ENTRIES


def main() -> None:
    known = load()
    cases = stories("verdicts")
    wrong = STILL_WRONG["verdicts"]
    outcomes = {case["id"]: wrong.get(case["id"], case["verdict"]) for case in cases}
    kinds = Counter(kind_of(outcomes[case["id"]], case["verdict"], case["also_acceptable"]) for case in cases)
    edible = [case["id"] for case in cases if case["verdict"] in EDIBLE]
    eaten = sum(outcomes[case["id"]] in EDIBLE for case in cases if case["verdict"] not in EDIBLE | {"ask-expert"})
    print(f"{len(known.rules)} safety rules and {len(known.exceptions)} exceptions; conversations typed as text in which each decides: {len(EVERY_RULE)}")
    print(f"statements of the publications: {len(ENTRIES)}; left out with a reason: {_with('left_out')}; not yet right everywhere: {_with('hole')}")
    print(f"rows of published decision tables, on either side of each limit: {len(ROWS)}, all as printed")
    print(f"stories with a known verdict: {len(cases)}; right: {kinds['right']} ({kinds['right'] / len(cases):.1%}); harsher: {kinds['harsher']}; milder: {kinds['milder']}")
    print(f"  food that must not be eaten told edible: {eaten}; edible food told edible: {sum(outcomes[i] in EDIBLE for i in edible)} of {len(edible)}")
    print(f"harmless messages: {len(stories('harmless'))}; told to throw out: {len(STILL_WRONG['harmless'])}")
    print("each of these is a test, and none of them may be told that it can be eaten:")
    print(f"  dangerous messages: {len(stories('dangerous'))}")
    print(f"  stories deadly only in combination: {len(stories('deadly'))}")
    print(f"  stories that once got a wrong safe: {len(NOT_SAFE)}")


def _with(field: str) -> int:
    return sum(field in entry for entry in ENTRIES)


if __name__ == "__main__":
    main()
