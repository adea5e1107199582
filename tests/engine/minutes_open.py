"""Property 3 for the fact `minutes-enough`: minutes that are enough while a fact is open are enough with each answer it may have.

"Not sure" in place of an answer is the proof in minutes.py. Here a fact is open because it is silent, told in part, or told in
two ways that exclude each other. Four things are not open, though nothing was said of them: a pack nobody told counts as the
packs that are printed for such food (jam is never packed raw); a jar size nobody told counts as the sizes that are printed,
since the rule on large jars asks about others; how minutes were timed counts as its documented silence; and the height,
where the column for the own height was used, counts as the lowest, which that time must at least reach.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import pairwise, product

from bot.engine.facts import YES
from bot.engine.safety import look
from tests.engine.finding import Finding
from tests.engine.minutes import enough, left_to_another, minutes_tellings, printed_times
from tests.engine.tellings import Combination, Telling, answer, described, facts_of, knowledge, number, rules, then

Opening = tuple[str, Combination, list[Combination]]  # evidence, what is told while it is open, and with each answer
COUNTED_AS_PRINTED = ("pack", "jar-size")  # while silent


@cache
def minutes_resting_on_open_facts(doubts_beside: bool = False) -> Finding:
    """How often a fact behind the minutes was open, and the first answer that takes away what was enough, by evidence. All else
    is told for certain; or is in doubt as well, in every combination."""
    looked_at = 0
    found: dict[str, list[str]] = {}
    for rows, (kind, food) in printed_times().items():
        choices = minutes_tellings(rows)
        beside = [[told for told in part if doubts_beside or _certain(told)] or [part[-1]] for part in choices]
        for n, part in enumerate(choices):
            for name, before, answers in _openings(part):
                for others in product(*beside[:n], *beside[n + 1 :]):
                    told, *each = ((*others[:n], one, *others[n:]) for one in (before, *answers))
                    looked_at += len(each)
                    short = [after for after in each if not enough(kind, food, after)]
                    if short and not (name == "altitude" and left_to_another(name, told)) and enough(kind, food, told):
                        words = f"{described(sum(told, ()))} -> {described(sum(short[0], ()))}"
                        found.setdefault(name, []).append(f"{kind} of {food}: {words}")
    return Finding(looked_at, tuple(f"{lines[0]} ({len(lines)} of these)" for lines in found.values()))


def _certain(told: Combination) -> bool:
    return all(telling.answered and all(seen.lo == seen.hi or seen.approx for seen in telling.said) for telling in told)


def _openings(part: list[Combination]) -> Iterator[Opening]:
    """What leaves open what this part of the tellings tells."""
    alone: list[Combination] = [told for told in part if len(told) == 1 and told[0].answered]
    if not alone:
        return
    name = alone[0][0].name
    silence = knowledge().evidence[name].silent
    if name not in COUNTED_AS_PRINTED and (silence is None or silence.if_ or silence.covered_by):
        yield name, (), list(alone)
    points = [told for told in alone if told[0].said[0].lo == told[0].said[0].hi and _cleared_elsewhere(told[0])]
    pairs = dict.fromkeys([*pairwise(points), (points[0], points[-1])]) if len(points) > 1 else ()
    for one, other in pairs:  # of two numbers, and of two answers without danger, the order makes no difference
        yield name, (then(one[0], other[0]),), [one, other]
    if name == "altitude":
        yield name, (number(name, 0.0, 8_000.0),), points
    if name == "process-minutes":
        yield from _of_the_time([told for told in points if told[0].said[0].lo is not None])


def _cleared_elsewhere(told: Telling) -> bool:
    """Whether the rules that read this evidence themselves are cleared by it: jars over a quart are not."""
    reading = [rule for rule in rules() if any(told.name in condition for condition in rule.clear_if)]
    return all(look(rule, facts_of((told,))).clear == YES for rule in reading)


def _of_the_time(points: list[Combination]) -> Iterator[Opening]:
    """The time the recipe prints, told beside a number; with a recipe nobody named or two; and "about", timed in two ways."""
    name, source = "process-minutes", "recipe-source"
    printed, sheet, family = answer(name, "as-printed"), answer(source, "sheet"), answer(source, "family")
    for (point,) in (points[0], points[-1]):
        for told in (then(point, printed), then(printed, point)):
            yield f"{name} as printed", (told, sheet), [(point, sheet), (printed, sheet)]
    open_sources: list[Combination] = [(printed,), (printed, then(sheet, family)), (printed, then(family, sheet))]
    for unsure in open_sources:
        yield source, unsure, [(printed, sheet), (printed, family)]
    middle = points[-1][0].said[0].lo
    assert middle is not None
    about = number(name, middle - 2, middle + 2, approx=True)
    timed, guessed = answer("process-timer", "timer"), answer("process-timer", "guess")
    for both in (then(timed, guessed), then(guessed, timed)):
        yield "process-timer", (about, both), [(about, timed), (about, guessed)]
