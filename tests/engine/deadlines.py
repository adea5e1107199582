"""Property 7: as a fact gets worse, the deadline of an act moves earlier or stays, or the act is gone; and gone it stays.

Worse is a danger sign on top, a longer time since the heat or since a jar was opened, and a longer time in the warm. Each rule
is looked at by itself, with the times told to the minute around each of its limits and all else taken together as in the other
proofs; and all rules together are looked at from sound jars, in which one thing or nothing is wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from itertools import chain, pairwise, product

from bot.engine.facts import YES, Facts
from bot.engine.knowledge import ACTS
from bot.engine.safety import deadline, judge
from tests.engine.combinations import DANGER, At, Move, Part, parts, told_at
from tests.engine.finding import Finding, all_of, first_lines
from tests.engine.reach import clocks_of
from tests.engine.sound_jars import Jar, sound_jars, told_of_all
from tests.engine.taken_together import fold, moved_together, rulebook
from tests.engine.tellings import (
    CLOCK,
    PLACE,
    WARM,
    Combination,
    Telling,
    answer,
    described,
    facts_of,
    hours_ago,
    knowledge,
    rules,
    then,
)
from tests.engine.told_apart import around_the_limits, tellings


@cache
def later_deadlines() -> Finding:
    """Over each rule by itself: how many deadlines were compared, and the first that moves later, by rule and evidence."""
    return all_of(later_under(rule.id) for rule in rules())


def later_under(rule_id: str) -> Finding:
    """Deadlines under one rule that move later, or acts that come back, as a fact gets worse. There should be none."""
    alone = knowledge()._replace(rules={rule_id: knowledge().rules[rule_id]})
    looked_at = 0
    found: dict[str, list[str]] = {}
    by_time = fold(rulebook(rule_id), [list(_longer(part)) for part in parts(rule_id)])
    for one in chain(moved_together(rule_id, DANGER), by_time):
        before, after = (_with(rule_id, at, told) for at, told in ((one.before, one.move.before), (one.after, one.move.after)))
        looked_at += one.count
        for words in _worse(facts_of(before, alone), facts_of(after, alone)):
            found.setdefault(one.move.name, []).append(f"{words}: {described(before)} -> {described(one.move.after)}")
    return Finding(looked_at, first_lines(rule_id, found))


def _with(rule_id: str, at: At, told: Combination) -> Combination:
    """What is told in a combination of states, with the very times of the move in place of those that stand for them."""
    names = {each.name for each in told}
    return (*(each for each in told_at(rule_id, at) if each.name not in names), *told)


def _longer(part: Part) -> Iterator[Move]:
    """Moves of the clocks: a longer time, from each point around the limits to the next, and longer warm; from the same of all else."""
    names = part.view.names
    for name in names if any(clocks_of(name) for name in names) else ():
        steps = pairwise(_times(part, name)) if name == WARM or knowledge().evidence[name].kind == "clock" else ()
        others = [_times(part, each) if each == CLOCK else tellings(part.view, each) for each in names if each != name]
        for (one, other), rest in product(list(steps), list(product(*others))):
            at = names.index(name)
            before, after = ((*rest[:at], each, *rest[at:]) for each in (one, other))
            yield Move(before, after, (part.state_of(before), part.state_of(after)))


def _times(part: Part, name: str) -> list[Telling]:
    """Times told, the shortest first."""
    if name == WARM:
        return _warmer()
    return [hours_ago(hours, name=name) for hours in around_the_limits(part.view, name)]


@cache
def _warmer() -> list[Telling]:
    long_ago = (hours_ago(10_000.0), answer(PLACE, "fridge"))
    told = [answer(WARM, each) for each in knowledge().evidence[WARM].answers]
    return sorted(told, key=lambda each: facts_of((*long_ago, each)).clock("warm"))


def _worse(before: Facts, after: Facts) -> list[str]:
    """What got milder from one to the other. Only what is certain is told with a deadline."""
    was, now = judge(before), judge(after)
    found = []
    for act in ACTS:
        if now.acts[act] == YES != was.acts[act]:
            found.append(f"{act} comes back")
        elif now.acts[act] == YES and (ends := deadline(was, act, before)) is not None:
            later = deadline(now, act, after)
            if later is None or later > ends:
                found.append(f"{act} until {later or 'any time'} instead of {ends}")
    return found


# -- all rules together ------------------------------------------------------------------------------------------------
@cache
def later_in_jars(every_jar: bool = False) -> Finding:
    """The same with all rules together, in sound jars and those in which one thing is wrong: of those that break the same rules
    one, or every one of them."""
    looked_at = 0
    found: dict[str, list[str]] = {}
    for jar in jars_that_may_spoil(every_jar):
        for name, before, after in worsened(jar):
            looked_at += 1
            for words in _worse(before.facts, after.facts):
                found.setdefault(name, []).append(f"{words}: {_times_of(before)} -> {after.told[name]}, with {_apart_from_sound(jar)}")
    return Finding(looked_at, first_lines("all rules", found))


def jars_that_may_spoil(every_jar: bool) -> Iterable[Jar]:
    """Sound jars and those with one thing wrong, of which something may be done that some rule limits."""
    found: dict[object, Jar] = {}
    for jar in sound_jars():
        found.setdefault(frozenset(jar.uncleared), jar)
    one_wrong = (sound_jars()[0].with_(each) for answers in told_of_all().values() for each in answers)
    for jar in one_wrong:
        found.setdefault(tuple(jar.told.values()) if every_jar else frozenset(jar.uncleared), jar)
    return [jar for jar in found.values() if jar.uncleared and any(jar.acts)]


def worsened(jar: Jar) -> Iterator[tuple[str, Jar, Jar]]:
    """The evidence, and the jar before and after: longer times, where the jar stands and after each time in the warm; and each danger sign."""
    places = [answer(PLACE, each) for each in knowledge().evidence[PLACE].answers]
    for place, warm in product(places, _warmer()):
        stood = jar.with_(place, warm)
        for name in [each for each in jar.told if knowledge().evidence[each].kind == "clock"]:
            for shorter, longer in pairwise(told_of_all()[name]):
                yield name, stood.with_(shorter), stood.with_(longer)
    for place, time in product(places, told_of_all()[CLOCK]):
        for less, more in pairwise(_warmer()):
            yield WARM, jar.with_(place, time, less), jar.with_(place, time, more)
    for name, telling in jar.told.items():
        for sign in knowledge().evidence[name].danger:
            yield name, jar, jar.with_(then(telling, answer(name, sign)))


def _times_of(jar: Jar) -> str:
    return described(each for name, each in jar.told.items() if clocks_of(name))


def _apart_from_sound(jar: Jar) -> str:
    return described(each for name, each in jar.told.items() if each is not sound_jars()[0].told[name])
