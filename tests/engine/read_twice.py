"""Both readers, held against each other on all that the proofs look at: single answers, combinations of them, minutes, jars.

A combination is read under its rule alone, and once more in a sound jar under all rules, where little else is wrong that could
hide what the rule makes of it. Below that each condition and each limit is read by itself, so that answers which come to the
same for the engine, and are taken together in the proofs for it, are known to come to the same for the second reader as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import chain, islice, permutations, product
from math import gcd, prod

from bot.engine.facts import YES
from bot.engine.knowledge import ACTS, CLOCKS, Knowledge
from tests.engine import second_reader as second
from tests.engine.both_readers import Heard, differ, read, told_of
from tests.engine.combinations import DANGER, DOUBT, SETTLED, At, parts, told_at
from tests.engine.deadlines import jars_that_may_spoil, worsened
from tests.engine.finding import Finding
from tests.engine.minutes import minutes_tellings, printed_times
from tests.engine.reach import Line, View, reach
from tests.engine.sight import beside
from tests.engine.sound_jars import sound_jars
from tests.engine.taken_together import moved_together
from tests.engine.tellings import (
    Combination,
    Telling,
    answer,
    described,
    doubtful,
    facts_of,
    hours_ago,
    knowledge,
    not_sure,
    rules,
    silent,
    then,
)
from tests.engine.told_apart import around_the_limits, company, hours_in, sayings

SHARE = 101  # of the jars of which everything is told one in so many is read, without `whole`
MANY = 200  # answers or combinations about one group of things; of more, without `whole`, only so many or a few more are read, evenly spread
SPREAD = 80  # combinations of each rule beside those that the proofs look at, without `whole`
SHOWN = 20  # differences at most
TRUTHS = ("no", "open", "yes")
Different = Iterator[str]  # for each thing read, how the readers differ: empty when they agree


def _found(read_alike: Different) -> Finding:
    looked_at, broken = 0, list[str]()
    for different in read_alike:
        looked_at += 1
        if different and len(broken) < SHOWN:
            broken.append(different)
    return Finding(looked_at, tuple(broken))


# -- what the second reader is told ------------------------------------------------------------------------------------
@cache
def _heard_alone(telling: Telling) -> Heard:
    return told_of(facts_of((telling,)))


def heard(told: Iterable[Telling]) -> Heard:
    """What was told, as the second reader takes it."""
    answers: dict[str, second.Told] = {}
    since: second.Span = None
    opened: second.Span = None
    for telling in told:
        if telling.said:
            said, hours, opening = _heard_alone(telling)
            answers |= said
            since, opened = hours or since, opening or opened
    return answers, since, opened


def _differ(told: Sequence[Telling], known: Knowledge, book: second.Known) -> str:
    different = differ(facts_of(told, known), heard(told), book)
    return different and f"{different}: {described(told)}"


# -- rule by rule ------------------------------------------------------------------------------------------------------
def rules_read_twice(whole: bool = False) -> Finding:
    """Each combination of each rule that the proofs of doubt, danger and open facts go through; or some of each rule."""
    return _found(_rules(whole))


def _rules(whole: bool) -> Different:
    for rule in rules():
        for at in combinations_of(rule.id) if whole else some_combinations(rule.id):
            yield read_under(rule.id, told_at(rule.id, at))


def combinations_of(rule_id: str) -> Iterator[At]:
    """Every combination of all that the rule can tell apart; what is told in part or taken back, beside every plain telling of the rest."""
    every = parts(rule_id)
    plain = [range(part.plain) for part in every]
    yield from product(*plain)
    for n, part in enumerate(every):
        yield from product(*plain[:n], range(part.plain, part.in_all), *plain[n + 1 :])


def some_combinations(rule_id: str) -> Iterable[At]:
    """Those that the proofs look at for all that come to the same, and as many others, spread over all, as it takes to notice each
    piece that a reader may lack (tests/engine/test_read_twice.py)."""
    moves = (one for kind in (DOUBT, DANGER, SETTLED) for one in moved_together(rule_id, kind))
    return dict.fromkeys(chain((at for one in moves for at in (one.before, one.after)), _far_apart(rule_id)))


def _far_apart(rule_id: str) -> Iterator[At]:
    states = [part.plain for part in parts(rule_id)]
    every = prod(states)
    step = next(n for n in range(every * 5 // 13 + 1, 2 * every + 2) if gcd(n, every) == 1)  # visits each once
    for n in range(min(every, SPREAD)):
        place, at = n * step % every, list[int]()
        for many in states:
            place, state = divmod(place, many)
            at.append(state)
        yield tuple(at)


def read_under(rule_id: str, told: Combination) -> str:
    """How the readers differ about a combination: under its rule alone, and in a sound jar under all rules."""
    known, book = alone(rule_id)
    different = _differ(told, known, book) or _differ(among_sound(told), knowledge(), read())
    return different and f"{rule_id}: {different}"


def among_sound(told: Iterable[Telling]) -> tuple[Telling, ...]:
    """The first sound jar, with this told or left untold instead."""
    return tuple((sound_jars()[0].told | {each.name: each for each in told}).values())


@cache
def alone(rule_id: str) -> tuple[Knowledge, second.Known]:
    """One rule, for each reader: both keep the rules in the order of the files."""
    (book,) = [book for rule, book in zip(rules(), read().rules, strict=True) if rule.id == rule_id]
    return knowledge()._replace(rules={rule_id: knowledge().rules[rule_id]}), read()._replace(rules=(book,))


# -- conditions and limits, one by one ---------------------------------------------------------------------------------
def conditions_read_twice(whole: bool = False) -> Finding:
    """Each condition and limit, with each answer in all company that makes a difference, and with all combinations of answers about
    things that belong together."""
    views = dict.fromkeys((view, part) for rule in rules() for view, part in zip(reach(rule.id).parts, parts(rule.id), strict=True))
    return _found(_read_alike(view, told) for view, part in views for every in (list(_answers(view)), part.every) for told in _spread(every, whole))


def _spread(every: Sequence[Combination], whole: bool) -> Sequence[Combination]:
    return every if whole else every[:: max(1, len(every) // MANY)]


def _answers(view: View) -> Iterator[Combination]:
    """Each answer there is, those that come to the same included, told with doubt too, and one after another; with all that may decide
    how it is seen."""
    for name in view.names:
        entry = knowledge().evidence[name]
        alone = sayings(name)
        said = [silent(name), not_sure(name), *alone, *map(doubtful, alone)]
        said += [then(one, other) for one, other in permutations(alone, 2)] if entry.kind == "choice" else []
        said += _ticked_and_more(name) if entry.kind == "several" else []
        said += [answer(name, each) for each in knowledge().foods] if entry.kind == "food" else []
        said += [hours_ago(hours, name=name) for hours in around_the_limits(view, name)] if entry.kind == "clock" else []
        yield from ((each, *others) for each in said for others in company(view, name))


def _ticked_and_more(name: str) -> Iterator[Telling]:
    """What was ticked or ruled out, one answer after another, and in doubt before or after."""
    ids = knowledge().evidence[name].answers
    alone = [answer(name, each, denied=denied) for each in ids for denied in (False, True)]
    yield from (then(one, other) for one, other in permutations([*alone, not_sure(name), *map(doubtful, alone)], 2))


def _read_alike(view: View, told: Combination) -> str:
    told = (*beside(view), *told)
    facts, (answers, since, opened) = facts_of(told), heard(told)
    mine = [facts.line(*line) for line in view.lines]
    mine += [min((facts.in_time(*limit) for limit in limits), default=YES) for limits in view.limits]
    enough = facts.possible("minutes-enough") if view.beside_minutes else frozenset[str]()
    acts = [second.verdict(book, answers, since, enough, opened).acts for book in _books(view)]
    other = [TRUTHS.index(each[act]) for each in acts for act in ACTS]
    return "" if mine == other[: len(mine)] else f"{view.lines} {view.limits}: {mine}, the other {other}: {described(told)}"


@cache
def _books(view: View) -> list[second.Known]:
    """Rules that are never cleared and leave each act while one condition or one limit holds: so each can be read by itself."""
    asked: list[tuple[second.Line, ...]] = [(_line(line),) for line in view.lines]
    asked += [tuple(limits) for limits in view.limits]
    fours = [asked[n : n + len(ACTS)] for n in range(0, len(asked), len(ACTS))]
    leaves = [{act: (each,) for act, each in zip(ACTS, some, strict=False)} for some in fours]
    return [read()._replace(rules=(((), each, False),)) for each in leaves]


def _line(line: Line) -> second.Line:
    name, answers = line
    return (name, hours_in(answers[0])) if name in CLOCKS else (name, frozenset(answers))


# -- jars of which everything is told ----------------------------------------------------------------------------------
def jars_read_twice(whole: bool = False) -> Finding:
    """Jars with all that can be told of minutes, and those of which the deadlines are compared; or one in so many of them."""
    every = chain(_with_minutes(), _that_got_worse(whole))
    return _found(_differ(told, knowledge(), read()) for told in islice(every, 0, None, 1 if whole else SHARE))


def _with_minutes() -> Iterator[tuple[Telling, ...]]:
    """Sound jars but for food and product, and all that can be told of their minutes in the bath."""
    for rows, (kind, food) in printed_times().items():
        named = (answer("product", kind), answer("food", food), answer("process-method", "bath"))
        for told in product(*minutes_tellings(rows)):
            yield among_sound((*named, *sum(told, ())))


def _that_got_worse(whole: bool) -> Iterable[tuple[Telling, ...]]:
    pairs = ((before, after) for jar in jars_that_may_spoil(whole) for _, before, after in worsened(jar))
    return dict.fromkeys(tuple(jar.told.values()) for pair in pairs for jar in pair)
