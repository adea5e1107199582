"""A second reader of the safety rules, written from the description of the format alone; it shares no code with the program it checks.
Truth is a number (NO < OPEN < YES): "all of these" is min(), "any of these" max(). A limit is a line of a condition like any other."""
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import yaml

NO, OPEN, YES, INF, NOTHING, NONE = 0, 1, 2, float("inf"), frozenset[str](), frozenset({"none"})
OUTCOMES = {"shelf": "shelf-ok", "reprocess": "reprocess-now", "fridge": "fridge-use-soon", "freeze": "fridge-use-soon"}  # best act first
SOURNESS = ("acid", "pickled", "needs-acid", "no-process", "low", "never")  # worst last; "never": in no canner
WARM = {"under-2h": (0.0, 2.0 - 1e-9), "under-24h": (2.0, 24.0 - 1e-9), "longer": (24.0, INF)}
Span = tuple[float, float] | None  # hours, shortest and longest; None: not known
Line = tuple[str, frozenset[str] | float]  # a fact and the answers named, or a clock and the hours it must stay under
AnyOf = tuple[tuple[Line, ...], ...]  # one of the inner ones will do; in each of them every line must hold
Fact = tuple[frozenset[str], frozenset[str]]  # surely there, may be there; of a choice just one of the second is true

class Told(NamedTuple):
    answers: frozenset[str] = NOTHING  # choices still possible; of `several` and `food` what was ticked
    unsure: bool = False
    contradicted: bool = False
    denied: frozenset[str] = NOTHING
    complete: bool = False

class Verdict(NamedTuple):
    outcome: str
    settled: bool
    acts: dict[str, str]

class Entry(NamedTuple):
    kind: str
    answers: frozenset[str]
    leaves_open: frozenset[str]
    if_listed: frozenset[str]
    in_doubt: frozenset[str]
    silent: frozenset[str]
    silent_if: AnyOf
    implies: Mapping[str, str]  # other evidence that any answer settles, if that is still silent

Rules = tuple[tuple[AnyOf, Mapping[str, AnyOf], bool], ...]  # clear_if; act -> its limits, or what an exception asks; is it a hazard

class Known(NamedTuple):
    entries: Mapping[str, Entry]
    foods: Mapping[str, Any]
    rules: Rules

def _any_of(written: Any) -> AnyOf:
    def line(fact: str, named: Any) -> Line:
        if fact not in ("since", "warm", "cold", "open"):
            return fact, frozenset([named] if isinstance(named, str) else named)
        return fact, float(named.removeprefix("under ")[:-2]) * {"h": 1, "d": 24}[named[-1]]
    return tuple(tuple(line(*item) for item in one.items() if item[1] != "any") for one in ([written] if isinstance(written, dict) else written))

def _entry(written: Any) -> Entry:
    answers, silent = written.get("answers") or {}, written.get("silent") or {}
    void, listed = (frozenset(n for n, a in answers.items() if a and a.get(key) == "yes") for key in ("leaves_open", "if_listed"))
    doubt, silence = (frozenset([source[key]] if key in source else []) for source, key in ((written, "in_doubt"), (silent, "answer")))
    conditions = _any_of(silent.get("if", [])) + _any_of(silent.get("covered_by", [])) or ((),)
    return Entry(written["kind"], frozenset(answers), void, listed, doubt, silence, conditions, written.get("implies", {}))

def read_knowledge(folder: Path) -> Known:
    def load(path: Path) -> Any: return yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
    evidence = {name: written for path in sorted(folder.glob("evidence/*.yaml")) for name, written in load(path).items()}
    safety, rules = [load(path) for path in sorted(folder.glob("safety/*.yaml"))], []
    for name, rule in ((name, rule) for file in safety for name, rule in file.get("rules", {}).items()):
        leaves = {act: _any_of(limits) for act, limits in rule["leaves"].items()}
        exceptions = (one for file in safety for one in file.get("exceptions", {}).values() if one["softens"] == name)
        for softer, act in ((one, act) for one in exceptions for act in one["leaves"]):
            leaves[act] = leaves.get(act, ()) + tuple(when + _any_of(softer["leaves"][act])[0] for when in _any_of(softer["if"]))
        rules.append((_any_of(rule["clear_if"]), leaves, rule.get("handle") == "hazard"))
    return Known({name: _entry(written) for name, written in evidence.items()}, load(folder / "foods.yaml"), tuple(rules))

