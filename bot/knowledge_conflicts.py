"""Do the safety rules contradict one another? A conflict is a fault of the knowledge: it is never settled by which rule comes first.

Works on the plain tree of knowledge_shape.py, like the other passes.
"""

from __future__ import annotations

import typing
from collections.abc import Iterable, Iterator
from itertools import combinations, product
from typing import Any

from bot.engine.knowledge import CLOCKS, COMPUTED
from bot.located_yaml import Entry, Fault, Items

_NOTHING = Entry("", 1)
_Line = tuple[str, frozenset[str]]
_Rule = tuple[str, Entry]


def check_conflicts(plain: Entry) -> list[Fault]:
    """Faults of rules and exceptions against each other, each at the later of the two."""
    rules = [(name, rule) for name, rule in typing.cast(Entry, plain["rules"]).items() if "shelf" not in _leaves(rule)]  # a fault of its own
    exceptions = [*typing.cast(Entry, plain["exceptions"]).items()]
    faults = [fault for one, other in combinations(rules, 2) for fault in _between(plain, one, other)]
    faults += [fault for one, other in combinations(exceptions, 2) for fault in _between_exceptions(one, other)]
    faults += [fault for each in exceptions for fault in _without_effect(dict(rules), each)]
    return faults + [fault for each in (*rules, *exceptions) for fault in _outdated(plain, each)]


def _between(plain: Entry, one: _Rule, other: _Rule) -> Iterator[Fault]:
    (first, a), (second, b) = one, other
    clears = [*product(_conditions(a, "clear_if"), _conditions(b, "clear_if"))]
    if clears and not any(_together(x, y) for x, y in clears):
        todo = "nothing could ever stay on the shelf: one of them needs a way to be cleared that the other allows"
        yield Fault(b.file, b.line, f"no jar can clear both '{first}' and '{second}'", todo)
    leaves = [_leaves(each) for each in (a, b)]
    if _same(a, b) and leaves[0] != leaves[1] and all(leaves):
        todo = "keep the stricter one, and name both texts in its note"
        yield Fault(b.file, b.line, f"'{first}' and '{second}' bite on the same jars and leave different things", todo)
    elif all(leaves) and not set(leaves[0]) & set(leaves[1]) and not _decided(plain, first, second) and _bite_together(plain, a, b):
        todo = "say which act is right in an exception that softens one of them"
        yield Fault(b.file, b.line, f"'{first}' and '{second}' each leave something, and together nothing", todo)


def _decided(plain: Entry, first: str, second: str) -> bool:
    """Whether an exception softens one of the two: then it has been said which act is right."""
    return any(each.get("softens") in (first, second) for _, each in typing.cast(Entry, plain["exceptions"]).items())


def _between_exceptions(one: _Rule, other: _Rule) -> Iterator[Fault]:
    (first, a), (second, b) = one, other
    holds = any(_together(x, y) for x, y in product(_conditions(a, "if_"), _conditions(b, "if_")))
    if a.get("softens") != b.get("softens") or not holds:
        return
    leaves = [_leaves(each) for each in (a, b)]
    for act in sorted(set(leaves[0]) & set(leaves[1])):
        if leaves[0][act] != leaves[1][act]:
            what = f"'{first}' and '{second}' soften '{b['softens']}' for the same jar, with different limits for {act}"
            yield Fault(b.file, b.line, what, "let their conditions exclude each other, or join them")


def _without_effect(rules: dict[str, Entry], exception: _Rule) -> Iterator[Fault]:
    name, entry = exception
    rule = rules.get(str(entry.get("softens")), _NOTHING)
    for act, limits in _leaves(entry).items():
        if act in _leaves(rule) and _leaves(rule)[act] == limits:
            yield Fault(entry.file, entry.line, f"'{name}' gives back what '{entry['softens']}' leaves anyway: {act}", "drop that act")


def _outdated(plain: Entry, rule: _Rule) -> Iterator[Fault]:
    name, entry = rule
    sources = [reference.partition("#")[0] for reference, _ in _numbered(entry, "sources")]
    if sources and all((plain["sources"].get(each) or _NOTHING).get("superseded") for each in sources):
        yield Fault(entry.file, entry.at("sources"), f"'{name}' rests on superseded texts only", "a newer text decides; name it")


# -- conditions ---------------------------------------------------------------------------------------------------------
def _numbered(entry: Entry, name: str) -> Iterable[tuple[Any, int]]:
    items = entry.get(name)
    return items.numbered() if isinstance(items, Items) else ()


def _conditions(entry: Entry, name: str) -> list[dict[str, frozenset[str]]]:
    return [{fact: frozenset(answers) for fact, answers in condition.items()} for condition, _ in _numbered(entry, name)]


def _leaves(entry: Entry) -> dict[str, dict[str, float]]:
    return {act: dict(limits.items()) for act, limits in (entry.get("leaves") or _NOTHING).items()}


def _together(one: dict[str, frozenset[str]], other: dict[str, frozenset[str]]) -> bool:
    """Whether one jar can fulfil both. Two spans of one clock always overlap: both begin at nothing."""
    return all(fact in CLOCKS or one[fact] & other[fact] for fact in one.keys() & other.keys())


def _same(a: Entry, b: Entry) -> bool:
    one, other = (sorted(sorted((f, sorted(v)) for f, v in c.items()) for c in _conditions(each, "clear_if")) for each in (a, b))
    return one == other


def _bite_together(plain: Entry, a: Entry, b: Entry) -> bool:
    """Whether some jar clears neither, over every combination of answers the two tell apart."""
    conditions = [*_conditions(a, "clear_if"), *_conditions(b, "clear_if")]
    facts = sorted({fact for condition in conditions for fact in condition})
    cells = [_cells(plain, fact, [c[fact] for c in conditions if fact in c]) for fact in facts]
    for answers in product(*cells):
        jar = dict(zip(facts, answers, strict=True))
        if not any(all(jar[fact] in allowed for fact, allowed in condition.items()) for condition in conditions):
            return True
    return False


def _cells(plain: Entry, fact: str, lines: list[frozenset[str]]) -> list[str]:
    """One each of the answers that the lines tell apart."""
    entry = plain["evidence"].get(fact) or _NOTHING
    every = COMPUTED.get(fact) or (plain["foods"] if entry.get("kind") == "food" else entry.get("answers")) or ("over", *{w for line in lines for w in line})
    found: dict[tuple[bool, ...], str] = {}
    for answer in every:
        found.setdefault(tuple(answer in line for line in lines), answer)
    return [*found.values()]
