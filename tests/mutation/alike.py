"""Proves of a broken rule that nothing comes of it, because another rule decides alike wherever it differs from the right one.

What is enumerated is more than can ever be told: the sets of answers still possible of each piece of evidence, all of them with all
others, as if none depended on another; only food, product and acidity are taken as they go together. Answers that no line of the
rules can tell apart are taken together. If the acts left and the hazard come out the same for each of them, then they do for every
jar. What comes out differently only for jars that cannot be is not proved, and is told as a survivor.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, reduce
from itertools import chain, combinations, product
from math import prod

from bot.engine.elapsed import FOREVER
from bot.engine.facts import NO, OPEN, YES
from bot.engine.knowledge import ACTS, CLOCKS, COMPUTED, Condition, Knowledge, Rule, RuleException
from tests.engine.tellings import answer, facts_of, not_sure, silent, then
from tests.engine.told_apart import foods_apart
from tests.mutation.mutants import Mutant

Line = tuple[str, tuple[str, ...]]  # a fact and the answers asked for; a clock and "under 2 h" or a limit
Value = dict[Line, int]
State = tuple[tuple[int, ...], int]  # acts left, hazard
MOST = 400_000  # combinations that one proof may take
FOOD, FOOD_FACTS = "food", frozenset({"food", "product", "acidity"})


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
            return (YES,) * len(ACTS), NO
        acts = {act: max(clear, _within(self.rule.leaves[act], seen) if act in self.rule.leaves else NO) for act in ACTS}
        for each in self.exceptions:
            holds = _any(each.if_, seen)
            for act, limits in each.leaves.items():
                acts[act] = max(acts[act], min(holds, _within(limits, seen)))
        return tuple(acts[act] for act in ACTS), YES - clear if self.rule.handle == "hazard" else NO


def ruling(known: Knowledge, rule_id: str) -> Ruling | None:
    """The rule as this knowledge has it; None where it has none."""
    rule = known.rules.get(rule_id)
    return rule and Ruling(rule, tuple(e for e in known.exceptions.values() if e.softens == rule_id))


def decided_alike(known: Knowledge, mutant: Mutant) -> tuple[list[str], int] | None:
    """The other rules that make up for the mistake, and the combinations looked at; None when nothing was proved."""
    rule_id = mutant.of if mutant.of in known.rules else known.exceptions[mutant.of].softens
    right, broken = ruling(known, rule_id), ruling(mutant.knowledge, rule_id)
    assert right is not None
    others = [each for each in (ruling(known, name) for name in known.rules if name != rule_id) if each is not None]
    both = [right] if broken is None else [right, broken]
    differing = [seen for seen in _sights(frozenset().union(*(each.lines() for each in both))) if _differ(right, broken, [], seen)]
    if not differing:
        return [], 1
    useful = [each for each in others if _helps(right, broken, each)]
    for size in (1, 2):
        for some in combinations(useful, size):
            looked_at = _made_up_for(right, broken, list(some))
            if looked_at:
                return [each.rule.id for each in some], looked_at
    return None


def _differ(right: Ruling, broken: Ruling | None, others: list[Ruling], seen: Value) -> bool:
    rest = [each.state(seen) for each in others]
    return _joined([right.state(seen), *rest]) != _joined([*([broken.state(seen)] if broken else []), *rest])


def _joined(states: list[State]) -> State:
    acts = tuple(min((state[0][n] for state in states), default=YES) for n in range(len(ACTS)))
    return acts, max((state[1] for state in states), default=NO)


def _helps(right: Ruling, broken: Ruling | None, other: Ruling) -> bool:
    """Whether there is any combination at which this rule makes up for the mistake: the others need not be tried."""
    sights = _sights(frozenset().union(right.lines(), other.lines(), broken.lines() if broken else set()))
    return any(_differ(right, broken, [], seen) and not _differ(right, broken, [other], seen) for seen in sights)


def _made_up_for(right: Ruling, broken: Ruling | None, others: list[Ruling]) -> int:
    """How many combinations were looked at, all of them decided alike; 0 when one was not, or there were too many."""
    lines = frozenset().union(right.lines(), broken.lines() if broken else set(), *(each.lines() for each in others))
    if prod(len(each) for each in _by_fact(lines)) > MOST:
        return 0
    count = 0
    for seen in _sights(lines):
        count += 1
        if _differ(right, broken, others, seen):
            return 0
    return count


def _any(conditions: tuple[Condition, ...], seen: Value) -> int:
    found = [min((seen[name, tuple(answers)] for name, answers in each.items()), default=YES) for each in conditions]
    return max(found, default=YES)


def _within(limits: Mapping[str, float], seen: Value) -> int:
    return min((seen[clock, (f"under {hours:g} h",)] for clock, hours in limits.items() if hours < FOREVER / 2), default=YES)


def _sights(lines: frozenset[Line]) -> Iterator[Value]:
    """Each combination of how the lines can come out."""
    for some in product(*_by_fact(lines)):
        yield {line: value for each in some for line, value in each}


@cache
def _by_fact(lines: frozenset[Line]) -> list[list[tuple[tuple[Line, int], ...]]]:
    names = sorted({FOOD if name in FOOD_FACTS else name for name, _ in lines})
    return [_ways(name, tuple(sorted(line for line in lines if line[0] == name or (name == FOOD and line[0] in FOOD_FACTS)))) for name in names]


@cache
def _ways(name: str, lines: tuple[Line, ...]) -> list[tuple[tuple[Line, int], ...]]:
    """How the lines about one fact can come out together."""
    if name in CLOCKS:
        found = _clock_ways(lines)
    elif name == FOOD:
        found = _food_ways(lines)
    elif name in COMPUTED or _kind(name) not in ("several", "ticks"):
        found = (tuple(_inside(some, set(answers)) for _, answers in lines) for some in _subsets(_merged(name, lines)))
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


def _subsets(answers: list[str]) -> Iterator[set[str]]:
    return (set(some) for n in range(1, len(answers) + 1) for some in combinations(answers, n))


def _merged(name: str, lines: tuple[Line, ...]) -> list[str]:
    """One each of the answers that the lines tell apart."""
    every = COMPUTED[name] if name in COMPUTED else _known().evidence[name].answers
    found: dict[tuple[bool, ...], str] = {}
    for each in every:
        found.setdefault(tuple(each in answers for _, answers in lines), each)
    return list(found.values())


def _clock_ways(lines: tuple[Line, ...]) -> Iterator[tuple[int, ...]]:
    """Every span of time on the clock, from one of the limits to another."""

    def hours(line: Line) -> float:
        _, number, unit = line[1][0].split()
        return float(number) * (24.0 if unit.startswith("d") else 1.0)

    ends = sorted({0.0, *(hours(line) for line in lines), FOREVER})
    for n, low in enumerate(ends):
        for high in ends[n:]:
            under = [YES if high < hours(line) else NO if low >= hours(line) else OPEN for line in lines]
            yield tuple(value if line[1][0].startswith("under") else YES - value for line, value in zip(lines, under, strict=True))


def _food_ways(lines: tuple[Line, ...]) -> Iterator[tuple[int, ...]]:
    """Each food, and each two of them, as each set of products, with the acidity that follows. A food nobody named is any."""
    foods = [(), *((each,) for each in foods_apart()), *combinations(foods_apart(), 2)]
    products = list(_subsets(_products_apart(lines)))
    for some in foods:
        told = facts_of((answer("food", *some),)) if some else facts_of(())
        classes = {each: told.possible("acidity") if not some else frozenset({_acidity(some, each)}) for each in {p for s in products for p in s}}
        for possible in products:
            acidity = set().union(*(classes[each] for each in possible))
            yield tuple(_food_line(line, some, possible, acidity) for line in lines)


def _food_line(line: Line, foods: tuple[str, ...], products: set[str], acidity: set[str]) -> int:
    name, answers = line
    if name == "food":
        return OPEN if not foods else YES if set(foods) & set(answers) else NO
    return _inside(products if name == "product" else acidity, set(answers))


@cache
def _acidity(foods: tuple[str, ...], as_product: str) -> str:
    (found,) = facts_of((answer("food", *foods), answer("product", as_product))).possible("acidity")
    return found


def _products_apart(lines: tuple[Line, ...]) -> list[str]:
    """One each of the products that a line, or the acidity of a food, tells apart."""
    asked = [set(answers) for name, answers in lines if name == "product"]
    found: dict[object, str] = {}
    for each in _known().evidence["product"].answers:
        looks = tuple(_acidity((food,), each) for food in foods_apart()) if any(name == "acidity" for name, _ in lines) else ()
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
