"""The properties of the safety rules, proven over everything that can be told: `python -m tests.engine.prove`.

Combinations that come to the same for a rule are taken together, and what is counted is what they stand for. With `--whole`
every combination is looked at by itself, and read by a second reader as well; what matters only in a silence is then counted
only in it. That takes half an hour.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.engine.both_readers import disagreements
from tests.engine.combinations import DANGER, DOUBT
from tests.engine.deadlines import later_deadlines, later_in_jars
from tests.engine.doubt_and_danger import Way, opened_by
from tests.engine.finding import Finding
from tests.engine.minutes import minutes_openings
from tests.engine.minutes_open import minutes_resting_on_open_facts
from tests.engine.one_by_one import moved_one_by_one
from tests.engine.open_facts import resting_on_open_facts
from tests.engine.read_twice import conditions_read_twice, jars_read_twice, rules_read_twice
from tests.engine.taken_together import moved_together
from tests.engine.tellings import rules
from tests.engine.turn_order import left_behind_by_undo, uneven_orders
from tests.engine.witnesses import OF_THE_VERDICT, reached, undecided_by


@dataclass(frozen=True)
class Proof:
    """How much was looked at, and what does not hold."""

    rules: int
    combinations: int
    broken: tuple[str, ...]


def proof() -> Proof:
    """Doubt and danger over every combination of every rule, and of what makes minutes enough."""
    found = opened_by(DOUBT) + opened_by(DANGER) + minutes_openings()
    return Proof(len(rules()), found.looked_at, found.broken)


def outcomes_not_reached() -> Finding:
    """Outcomes that the verdict alone gives, and those that no jar comes to."""
    return Finding(len(OF_THE_VERDICT), tuple(sorted(OF_THE_VERDICT - reached().keys())))


def properties(whole: bool = False) -> Iterator[tuple[str, str, Callable[[], Finding]]]:
    """What is claimed, what is counted, and the proof."""
    way: Way = moved_one_by_one if whole else moved_together
    yield "1 'not sure' in place of an answer never allows more", "combinations", lambda: opened_by(DOUBT, way)
    yield "1 'not sure' never makes the minutes in the bath enough", "combinations", minutes_openings
    yield "2 one more danger sign never allows more", "combinations", lambda: opened_by(DANGER, way)
    yield "3 nothing is allowed that an open question could forbid", "combinations", lambda: resting_on_open_facts(way)
    yield "3 minutes are not enough while an open question could say so", "combinations", lambda: minutes_resting_on_open_facts(whole)
    yield "4 the order of messages about different things never matters", "orders", uneven_orders
    yield "5 a message that is undone leaves nothing behind", "turns", left_behind_by_undo
    yield "6 every outcome is reached by some jar", "outcomes", outcomes_not_reached
    yield "6 every piece of every rule decides some jar", "pieces left out in turn", undecided_by
    yield "7 a worse fact never gives more time, rule by rule", "deadlines", later_deadlines
    yield "7 a worse fact never gives more time, all rules together", "deadlines", lambda: later_in_jars(whole)
    yield from read_by_two(whole)
    yield "written twice, a second reader gives the same verdict", "random cases", lambda: read_alike(100_000 if whole else 3_000)


def read_by_two(whole: bool) -> Iterator[tuple[str, str, Callable[[], Finding]]]:
    """What a second reader makes of the combinations. Here none stands for others: what is counted is what both have read."""
    share = "" if whole else " (a fixed share)"
    same = "written twice, a second reader makes the same of"
    yield f"{same} conditions and limits", f"readings{share}", lambda: conditions_read_twice(whole)
    yield f"{same} each rule", f"combinations{share}", lambda: rules_read_twice(whole)
    yield f"{same} jars told in full", f"jars{share}", lambda: jars_read_twice(whole)


def read_alike(cases: int) -> Finding:
    """The verdict read twice about random cases."""
    return Finding(*disagreements(cases, seed=20261125))


def told(claim: str, counted: str, found: Finding) -> str:
    """One line of what is printed."""
    return f"{claim}: {found.looked_at:,} {counted}, {'does not hold' if found.broken else 'holds'}"


def main(arguments: list[str]) -> int:
    """Print each property with what was looked at; 1 when one does not hold."""
    whole = "--whole" in arguments
    failed = False
    print(f"{len(rules())} rules")
    for claim, counted, prove in properties(whole):
        found = prove()
        print(told(claim, counted, found), flush=True)
        for line in found.broken:
            print(f"    {line}", flush=True)
        failed = failed or bool(found.broken)
    return int(failed)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
