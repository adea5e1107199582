"""`python -m tests.mutation.witnesses`: finds, for each mistake that no test notices, a jar that tells the broken rule from the right one.

Writes tests/engine/decided.jsonl: jars, and what the rules decide about them today. Read its diff after a rule was changed on
purpose: it is the list of what the change decides otherwise. What no jar can tell apart is written to the end of the run.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from itertools import combinations, islice, permutations, product
from random import Random
from typing import Any

from bot.engine.facts import YES, Facts
from bot.engine.knowledge import CLOCKS, COMPUTED, Condition, Knowledge, Rule
from bot.engine.published import with_tables
from bot.engine.safety import judge, look
from bot.library import load
from tests.engine.tellings import knowledge
from tests.engine.told_apart import foods_apart
from tests.jars import SILENT, UNSURE, allowed, facts_of
from tests.mutation.alike import acidity_of
from tests.mutation.killers import Killers, differs
from tests.mutation.mutants import Mutant, of_rules
from tests.test_decided_jars import FILE, jar_of, rows
from tests.test_published_decisions import DATA

MOST_TRIED = 12_000
MOST_MET = 60
OF_ONES_OWN: tuple[dict[str, Any], ...] = (
    {"recipe-source": "family"}, {"recipe-source": "family", "food": "ketchup", "product": "sauce"},
    {"recipe-source": "family", "food": "rose-hip", "product": "syrup"}, {"recipe-source": "family", "food": "zucchini-pineapple", "product": "fruit"},
)  # fmt: skip
JARS = ("strawberry-jam", "crushed-tomatoes", "dill-pickles", "green-beans-pressure", "sauerkraut-crock", "sauerkraut-canned", "fridge-pickles", "canned-peaches", "tested-salsa", "pumpkin-butter-in-fridge")
SEVERAL = ("recipe-changes", "spoilage-signs", "symptoms")
BEHIND_ACIDITY = {"acid": "strawberry", "pickled": "cucumber", "needs-acid": "tomato", "no-process": "white-peach", "low": "green-bean", "never": "pesto"}
BEHIND_MINUTES = {"enough": 500.0, "short": 1.0}
ROOM, COLD = {"storage": "room"}, {"storage": "fridge", "warm-before-cold": "under-2h"}


def candidates(rule: Rule, mutant: Mutant) -> Iterator[dict[str, Any]]:
    """What to tell of a jar so that the changed line decides: it is met, nearly met or failed, and every other line is failed."""
    broken = mutant.knowledge.rules.get(rule.id)
    lines = [*rule.clear_if, *(broken.clear_if if broken else ())]
    changed = [n for n, line in enumerate(rule.clear_if) if broken is None or n >= len(broken.clear_if) or line != broken.clear_if[n]]
    for n in changed:  # first a jar about which only this is told
        yield from _at_the_change(rule.clear_if[n], broken.clear_if[n] if broken and n < len(broken.clear_if) else {}, mutant.knowledge)
        yield from _ways([rule.clear_if[n], *(broken.clear_if[n : n + 1] if broken else ())], mutant.knowledge)
    for n in changed or [None]:
        others = [line for m, line in enumerate(rule.clear_if) if m != n]
        met = _ways([line for line in (rule.clear_if[n], *(broken.clear_if[n : n + 1] if broken else ()))], mutant.knowledge) if n is not None else [{}]
        for told in met:
            yield from _failing(others, told, mutant.knowledge)
        if n is not None:
            for told in _left_open(rule.clear_if[n], broken.clear_if[n] if broken and n < len(broken.clear_if) else {}, mutant.knowledge):
                yield told
                yield from _failing(others, told, mutant.knowledge)
    yield from _failing(lines, {}, mutant.knowledge)


def _at_the_change(line: Condition, broken: Condition, known: Knowledge) -> Iterator[dict[str, Any]]:
    """The answers by which two lines differ, each with every way to meet the rest of the line."""
    for name in (name for name in line if name not in CLOCKS):
        differing = sorted(set(line[name]) ^ set(broken[name])) if name in broken else [a for a in _answers(name, known) if a not in line[name]]
        rest = [[(other, answer) for answer in line[other]] for other in line if other != name and other not in CLOCKS]
        for answer in differing:
            yield from (_told({name: answer, **dict(met)}) for met in islice(product(*rest), MOST_MET))
            if name in SEVERAL:  # seen, and not said that it is all there is
                yield from ({**_told(dict(met)), name: {"seen": [answer]}} for met in islice(product(*rest), MOST_MET))
        if name in SEVERAL:
            yield from ({**_told(dict(met)), name: {"seen": [each]}} for each in _answers(name, known) if each != "none" for met in islice(product(*rest), MOST_MET))


def _left_open(line: Condition, broken: Condition, known: Knowledge) -> Iterator[dict[str, Any]]:
    """An answer by which two lines differ told beside another one: which of the two it is stays open."""
    if "acidity" in line:
        for one, other in permutations(line["acidity"] if "acidity" in broken else COMPUTED["acidity"], 2):
            for pair in _foods_between(one, other):
                yield {"food": list(pair), "product": SILENT}
    for name in (name for name in line if name in known.evidence and known.evidence[name].kind == "choice"):
        differing = sorted(set(line[name]) ^ set(broken[name])) if name in broken else [a for a in _answers(name, known) if a not in line[name]]
        rest = {other: line[other][0] for other in line if other != name and other not in CLOCKS}
        for answer, other in product(differing, _answers(name, known)):
            if answer != other:
                yield {**_told(rest), name: [answer, other]}


@cache
def _foods_between(one: str, other: str) -> list[tuple[str, ...]]:
    """Two foods that are the one or the other as nobody said which product."""
    return [pair for pair in combinations(foods_apart(), 2) if {acidity_of(pair, each) for each in knowledge().evidence["product"].answers} == {one, other}][:2]


def _ways(lines: list[Condition], known: Knowledge) -> Iterator[dict[str, Any]]:
    """Each answer of each fact in these lines, the other facts of the line as it asks for them."""
    for line in lines:
        asked = {name: answers[0] for name, answers in line.items() if name not in CLOCKS}
        yield _told(asked)
        for name in asked:
            for answer in _answers(name, known):
                yield _told({**asked, name: answer})


def _failing(lines: list[Condition], told: dict[str, Any], known: Knowledge) -> Iterator[dict[str, Any]]:
    """Adds to what is told so that no other line holds; each fact is given one answer only."""
    if not lines:
        yield told
        return
    first, rest = lines[0], lines[1:]
    for name, allowed_answers in first.items():
        for answer in _answers(name, known):
            more = _told({name: answer})
            if answer not in allowed_answers and all(told.get(key, value) == value for key, value in more.items()):
                yield from _failing(rest, {**told, **more}, known)


def _told(facts: dict[str, str]) -> dict[str, Any]:
    """Answers as a jar's data; a computed fact by what it is worked out from."""
    jar: dict[str, Any] = {}
    for name, answer in facts.items():
        if name == "acidity":
            jar["food"] = BEHIND_ACIDITY[answer]
        elif name == "minutes-enough":
            jar["process-minutes"] = BEHIND_MINUTES[answer]
        else:
            jar[name] = [answer] if name in SEVERAL else answer
    return jar


