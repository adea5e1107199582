"""The tellings about one piece of evidence that a rule can tell apart: of all that come to the same for it, one each."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from itertools import combinations, pairwise, product

from bot.engine.knowledge import Answer
from tests.engine.reach import View, behind, clocks_of, conditions_of, reach
from tests.engine.sight import seen_by
from tests.engine.tellings import (
    MINUTE,
    Combination,
    Telling,
    answer,
    facts_of,
    hours_ago,
    knowledge,
    not_sure,
    number,
    rules,
    silent,
    then,
)  # fmt: skip

FOODS_WITH_MINUTES = {"food": ("strawberry", "cucumber"), "product": ("jam", "pickle", "ferment")}


def answers_of(part: View, name: str) -> list[str]:
    if part.beside_minutes and name in FOODS_WITH_MINUTES:
        return list(FOODS_WITH_MINUTES[name])
    return foods_apart() if name == "food" else list(knowledge().evidence[name].answers)


@cache
def foods_apart() -> list[str]:
    """One each of the foods that differ in how acid they are as any product, in the product they stand for, or for a line."""
    found: dict[object, str] = {}
    lines = {line for rule in rules() for each in conditions_of(rule) for line in each.items() if line[0] == "food"}
    with_products = [(), *((answer("product", each),) for each in knowledge().evidence["product"].answers)]
    for food in knowledge().foods:
        facts = [facts_of((answer("food", food), *each)) for each in with_products]
        named = frozenset(line for line in lines if food in line[1])
        found.setdefault((named, *((each.possible("acidity"), each.possible("product")) for each in facts)), food)
    return list(found.values())


def apart(part: View, choices: Iterable[Telling]) -> list[Telling]:
    """One each of the tellings that the rule can tell from one another, whatever else was said."""
    found: dict[object, Telling] = {}
    for each in choices:
        found.setdefault(sights(part, each), each)
    return list(found.values())


@cache
def sights(part: View, told: Telling) -> object:
    """How a telling looks to a rule in all company that makes a difference."""
    return tuple(seen_by(part, (told, *others)) for others in company(part, told.name))


def tellings(part: View, name: str) -> list[Telling]:
    """Silence, "not sure", and what can be answered, a danger sign on top of an answer included."""
    entry = knowledge().evidence[name]
    match entry.kind:
        case "clock":
            hours = around_the_limits(part, name)
            told = [*(hours_ago(each, name=name) for each in hours), hours_ago(hours[0], hours[-1], name)]
        case "food":
            told = apart(part, [answer(name, each) for each in answers_of(part, name)])
            told += [answer(name, *one.said[0].answers, *other.said[0].answers) for one, other in pairwise(told)]
        case "several":
            ticks = apart(part, [answer(name, each) for each in entry.answers if each != "none"])
            ids = [tick.said[0].answers[0] for tick in ticks]
            told = [*ticks, *(answer(name, *some, complete=True) for n in (1, 2) for some in combinations(ids, n))]
            told += [answer(name, "none", complete=True), *(answer(name, each, denied=True) for each in entry.answers)]
        case "choice":
            told = [answer(name, each, denied=denied) for denied in (False, True) for each in answers_of(part, name)]
        case _:
            points = around_the_cells(entry.answers.values())
            told = [
                *(number(name, each) for each in points),
                number(name, points[0], points[-1]),
                *without_number(name),
            ]
    return [
        silent(name),
        not_sure(name),
        *apart(part, [*told, *(then(one, sign) for one in told for sign in dangers(part, name))]),
    ]


def without_number(name: str) -> list[Telling]:
    """Answers of a number question that are none: "the time the sheet prints"."""
    return [
        answer(name, each.id)
        for each in knowledge().evidence[name].answers.values()
        if each.from_ is None and each.to is None
    ]


def dangers(part: View, name: str) -> list[Telling]:
    """The danger signs that this evidence can show."""
    entry = knowledge().evidence[name]
    if entry.kind in ("choice", "several"):
        return apart(part, [answer(name, each) for each in entry.danger])
    return [number(name, around_the_cells([entry.answers[each]])[0]) for each in entry.danger]


@cache
def company(part: View, name: str) -> list[Combination]:
    """What else may have been said that decides whether two answers can be told apart."""
    minutes: list[Combination] = [()]
    others: list[Combination] = [()]
    if part.beside_minutes:
        minutes = [(number("process-minutes", each),) for each in (1.0, 7.0, 60.0)]
        minutes.append((answer("process-minutes", "as-printed"), answer("recipe-source", "sheet")))
        if name not in FOODS_WITH_MINUTES:
            others += product(*([answer(each, one) for one in ids[:2]] for each, ids in FOODS_WITH_MINUTES.items()))
        if name in ("process-minutes", "recipe-source"):
            minutes = [(), (answer("process-minutes", "as-printed"),), (answer("recipe-source", "sheet"),)]
    if name in ("product", "food"):
        other = "food" if name == "product" else "product"
        others += [(answer(other, each),) for each in answers_of(part, other)]
    elif clocks_of(name):
        together = {each for clock in clocks_of(name) for each in behind(clock)} & set(part.names)
        others += product(*(_answers_alone(part, each) for each in sorted(together - {name})))
    return [tuple(each for each in (*some, *few) if each.name != name) for some in others for few in minutes]


def _answers_alone(part: View, name: str) -> list[Telling]:
    entry = knowledge().evidence[name]
    if entry.kind == "clock":
        return [hours_ago(hours, name=name) for hours in around_the_limits(part, name)]
    return [answer(name, each) for each in entry.answers]


@cache
def around_the_limits(part: View, name: str) -> list[float]:
    """Hours at, just under and just past each limit on the clocks worked out from this evidence, and each limit of the cold
    after each length of warm hours."""
    told = {limit for limits in part.limits for limit in limits if limit[0] in clocks_of(name)}
    limits = {hours for _, hours in told}
    limits |= {hours_in(words[0]) for clock, words in part.lines if clock in clocks_of(name)}
    limits |= {hours + warm for clock, hours in told if clock == "cold" for warm in (2.0, 24.0)}
    return sorted({hours + off for hours in limits for off in (-MINUTE, 0.0, MINUTE)}) or [0.0]


def hours_in(words: str) -> float:
    """Of a line about a clock, "under 48 h" or "under 2 d"."""
    _, hours, unit = words.split()
    return float(hours) * (24.0 if unit.startswith("d") else 1.0)


def around_the_cells(cells: Iterable[Answer]) -> list[float]:
    """A number at the start of each cell, and one just under its end."""
    cells = list(cells)
    starts = {each.from_ for each in cells if each.from_ is not None}
    return sorted(starts | {each.to - 1e-6 for each in cells if each.to is not None})


def read_evidence() -> list[str]:
    """All evidence that some rule reads, once each."""
    return list(dict.fromkeys(name for rule in rules() for name in reach(rule.id).names))


def sayings(name: str) -> list[Telling]:
    """Each answer there is to one piece of evidence, alone."""
    entry = knowledge().evidence[name]
    match entry.kind:
        case "clock":
            return [hours_ago(hours, name=name) for hours in (0.0, 1.0, 12.0, 100.0, 10_000.0)]
        case "food":
            return [answer(name, each) for each in foods_apart()]
        case "several":
            return [answer(name, each, complete=complete) for each in entry.answers for complete in (False, True)]
        case "choice":
            return [answer(name, each, denied=denied) for denied in (False, True) for each in entry.answers]
    return [*(number(name, each) for each in around_the_cells(entry.answers.values())), *without_number(name)]


def stays(told: Telling) -> bool:
    """An answer that no later one takes back: once unsealed stays unsealed."""
    standing = set(knowledge().evidence[told.name].stands)
    return any(not seen.denied and seen.answers and set(seen.answers) <= standing for seen in told.said)


def agree(one: Telling, other: Telling) -> bool:
    """Whether both can be true of the same jar."""
    (first,), (second,) = one.said, other.said
    every = set(knowledge().evidence[one.name].answers)
    left = [every - set(seen.answers) if seen.denied else set(seen.answers) for seen in (first, second)]
    return bool(left[0] & left[1]) if first.lo is None and second.lo is None else first.lo == second.lo
