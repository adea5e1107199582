"""Jars of which everything is told: a few sound ones, found by search, and what becomes of them when one or two facts change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache, cached_property
from itertools import combinations, product
from math import gcd, prod

from bot.engine.facts import YES, Facts
from bot.engine.knowledge import ACTS, BEHIND
from bot.engine.safety import RuleState, look
from tests.engine.moves import single_answers
from tests.engine.reach import MINUTES_FROM, View, clocks_of, limits_of, reach, reads_minutes
from tests.engine.tellings import MINUTE, Combination, Telling, answer, facts_of, hours_ago, knowledge, number, rules
from tests.engine.told_apart import around_the_cells, foods_apart, read_evidence, without_number

MOST = 8_000  # combinations of what a rule reads that are gone through
SHORT = 4  # answers
OFTEN = 5  # rules that read a piece of evidence: with each of its answers a sound jar is looked for


@cache
def told_of_all() -> dict[str, list[Telling]]:
    """Every piece of evidence that some rule reads, with each single answer."""
    names = {*read_evidence(), *MINUTES_FROM}
    return {name: _answers(name) for name in knowledge().evidence if name in names}


def _answers(name: str) -> list[Telling]:
    entry = knowledge().evidence[name]
    match entry.kind:
        case "clock":
            limits = {hours for rule in rules() for _, clock, hours in limits_of(rule) if clock in clocks_of(name)}
            return [hours_ago(each, name=name) for each in sorted({0.0} | {hours + off for hours in limits for off in (-MINUTE, 0.0)})]
        case "food":
            return [answer(name, each) for each in foods_apart()]
        case "choice" | "several":
            return [answer(name, each, complete=entry.kind == "several") for each in entry.answers]
    return [*(number(name, each) for each in around_the_cells(entry.answers.values())), *without_number(name)]


@cache
def readers_of(name: str) -> frozenset[str]:
    """The rules that a piece of evidence can move."""
    return frozenset(rule.id for rule in rules() if name in names_read(rule.id))


@cache
def names_read(rule_id: str) -> tuple[str, ...]:
    """All evidence that can move a rule while nothing is silent, what minutes are worked out from included."""
    names = {*(name for part in parts_told(rule_id) for name in part.names), *(MINUTES_FROM if reads_minutes(rule_id) else ())}
    return tuple(name for name in told_of_all() if name in names)


def parts_told(rule_id: str) -> list[View]:
    """The parts of a rule without those that matter only in a silence."""
    owners = zip(reach(rule_id).parts, reach(rule_id).heard_in_silence_of, strict=True)
    return [part for part, silences in owners if not silences]


class Jar:
    """One jar of which everything is told. Rules that a change cannot move are not looked at again."""

    def __init__(self, told: Mapping[str, Telling], before: Jar | None = None) -> None:
        self.told, self._before = dict(told), before

    @cached_property
    def facts(self) -> Facts:
        return facts_of(self.told.values())

    @cached_property
    def states(self) -> dict[str, RuleState]:
        if self._before is None:
            return {rule.id: look(rule, self.facts) for rule in rules()}
        others = [name for name, each in self.told.items() if each is not self._before.told[name]]
        again = frozenset[str]().union(*map(readers_of, others))
        return self._before.states | {rule_id: look(knowledge().rules[rule_id], self.facts) for rule_id in again}

    @cached_property
    def acts(self) -> tuple[int, ...]:
        return tuple(min(state.acts[act] for state in self.states.values()) for act in ACTS)

    @cached_property
    def soundness(self) -> tuple[object, ...]:
        """More acts, better ones first, and more rules cleared."""
        return self.acts, sum(state.clear for state in self.states.values())

    @property
    def uncleared(self) -> list[str]:
        return [rule_id for rule_id, state in self.states.items() if state.clear != YES]

    def with_(self, *tellings: Telling) -> Jar:
        """The jar with other answers to some questions."""
        return Jar(self.told | {each.name: each for each in tellings}, self)


@cache
def sound_jars() -> list[Jar]:
    """A sound jar of each kind there is: with each food that differs, and with each answer that many rules read."""
    start = mended(Jar({name: max(answers, key=_allowed_by) for name, answers in told_of_all().items()}), frozenset())
    found = {tuple(start.told.values()): start}
    for name, answers in told_of_all().items():
        kind = knowledge().evidence[name].kind
        for each in answers if kind in ("choice", "food") and len(readers_of(name)) >= OFTEN else ():
            jar = mended(start.with_(each), frozenset({name}))
            if YES in jar.acts:
                found.setdefault(tuple(jar.told.values()), jar)
    return list(found.values())


def _allowed_by(telling: Telling) -> int:
    """In how many lines of rules an answer is one of those that clear: what no line names, in none."""
    facts = facts_of((telling,))
    lines = [line for rule in rules() for condition in rule.clear_if for line in condition.items() if line[0] == telling.name]
    return sum(facts.line(*line) for line in lines)


@cache
def ruinous() -> list[Telling]:
    """Answers that by themselves leave nothing to be done with a jar that was sound."""
    jar = sound_jars()[0]
    return [each for answers in told_of_all().values() for each in answers if not any(jar.with_(each).acts)]


def mended(jar: Jar, fixed: frozenset[str]) -> Jar:
    """The jar with one fact after another changed for the better, as long as one is; some evidence is left as it is."""
    while True:
        better = jar
        for rule_id in jar.uncleared:
            names = [name for name in names_read(rule_id) if name not in fixed]
            tries = [better.with_(each) for name in names for each in told_of_all()[name]]
            tries += [better.with_(*each) for fact in changes(rule_id) for each in fact if not fixed & {one.name for one in each}]
            better = max((better, *tries), key=lambda each: each.soundness)
        if better is jar:
            return jar
        jar = better


@cache
def changes(rule_id: str) -> tuple[tuple[Combination, ...], ...]:
    """What can be told otherwise of what a rule reads, fact by fact. What is in the jar is one fact, and where a jar stood and
    how long, each told in several answers; of answers that the rule cannot tell apart there is one."""
    found: list[tuple[Combination, ...]] = []
    for part in parts_told(rule_id):
        facts: dict[object, list[str]] = {}
        for name in part.names:
            facts.setdefault("clock" if clocks_of(name) else "food" if name in BEHIND["acidity"] else name, []).append(name)
        found += [tuple(product(*(_told_apart(part, name) for name in names))) for names in facts.values()]
    if reads_minutes(rule_id):
        found += [tuple((each,) for each in told_of_all()[name]) for name in MINUTES_FROM if name not in reach(rule_id).names]
    return tuple(found)


def _told_apart(part: View, name: str) -> list[Telling]:
    """One each of the answers that the rule can tell apart; of a short list all, since other rules may tell them apart."""
    every = told_of_all()[name]
    return every if len(every) <= SHORT and knowledge().evidence[name].kind == "choice" else single_answers(part, name)


def changed(jar: Jar, rule_id: str, many: int) -> Iterator[Jar]:
    """The jar with so many of the facts that a rule reads told otherwise: none, one (with any answer there is) or two."""
    if many == 0:
        yield jar
    elif many == 1:
        yield from (jar.with_(each) for name in names_read(rule_id) for each in told_of_all()[name])
        yield from (jar.with_(*each) for fact in changes(rule_id) for each in fact)
    else:
        for one, other in combinations(changes(rule_id), 2):
            yield from (jar.with_(*first, *second) for first, second in product(one, other))


def told_anew(rule_id: str) -> Iterator[Jar]:
    """The first sound jar with every combination of all that the rule reads; of very many, some spread evenly over all."""
    facts = changes(rule_id)
    every = prod(map(len, facts))
    step = next(n for n in range(every * 5 // 13 + 1, 2 * every + 2) if gcd(n, every) == 1)  # visits each once, neighbours far apart
    for n in range(min(every, MOST)):
        place, told = n * step % every, list[Telling]()
        for fact in facts:
            place, at = divmod(place, len(fact))
            told += fact[at]
        yield sound_jars()[0].with_(*told)
