"""What a rule sees of one part of what was told: two tellings that look the same to it are taken together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import combinations

from bot.engine.case import TICKS
from bot.engine.facts import YES
from bot.kitchen.process_time import ProcessRow
from tests.engine.reach import View
from tests.engine.tellings import Combination, Telling, answer, facts_of, knowledge, number

LOW_KITCHEN = (
    answer("jar-size", "half-pint"), answer("pack", "hot"), answer("jars-boiled-first", "boiled"), number("altitude", 0.0),
)  # fmt: skip


@cache
def _low_kitchen() -> Combination:
    """A kitchen in which minutes hang on nothing but food, product and recipe; and whatever else a row of the table asks for."""
    rows: tuple[ProcessRow, ...] = knowledge().tables["rows"]  # type: ignore[assignment]
    asked = {name: answers for row in reversed(rows) for name, answers in row.only_if}
    return (*LOW_KITCHEN, *(answer(name, min(answers)) for name, answers in asked.items()))


def beside(part: View) -> Combination:
    """What is told beside a part, so that minutes alone decide whether they were enough."""
    return _low_kitchen() if part.beside_minutes else ()


Sight = tuple[tuple[int, ...], tuple[int, ...]]  # how each line of the part holds, and which limits are kept
Sights = tuple[tuple[frozenset[str], Sight], ...]


@dataclass(frozen=True)
class Seen:
    """All that a rule makes of what was told in one part: what it sees while silences that may speak say nothing, and while
    some of them speak."""

    quiet: frozenset[str]
    sights: Sights

    def while_speaking(self, heard: frozenset[str]) -> Sight:
        """What is seen while these silences speak."""
        return dict(self.sights)[heard]


def seen_by(part: View, told: Iterable[Telling]) -> Seen:
    """How a part of a rule sees what was told."""
    told = tuple(told)
    quiet = may_speak(told)
    sights = [(frozenset[str](), _sight(part, told))]
    for heard in [frozenset(some) for n in range(len(quiet)) for some in combinations(sorted(quiet), n + 1)]:
        sights.append((heard, _sight(part, [spoken(each.name) if each.name in heard else each for each in told])))
    return Seen(quiet, tuple(sights))


def may_speak(told: Iterable[Telling]) -> frozenset[str]:
    """Evidence that is silent, or of which things were only ruled out that could have been ticked, and whose silence can mean
    something."""
    evidence = knowledge().evidence
    return frozenset(
        each.name
        for each in told
        if evidence[each.name].silent is not None
        and all(seen.denied and seen.certain for seen in each.said)
        and (not each.said or evidence[each.name].kind in TICKS)
    )


@cache
def spoken(name: str) -> Telling:
    """What the silence about a piece of evidence means, when it means something."""
    silence = knowledge().evidence[name].silent
    assert silence is not None
    return answer(name, silence.answer, complete=True)


def _sight(part: View, told: Iterable[Telling]) -> Sight:
    facts = facts_of((*beside(part), *told))
    in_time = [min((facts.in_time(*limit) for limit in limits), default=YES) for limits in part.limits]
    return tuple(facts.line(*line) for line in part.lines), tuple(in_time)
