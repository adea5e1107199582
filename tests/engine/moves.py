"""One change of what was told about one piece of evidence: to doubt, to worse, or from an open fact to one of its answers."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import combinations, permutations

from bot.engine.case import TICKS
from tests.engine.reach import View
from tests.engine.tellings import (
    Telling,
    answer,
    belief_of,
    doubtful,
    hours_ago,
    knowledge,
    not_sure,
    number,
    silent,
    then,
)
from tests.engine.told_apart import (
    agree,
    answers_of,
    apart,
    around_the_cells,
    around_the_limits,
    dangers,
    sights,
    stays,
    without_number,
)


def doubts(told: Telling) -> list[Telling]:
    """An answer gives way to "not sure"."""
    return [not_sure(told.name)] if told.answered else []


def worse(part: View, told: Telling) -> list[Telling]:
    """A danger sign comes on top."""
    return [then(told, sign) for sign in dangers(part, told.name)] if _adds_to(told) else []


def _adds_to(told: Telling) -> bool:
    """Whether a danger sign comes on top. Where nothing was said of several dangers that exclude each other, or one was only
    denied, naming one rules out the others, some of which may be worse."""
    entry = knowledge().evidence[told.name]
    only_denied = bool(told.said) and all(each.denied for each in told.said)
    return (told.answered and not only_denied) or entry.kind == "several" or len(entry.danger) == 1


@cache
def open_tellings(part: View, name: str) -> list[tuple[Telling, list[Telling]]]:
    """What leaves a fact open, each with the single answers that it may still have.

    Silence and "not sure" leave every answer; so does an answer told with doubt, or taken back. What was told in part leaves what
    it does not rule out, and two answers that exclude each other leave these two. What is never open is left out: evidence of
    which silence always speaks, doubt that is documented to count as one answer (`in_doubt`), and a shrug about evidence that no
    danger hangs on, which counts as its silence.
    """
    entry = knowledge().evidence[name]
    singles = single_answers(part, name)
    always_heard = entry.silent is not None and not (entry.silent.if_ or entry.silent.covered_by)
    found = _told_in_part(part, name)
    if entry.in_doubt is None and (entry.safety or entry.silent is None):
        taken_back = [then(one, not_sure(name)) for one in singles if not stays(one)]
        if entry.kind not in TICKS:
            denied = [(one, answer(name, *one.said[0].answers, denied=True)) for one in singles if one.said[0].answers]
            taken_back += [then(one, other) for one, other in denied if not stays(one)]
        elif entry.kind == "several":
            denials = [answer(name, id_, denied=True) for id_ in entry.answers if id_ != "none"]
            taken_back += [each for denial in denials for each in (then(denial, not_sure(name)), doubtful(denial))]
        found += [(each, singles) for each in (not_sure(name), *(doubtful(one) for one in singles), *taken_back)]
        found += [(then(one, other), [one, other]) for one, other in _excluding(singles)]
    return [*([] if always_heard else [(silent(name), singles)]), *_alike(part, found)]


def _alike(part: View, found: Sequence[tuple[Telling, list[Telling]]]) -> list[tuple[Telling, list[Telling]]]:
    """Of tellings that the rule cannot tell apart one, with the answers of all."""
    together: dict[object, tuple[Telling, list[Telling]]] = {}
    for told, answers in found:
        first, so_far = together.get(sights(part, told), (told, []))
        together[sights(part, told)] = first, apart(part, [*so_far, *answers])
    return list(together.values())


def _told_in_part(part: View, name: str) -> list[tuple[Telling, list[Telling]]]:
    """An answer ruled out leaves the others; one of several that may be ticked leaves it with any other; a span leaves its numbers."""
    entry, singles = knowledge().evidence[name], single_answers(part, name)
    answers = {id_: answer(name, id_, complete=entry.kind == "several") for id_ in entry.answers}
    match entry.kind:
        case "choice":
            return [(answer(name, id_, denied=True), apart(part, [answers[each] for each in answers if each != id_])) for id_ in answers]
        case "several":
            ticks = [each for each in answers if each != "none"]
            ticked = {id_: [answers[id_], *(answer(name, id_, each, complete=True) for each in ticks if each != id_)] for id_ in ticks}
            found = [(answer(name, id_), apart(part, left)) for id_, left in ticked.items()]
            return found + [(answer(name, id_, denied=True), [answers[each] for each in answers if each != id_]) for id_ in ticks]
        case "food":
            return []  # a food more is a story of its own: nobody is asked whether that was all
    points = [one for one in singles if one.said[0].lo is not None]
    spans = combinations(points, 2)
    return [(_span(one, other), [one, other]) for one, other in spans]


def _span(one: Telling, other: Telling) -> Telling:
    (first,), (second,) = one.said, other.said
    assert first.lo is not None and first.hi is not None and second.lo is not None and second.hi is not None
    return number(one.name, min(first.lo, second.lo), max(first.hi, second.hi))


def _excluding(singles: Sequence[Telling]) -> list[tuple[Telling, Telling]]:
    """Answers that cannot both be true of the same jar, one said after the other. Of two numbers the order makes no difference."""
    found = []
    for one, other in permutations(singles, 2):
        ticks = knowledge().evidence[one.name].kind in TICKS
        if not agree(one, other) and (not ticks or "none" in one.said[0].answers + other.said[0].answers):
            found.append((one, other))
    numbers = set(combinations([one for one in singles if one.said[0].lo is not None], 2))
    return [(one, other) for one, other in found if (other, one) not in numbers]


@cache
def single_answers(part: View, name: str) -> list[Telling]:
    """Each answer by itself, of those that the rule can tell apart."""
    entry = knowledge().evidence[name]
    match entry.kind:
        case "clock":
            told = [hours_ago(hours, name=name) for hours in around_the_limits(part, name)]
        case "several":
            told = [answer(name, each, complete=True) for each in entry.answers]
        case "food" | "choice":
            told = [answer(name, each) for each in answers_of(part, name)]
        case _:
            told = [*(number(name, each) for each in around_the_cells(entry.answers.values())), *without_number(name)]
    return apart(part, told)


def implied(name: str, others: Sequence[Telling]) -> bool:
    """Whether what else was told answers this while it is silent: by `implies`, or by the product that a food is meant as."""
    evidence = knowledge().evidence
    if any(other.answered and name in evidence[other.name].implies for other in others):
        return True
    foods = [knowledge().foods[food] for other in others if other.name == "food" for food in _foods(other)]
    meant = {food.product or food.usual_product for food in foods}
    return name == "product" and len(meant) == 1 and None not in meant


def not_meant(name: str, others: Sequence[Telling]) -> frozenset[str]:
    """Products that are not meant while none is named, unless the food told is listed for them (`if_listed`): a ferment is told of."""
    foods = [knowledge().foods[food] for other in others if other.name == "food" for food in _foods(other)]
    listed = {product for food in foods for product in (*food.with_acid, food.product, food.usual_product)}
    told_only = {each.id for each in knowledge().evidence["product"].answers.values() if each.if_listed}
    return frozenset(told_only - listed) if name == "product" and foods else frozenset()


def _foods(told: Telling) -> frozenset[str]:
    belief = belief_of(told)
    return belief.present if belief is not None else frozenset()
