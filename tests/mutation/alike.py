"""Proves of a broken rule that nothing comes of it, because another rule decides alike wherever it differs from the right one.

What is enumerated is more than can ever be told: the sets of answers still possible of each piece of evidence, all of them with all
others, as if none depended on another; only food, product and acidity are taken as they go together. Answers that no line of the
rules can tell apart are taken together. If the acts left and the hazard come out the same for each of them, then they do for every
jar. What comes out differently only for jars that cannot be is not proved, and is told as a survivor.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, reduce
from itertools import chain, combinations, product
from math import prod
from random import Random

from bot.engine.elapsed import FOREVER
from bot.engine.facts import ACID_ORDER, NO, OPEN, YES
from bot.engine.knowledge import ACTS, CLOCKS, COMPUTED, Condition, Knowledge, Rule, RuleException
from tests.engine.tellings import answer, facts_of, not_sure, silent, then
from tests.engine.told_apart import foods_apart
from tests.mutation.mutants import Mutant

Line = tuple[str, tuple[str, ...]]  # a fact and the answers asked for; a clock and "under 2 h" or a limit
Value = dict[Line, int]
Way = tuple[tuple[Line, int], ...]  # how the lines about one fact come out
State = tuple[int, ...]  # each act left, and whether it is no hazard: of several rules the least of each counts
PARTS = (*ACTS, "no hazard")
MOST = 400_000  # combinations that one proof may take
MOST_RULES = 4  # that make up for one mistake together
FOOD, FOOD_FACTS = "food", frozenset({"food", "product", "acidity"})
SINCE = "since"  # no other clock runs longer


@dataclass(frozen=True)
class Ruling:
    """A rule with the exceptions that soften it."""

    rule: Rule
    exceptions: tuple[RuleException, ...]

    def lines(self) -> set[Line]:
        conditions = (*self.rule.clear_if, *chain.from_iterable(e.if_ for e in self.exceptions))
        limits = chain.from_iterable(each.leaves.values() for each in (self.rule, *self.exceptions))
        found: set[Line] = {(name, tuple(answers)) for condition in conditions for name, answers in condition.items()}
        return found | {(clock, (f"under {hours:g} h",)) for each in limits for clock, hours in each.items() if hours < FOREVER / 2}

    def state(self, seen: Value) -> State:
        clear = _any(self.rule.clear_if, seen)
        if clear == YES:
            return (YES,) * len(PARTS)
        acts = {act: max(clear, _within(self.rule.leaves[act], seen) if act in self.rule.leaves else NO) for act in ACTS}
        for each in self.exceptions:
            holds = _any(each.if_, seen)
            for act, limits in each.leaves.items():
                acts[act] = max(acts[act], min(holds, _within(limits, seen)))
        return (*(acts[act] for act in ACTS), NO if self.rule.handle == "hazard" else YES)  # one not ruled out is handled as one


def ruling(known: Knowledge, rule_id: str) -> Ruling | None:
    """The rule as this knowledge has it; None where it has none."""
    rule = known.rules.get(rule_id)
    return rule and Ruling(rule, tuple(e for e in known.exceptions.values() if e.softens == rule_id))


def decided_alike(known: Knowledge, mutant: Mutant) -> tuple[list[str], int] | None:
    """The other rules that make up for the mistake, and the combinations looked at; None when nothing was proved.

    Each act and the hazard are proved by themselves, since of several rules the least of each counts.
    """
    rule_id = mutant.of if mutant.of in known.rules else known.exceptions[mutant.of].softens
    right, broken = ruling(known, rule_id), ruling(mutant.knowledge, rule_id)
    assert right is not None
    others = [each for each in (ruling(known, name) for name in known.rules if name != rule_id) if each is not None]
    names: list[str] = []
    count = 0
    for part in range(len(PARTS)):
        found = _made_up_for(right, broken, others, part)
        if found is None:
            return None
        names += [each for each in found[0] if each not in names]
        count += found[1]
    return names, count


def _made_up_for(right: Ruling, broken: Ruling | None, others: list[Ruling], part: int) -> tuple[list[str], int] | None:
    """A few rules that together leave no more of this act than the right rule or the broken one, wherever these two differ.

    Each is the one that makes up for most of what is left over: a set that this finds is proved, one that it misses is not.
    """
    chosen: list[Ruling] = []
    made_up_for = _held(Meeting(right, broken, (), part))
    while True:
        met = Meeting(right, broken, chosen, part)
        if all(made_up_for):
            return ([each.rule.id for each in chosen], met.count) if met.alike() else None
        held = [(_held(Meeting(right, broken, [*chosen, each], part)), each) for each in others if each not in chosen]
        best, rule = max(held, key=lambda found: sum(found[0]))
        if len(chosen) == MOST_RULES or sum(best) <= sum(made_up_for):
            return None
        chosen, made_up_for = [*chosen, rule], best


def _held(met: Meeting) -> list[bool]:
    return [not met.differ(seen) for seen in met.some()]


class Meeting:
    """A rule, the same rule broken, and others: every combination of all their lines at which the two say different things."""

    def __init__(self, right: Ruling, broken: Ruling | None, others: Sequence[Ruling], part: int) -> None:
        self.right, self.broken, self.others, self.part = right, broken, others, part
        mine = frozenset().union(right.lines(), broken.lines() if broken else set())
        own = {_fact(line) for line in mine}
        ways = _by_fact(mine.union(*(each.lines() for each in others)))
        self._rest = [each for each in ways if _fact(each[0][0][0]) not in own]
        self._alike_to_me = [_grouped(each, mine) for each in ways if _fact(each[0][0][0]) in own]
        self._differing = [some for some in product(*_by_fact(mine)) if self._alone(right, dict(chain(*some))) != self._alone(broken, dict(chain(*some)))]
        self.count = sum(prod(len(each) for each in self._choices(some)) for some in self._differing)

    def _choices(self, some: tuple[Way, ...]) -> list[list[Way]]:
        """For each fact, all that looks so to the rule itself, and whatever else the others ask of it."""
        return [*(group[way] for group, way in zip(self._alike_to_me, some, strict=True)), *self._rest]

    def _alone(self, ruling: Ruling | None, seen: Value) -> int:
        return YES if ruling is None else ruling.state(seen)[self.part]

    def differ(self, seen: Value) -> bool:
        """Whether the mistake still shows beside the other rules."""
        rest = min((each.state(seen)[self.part] for each in self.others), default=YES)
        return min(self._alone(self.right, seen), rest) != min(self._alone(self.broken, seen), rest)

    def some(self, most: int = 200) -> list[Value]:
        """A few of them, the same at each run: enough to see that it is no use to go through all."""
        drawn = Random(0)
        if not self._differing:
            return []
        return [dict(chain(*(drawn.choice(each) for each in self._choices(drawn.choice(self._differing))))) for _ in range(most)]

    def alike(self) -> bool:
        """Whether the others make up for the mistake in every one of them. False as well where there are too many."""
        each = (dict(chain(*ways)) for some in self._differing for ways in product(*self._choices(some)))
        return self.count <= MOST and all(not self.differ(seen) for seen in each)


def _grouped(ways: list[Way], mine: frozenset[Line]) -> dict[Way, list[Way]]:
    """Ways that lines can come out, by how the lines of the rule itself do."""
    found: dict[Way, list[Way]] = {}
    for way in ways:
        found.setdefault(tuple(pair for pair in way if pair[0] in mine), []).append(way)
    return found


def _fact(line: Line) -> str:
    return FOOD if line[0] in FOOD_FACTS else SINCE if line[0] in CLOCKS else line[0]


def _any(conditions: tuple[Condition, ...], seen: Value) -> int:
    found = [min((seen[name, tuple(answers)] for name, answers in each.items()), default=YES) for each in conditions]
    return max(found, default=YES)


def _within(limits: Mapping[str, float], seen: Value) -> int:
    return min((seen[clock, (f"under {hours:g} h",)] for clock, hours in limits.items() if hours < FOREVER / 2), default=YES)


@cache
def _by_fact(lines: frozenset[Line]) -> list[list[Way]]:
    names = sorted({_fact(line) for line in lines})
    return [_ways(name, tuple(sorted(line for line in lines if _fact(line) == name))) for name in names]


@cache
def _ways(name: str, lines: tuple[Line, ...]) -> list[Way]:
    """How the lines about one fact can come out together."""
    if name == SINCE:
        found: Iterable[tuple[int, ...]] = _clock_ways(lines)
    elif name == FOOD:
        found = _food_ways(lines)
    elif name in COMPUTED or _kind(name) not in ("several", "ticks"):
        found = _any_set_of(frozenset(tuple(_inside({one}, set(answers)) for _, answers in lines) for one in _merged(name, lines)))
    else:
        found = (tuple(facts.line(*line) for line in lines) for facts in _ticked(name, lines))
    return [tuple(zip(lines, values, strict=True)) for values in dict.fromkeys(found)]


def _kind(name: str) -> str:
    return _known().evidence[name].kind


@cache
def _known() -> Knowledge:
    from tests.engine.tellings import knowledge

    return knowledge()


def _inside(possible: set[str], allowed: set[str]) -> int:
    return YES if possible <= allowed else OPEN if possible & allowed else NO


@cache
def _any_set_of(each: frozenset[tuple[int, ...]]) -> frozenset[tuple[int, ...]]:
    """How lines can come out for any set of answers still possible, from how they come out for one: where two differ it is open."""
    found, new = set(each), set(each)
    while new:
        more = {tuple(a if a == b else OPEN for a, b in zip(one, other, strict=True)) for one in new for other in each}
        new = more - found
        found |= new
    return frozenset(found)


def _merged(name: str, lines: tuple[Line, ...]) -> list[str]:
    """One each of the answers that the lines tell apart."""
    every = COMPUTED[name] if name in COMPUTED else _known().evidence[name].answers
    found: dict[tuple[bool, ...], str] = {}
    for each in every:
        found.setdefault(tuple(each in answers for _, answers in lines), each)
    return list(found.values())


def _clock_ways(lines: tuple[Line, ...]) -> Iterator[tuple[int, ...]]:
    """Every span of time on the clocks, from one of the limits to another; none of them longer than the time since the heat."""
    ends = sorted({0.0, *(_hours(line) for line in lines), FOREVER})
    spans = [(low, high) for n, low in enumerate(ends) for high in ends[n:]]
    told = sorted({clock for clock, _ in lines} - {SINCE})
    for since in spans:
        shorter = [span for span in spans if span[0] <= since[0] and span[1] <= since[1]]
        for others in product(shorter, repeat=len(told)):
            on = {SINCE: since, **dict(zip(told, others, strict=True))}
            yield tuple(_clock_line(line, *on[line[0]]) for line in lines)


def _clock_line(line: Line, low: float, high: float) -> int:
    under = YES if high < _hours(line) else NO if low >= _hours(line) else OPEN
    return under if line[1][0].startswith("under") else YES - under


def _hours(line: Line) -> float:
    _, number, unit = line[1][0].split()
    return float(number) * (24.0 if unit.startswith("d") else 1.0)


def _food_ways(lines: tuple[Line, ...]) -> Iterator[tuple[int, ...]]:
    """Each food, and each two of them, as each set of products, with the acidity that follows. A food nobody named is any."""
    for foods in [(), *((each,) for each in _foods_apart(lines)), *combinations(_foods_apart(lines), 2)]:
        one_each = []
        for as_product in _products_apart(lines):
            acidity = {acidity_of(foods, as_product)} if foods else set(ACID_ORDER)
            one_each.append(tuple(_food_line(line, foods, {as_product}, acidity) for line in lines))
        yield from _any_set_of(frozenset(one_each))


@cache
def _foods_apart(lines: tuple[Line, ...]) -> list[str]:
    """One each of the foods that a line, or their acidity as some product, tells apart."""
    named = [set(answers) for name, answers in lines if name == FOOD]
    found: dict[object, str] = {}
    for food in foods_apart():
        looks = tuple(acidity_of((food,), each) for each in _known().evidence["product"].answers)
        found.setdefault((looks, *(food in some for some in named)), food)
    return list(found.values())


def _food_line(line: Line, foods: tuple[str, ...], products: set[str], acidity: set[str]) -> int:
    name, answers = line
    if name == "food":
        return OPEN if not foods else YES if set(foods) & set(answers) else NO
    return _inside(products if name == "product" else acidity, set(answers))


@cache
def acidity_of(foods: tuple[str, ...], as_product: str) -> str:
    """Of several foods the one that is least acid counts."""
    if len(foods) > 1:
        return max((acidity_of((each,), as_product) for each in foods), key=ACID_ORDER.index)
    (found,) = facts_of((answer("food", *foods), answer("product", as_product))).possible("acidity")
    return found


@cache
def _products_apart(lines: tuple[Line, ...]) -> list[str]:
    """One each of the products that a line, or the acidity of a food, tells apart."""
    asked = [set(answers) for name, answers in lines if name == "product"]
    found: dict[object, str] = {}
    for each in _known().evidence["product"].answers:
        looks = tuple(acidity_of((food,), each) for food in foods_apart()) if any(name == "acidity" for name, _ in lines) else ()
        found.setdefault((looks, *(each in some for some in asked)), each)
    return list(found.values())


def _ticked(name: str, lines: tuple[Line, ...]) -> Iterator[object]:
    """What can be ticked, ruled out and left open of a list; and nothing told at all, or a shrug."""
    ids = [each for each in _merged(name, lines) if each != "none"]
    yield facts_of(())
    yield facts_of((not_sure(name),))
    for present in _all_of(ids):
        for absent in (each for each in _all_of(ids) if not set(each) & set(present)):
            said = [answer(name, each, denied=True) for each in absent]
            for complete in (False, True) if present else (False,):
                yield facts_of((reduce(then, [*([answer(name, *present, complete=complete)] if present else []), *said], silent(name)),))
    yield facts_of((answer(name, "none", complete=True),))


def _all_of(ids: list[str]) -> Iterator[tuple[str, ...]]:
    return chain.from_iterable(combinations(ids, n) for n in range(len(ids) + 1))