def _answers(name: str, known: Knowledge) -> list[str]:
    if name in CLOCKS:
        return []
    if name in COMPUTED:
        return list(COMPUTED[name])
    entry = known.evidence[name]
    return ["cucumber", "zucchini", "pumpkin-butter", "pickled-egg", "strawberry", "cabbage"] if entry.kind == "food" else list(entry.answers)


def _times(rule: Rule, mutant: Rule | None) -> list[dict[str, Any]]:
    every = [leaves for leaves in (rule.leaves, mutant.leaves if mutant else {})]
    limits = {h for leaves in every for clocks in leaves.values() for h in clocks.values() if h < 1e8}
    hours = sorted({1.0, 400.0, *(h + off for h in limits for off in (-0.5, 0.5, -2.5) if h + off > 0)})
    times: list[dict[str, Any]] = [{"hours-since-process": h, **place} for h in hours for place in (ROOM, COLD)]
    if any("open" in clocks for leaves in every for clocks in leaves.values()):
        times += [{"opened-when": h, "sealed": "opened", "since-opened": "cold", "hours-since-process": 3000.0} for h in hours]
    return times


def witness(rule: Rule, mutant: Mutant, known: Knowledge) -> tuple[str, dict[str, Any]] | None:
    """A sound jar and what is told of it otherwise, on which the mistake changes what is decided."""
    broken = mutant.knowledge.rules.get(rule.id)
    tried = 0
    sound_ones: list[tuple[str, dict[str, Any], dict[str, Any]]] = [(name, DATA["sound"][name], {}) for name in JARS]
    sound_ones += [("tested-salsa", DATA["sound"]["tested-salsa"], each) for each in OF_ONES_OWN]
    for changes in _and_with_no_food_named(candidates(rule, mutant)):
        for base, sound, otherwise in sound_ones:
            if not _clears_differ(rule, broken, facts_of({**sound, **otherwise, **changes}, known)):
                continue
            for time in _times(rule, broken):
                told = {**otherwise, **time, **changes}
                facts = facts_of({**sound, **told}, known)
                tried += 1
                if tried > MOST_TRIED:
                    return None
                if differs(rule, broken, facts) and decided(facts) != decided(Facts(mutant.knowledge, facts.case, facts.now)):
                    return base, {key: value for key, value in told.items() if sound.get(key) != value}
    return None