class _Jars:
    def __init__(self, known: Known, told: Mapping[str, Told], hours: Span, opened: Span, enough: frozenset[str]) -> None:
        def settles_nothing(said: Told, entry: Entry) -> bool:  # can't say, answers at odds, or none left that could be true
            at_odds = said.answers > NONE if entry.kind == "several" else not said.answers
            unsure = said.unsure and not (entry.kind == "several" and said.answers)  # what was ticked is not untold by a shrug
            return unsure or (said.contradicted and bool(entry.in_doubt)) or at_odds or not said.answers.isdisjoint(entry.leaves_open)
        self.known, self.since, self.open = known, hours or (0.0, INF), opened or (0.0, INF)
        self.told = {name: None if settles_nothing(said, known.entries[name]) else said for name, said in told.items()}
        self.facts: dict[str, Fact] = {"minutes-enough": (NOTHING, enough or frozenset({"enough", "short"}))}

    def fact(self, name: str) -> Fact:
        if name not in self.facts:
            self.facts[name] = (NOTHING, self.acidity()) if name == "acidity" else self.evidence(name, self.known.entries[name])
        return self.facts[name]

    def evidence(self, name: str, entry: Entry) -> Fact:
        said, settled = self.told.get(name), entry.in_doubt
        if said and entry.kind == "several" and not said.answers and not said.complete and not said.unsure and self.speaks(entry):
            return entry.silent, entry.silent  # to deny one sign says nothing of the others: about them it is still silence
        if said:
            if entry.kind != "several" or said.complete or "none" in said.answers:  # nothing ticked, and that is all: it is none
                return said.answers or NONE, said.answers or NONE
            return said.answers, said.answers | (entry.answers - (NOTHING if said.unsure else said.denied))
        if name not in self.told:
            others = (self.known.entries[other].implies for other, what in self.told.items() if what)
            settled = frozenset(implies[name] for implies in others if name in implies)
            if name == "product" and not settled:
                foods = [self.known.foods.get(food, {}) for food in self.fact("food")[0]]
                usual = {food.get("product", food.get("usual_product", "")) for food in foods}
                settled = frozenset(usual if len(usual) == 1 else ()) - {""}
                meant = {one for food in foods for one in (*food.get("with_acid", ()), food.get("product", ""), food.get("usual_product", ""))}
                if foods and not settled:
                    return NOTHING, entry.answers - (entry.if_listed - meant)
            settled = settled or (entry.silent if self.speaks(entry) else NOTHING)
        return settled, settled or entry.answers

    def speaks(self, entry: Entry) -> bool:
        return bool(entry.silent) and self.any_of(entry.silent_if) == YES

    def acidity(self) -> frozenset[str]:
        def place(food: Any, product: str) -> int:
            pickled = food["acidity"] != "acid" and food.get("product", product) in food.get("with_acid", ())
            return SOURNESS.index("pickled" if pickled else food["acidity"])
        foods = [self.known.foods.get(food, {}) for food in self.fact("food")[0]]
        products = self.fact("product")[1]
        return frozenset(SOURNESS[max(place(food, one) for food in foods)] for one in products) if all([foods, *foods]) else frozenset(SOURNESS)

    def clock(self, name: str) -> tuple[float, float]:
        (soonest, latest), warm, places = self.since, self.since, self.fact("storage")[1]
        if name == "cold" and places in ({"room"}, {"freezer"}):  # never in the fridge, or standing still in the frost
            return 0.0, 0.0
        if name != "since" and places != {"room"}:
            starts, ends = zip(*(WARM[answer] for answer in self.fact("warm-before-cold")[1]), strict=True)
            warm = (min(*starts, latest), latest if "room" in places else min(max(ends), latest))
        return warm if name != "cold" else (max(0.0, soonest - warm[1]), latest)

    def truth(self, name: str, named: frozenset[str] | float) -> int:
        if isinstance(named, float):
            shortest, longest = self.open if name == "open" else self.clock(name)
            return YES if longest < named else NO if shortest >= named else OPEN
        (sure, maybe), kind = self.fact(name), self.known.entries[name].kind if name in self.known.entries else "choice"
        if kind == "food":
            return OPEN if not sure else NO if sure.isdisjoint(named) else YES
        if kind == "several":
            return NO if not sure <= named else YES if maybe <= named and "none" in named else OPEN
        return YES if maybe <= named else NO if maybe.isdisjoint(named) else OPEN

    def any_of(self, conditions: AnyOf) -> int:
        return max((min((self.truth(*line) for line in one), default=YES) for one in conditions), default=NO)

def verdict(known: Known, told: Mapping[str, Told], hours: Span, minutes_enough: frozenset[str], opened: Span = None) -> Verdict:
    jars = _Jars(known, told, hours, opened, minutes_enough)
    broken = [(cleared, leaves, hazard) for when, leaves, hazard in known.rules if (cleared := jars.any_of(when)) < YES]
    acts = {act: min((max(cleared, jars.any_of(leaves.get(act, ()))) for cleared, leaves, _ in broken), default=YES) for act in OUTCOMES}
    words, hazards = {act: ("no", "open", "yes")[truth] for act, truth in acts.items()}, [cleared for cleared, _, hazard in broken if hazard]
    surely, perhaps = ([act for act, truth in acts.items() if truth >= least] for least in (YES, OPEN))
    worst = Verdict("discard-hazard" if hazards else "discard", NO in hazards or not hazards, words)
    return Verdict(OUTCOMES[surely[0]] if surely else "ask-expert", surely[:1] == perhaps[:1], words) if perhaps else worst