def _and_with_no_food_named(told: Iterator[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for changes in told:
        yield changes
        if "food" not in changes:
            yield {**changes, "food": SILENT}


BESIDE = ("storage", "warm-before-cold", "hours-since-process", "product", "food", "kept-as", "process-method", "recipe-source")
DRAWN = 4_000
HOURS = (0.5, 1.0, 2.5, 10.0, 23.5, 24.5, 60.0, 73.0, 100.0, 170.0, 340.0, 725.0, 1450.0, 2170.0, 5000.0)


def drawn(rule: Rule, mutant: Mutant, known: Knowledge) -> tuple[str, dict[str, Any]] | None:
    """The same, from jars drawn by lot, the same ones at each run: answers, two answers at once, signs that are not all, nothing told."""
    lot, broken = Random(mutant.id), mutant.knowledge.rules.get(rule.id)
    lines = (*rule.clear_if, *(broken.clear_if if broken else ()))
    names = {name for line in lines for name in line if name not in CLOCKS and name not in COMPUTED}
    for _ in range(DRAWN):
        base = lot.choice(JARS)
        told = {name: _one(name, lot, known) for name in (*sorted(names), *BESIDE) if lot.random() < 0.6}
        facts = facts_of({**DATA["sound"][base], **told}, known)
        if differs(rule, broken, facts) and decided(facts) != decided(Facts(mutant.knowledge, facts.case, facts.now)):
            return base, told
    return None


def _one(name: str, lot: Random, known: Knowledge) -> Any:
    if known.evidence[name].kind == "clock":
        return lot.choice((*HOURS, SILENT))
    every = list(known.foods) if name == "food" else list(known.evidence[name].answers)
    some = lot.sample(every, 2)
    if name in SEVERAL:
        return lot.choice(([some[0]], {"seen": [some[0]]}, {"seen": some}, some, ["none"], UNSURE, SILENT))
    if known.evidence[name].kind not in ("choice", "food"):
        return lot.choice((some[0], UNSURE, SILENT))
    return lot.choice((some[0], some[0], some[0], some, UNSURE, SILENT))


def _clears_differ(rule: Rule, broken: Rule | None, facts: Facts) -> bool:
    """Whether a time could make a difference at all: not where both rules are cleared, whatever the time."""
    since_matters = any("since" in line for each in (rule, broken) if each for line in each.clear_if)
    return since_matters or look(rule, facts).clear != YES or (broken is not None and look(broken, facts).clear != YES)


def decided(facts: Facts) -> tuple[str, list[str]]:
    judgement = judge(facts)
    return judgement.outcome, allowed(judgement)


def write(found: list[dict[str, Any]]) -> None:
    FILE.write_text("".join(json.dumps(row) + "\n" for row in found), "utf-8")


def main() -> None:
    known = with_tables(load())
    found = rows()
    for row in found:  # what is decided today
        row["outcome"], row["acts"] = decided(facts_of(jar_of(row), known))
    write(found)
    killers = Killers(known)
    for mutant in of_rules(known):
        rule = known.rules.get(mutant.of)
        if rule is None or killers.killer_of(mutant) is not None:
            continue
        seen = witness(rule, mutant, known) or drawn(rule, mutant, known)
        if seen is None:
            print(f"no jar tells apart: {mutant.id}", flush=True)
            continue
        outcome, acts = decided(facts_of({**DATA["sound"][seen[0]], **seen[1]}, known))
        found.append({"id": mutant.id, "jar": seen[0], "told": seen[1], "outcome": outcome, "acts": acts})
        killers.add_row(found[-1])
        write(found)
    print(f"{len(found)} jars in {FILE.name}")


if __name__ == "__main__":
    main()
