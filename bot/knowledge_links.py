"""Does the knowledge hang together? Links between its files (pass 2), then whether what they say makes sense (pass 3).

Works on the plain tree of knowledge_shape.py, where every entry knows its line. Entries may still lack fields that
pass 1 has complained of, so nothing here relies on a field being there.
"""

from __future__ import annotations

import math
import re
import typing
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import Any

from bot.engine.knowledge import ACTS, BEHIND, CLOCKS, COMPUTED, SUMS
from bot.knowledge_shape import NO_LIMIT, NUMBER_KINDS, WORD_KINDS
from bot.located_yaml import Entry, Fault, Items, did_you_mean

FROM_MEMORY = " (from memory)"
OLD_AFTER_DAYS = 730  # publications are revised; a page nobody has looked at for two years is worth another look

_CONDITIONS = ("if_", "asked_if", "clear_if", "covered_by", "applies")
_PHRASES = ("heard_as", "answered_as", "not_heard_as", "near")
_UNDER = re.compile(r"under \d+(\.\d+)? [hd]")
_CONCEPT = re.compile(r"<([^<>]*)>")
_NOTHING = Entry("", 1)
_SUM = re.compile(r"\{([^{}]*)\}")


def _within(value: Any) -> Iterator[Entry]:
    """Every entry in the tree that describes a record, at any depth."""
    if isinstance(value, Entry):
        if value.record:
            yield value
        value = value.values()
    elif not isinstance(value, Items):
        return
    for each in value:
        yield from _within(each)


def _numbered(entry: Entry, name: str) -> Iterator[tuple[Any, int]]:
    items = entry.get(name)
    return items.numbered() if isinstance(items, Items) else iter(())


class _Pass:
    def __init__(self, plain: Entry) -> None:
        self.plain = plain
        self.faults: list[Fault] = []

    def fault(self, entry: Entry, line: int, what: str, why_or_todo: str) -> None:
        self.faults.append(Fault(entry.file, line, what, why_or_todo))

    def each(self, section: str) -> Iterable[tuple[str, Entry]]:
        return typing.cast(Entry, self.plain[section]).items()


class _Links(_Pass):
    """Pass 2: whatever is named somewhere exists."""

    def run(self) -> list[Fault]:
        for entry in _within(self.plain):
            self._sources(entry)
            self._phrases(entry)
            self._sums(entry)
            for condition, line in (each for name in _CONDITIONS for each in _numbered(entry, name)):
                if not condition or not all(condition.values()):
                    self.fault(entry, line, "an empty condition always holds", "name what must be known")
                self._condition(condition)
            for settled in (entry[name] for name in ("implies", "also") if name in entry):
                self._condition(settled)
        for _, evidence in self.each("evidence"):
            self._evidence(evidence)
        for _, problem in self.each("problems"):
            self._problem(problem)
        for _, rule in self.each("rules"):
            named = {*self.plain["problems"], *self.plain["concepts"].get("named-problem", ())}
            self._known(rule, "problem", named, "a problem")
        for _, exception in self.each("exceptions"):
            self._known(exception, "softens", self.plain["rules"], "a rule")
        for _, food in self.each("foods"):
            for name in ("product", "usual_product", "with_acid"):
                self._known(food, name, self._answers("product"), "an answer of 'product'")
        return self.faults

    def _answers(self, evidence: str) -> Entry:
        return (self.plain["evidence"].get(evidence) or _NOTHING).get("answers") or _NOTHING

    def _known(self, entry: Entry, name: str, known: Iterable[str], what: str) -> None:
        """The field's word, or each of its words, is among the known ones."""
        numbered = _numbered(entry, name) if isinstance(entry.get(name), Items) else [(entry.get(name), entry.at(name))]
        for word, line in numbered:
            if word is not None and word not in known:
                self.fault(entry, line, f"'{word}' is not {what}", did_you_mean(word, known))

    def _sources(self, entry: Entry) -> None:
        for reference, line in _numbered(entry, "sources"):
            source, _, place = reference.removesuffix(FROM_MEMORY).partition("#")
            found = self.plain["sources"].get(source)
            if found is None:
                todo = did_you_mean(source, self.plain["sources"])
                if "#" not in reference:
                    todo = "it may belong to the one before: a source with a comma needs quotes"
                self.fault(entry, line, f"'{source}' is not in sources.yaml", todo)
            elif found.get("kind") == "published" and not place.strip():
                self.fault(entry, line, f"'{reference}' does not say where in it", f"write '{source}#the heading'")

    def _phrases(self, entry: Entry) -> None:
        for phrase, line in (each for name in _PHRASES for each in _numbered(entry, name)):
            text = phrase.get("text", "")
            for concept in _CONCEPT.findall(text):
                if concept not in self.plain["concepts"]:
                    todo = did_you_mean(concept, self.plain["concepts"])
                    self.fault(entry, line, f"<{concept}> is not a concept of words/", todo)
            if set("<>") & set(_CONCEPT.sub("", text)):
                self.fault(entry, line, f"'{text}' has a < or > without its other half", "write a concept as <name>")

    def _sums(self, entry: Entry) -> None:
        for name, text in entry.items():
            for found in _SUM.findall(text) if isinstance(text, str) else ():
                if found not in SUMS and entry.record != "Reply":  # whoever tells a reply brings its words along
                    todo = did_you_mean(found, SUMS)
                    self.fault(entry, entry.at(name), f"{{{found}}} is not a sum that texts may ask for", todo)

    def _condition(self, condition: Entry) -> None:
        for name in condition:
            evidence = self.plain["evidence"].get(name)
            if name in COMPUTED:
                self._known(condition, name, COMPUTED[name], f"an answer of the computed fact '{name}'")
            elif name in CLOCKS:
                if len(condition[name]) != 1 or not _UNDER.fullmatch(condition[name][0]):
                    what = f"'{', '.join(condition[name])}' does not fit the clock '{name}'"
                    self.fault(condition, condition.at(name), what, "write one span like 'under 48 h' or 'under 2 d'")
            elif evidence is None:
                known = [*self.plain["evidence"], *COMPUTED, *CLOCKS]
                self.fault(condition, condition.at(name), f"'{name}' is not an evidence", did_you_mean(name, known))
            elif evidence.get("kind") == "food":
                self._known(condition, name, self.plain["foods"], "a food")
            else:
                self._known(condition, name, self._answers(name), f"an answer of '{name}'")

    def _evidence(self, evidence: Entry) -> None:
        answers, kind = evidence.get("answers") or {}, evidence.get("kind")
        if kind in WORD_KINDS and not answers:
            self.fault(evidence, evidence.line, f"evidence of kind '{kind}' needs 'answers'", "nothing could be tapped")
        if kind == "food" and answers:
            self.fault(evidence, evidence.at("answers"), "evidence of kind 'food' has answers", "foods.yaml has them")
        silent = evidence.get("silent") or _NOTHING
        for entry, name in ((evidence, "danger"), (evidence, "in_doubt"), (silent, "answer")):
            self._known(entry, name, answers, "an answer of this evidence")

    def _problem(self, problem: Entry) -> None:
        self._known(problem, "products", self._answers("product"), "an answer of 'product'")
        for cause in problem.get("causes", _NOTHING).values():
            self._known(cause, "fixes", problem.get("fixes") or {}, "a fix of this problem")
            for sign, _ in _numbered(cause, "signs"):
                if "evidence" in sign and "answer" in sign:
                    asked = Entry(sign.file, sign.line)
                    asked.put(sign["evidence"], sign["answer"], sign.at("evidence"))
                    self._condition(asked)


class _Sense(_Pass):
    """Pass 3: what the files say together can be meant."""

    def run(self) -> list[Fault]:
        for name, evidence in self.each("evidence"):
            self._cells(name, evidence)
        for _, problem in self.each("problems"):
            self._causes(problem)
        for section in ("rules", "exceptions"):
            for name, rule in self.each(section):
                self._limits(name, rule)
        self._safety_evidence()
        self._unused_sources()
        self._shared_words()
        return self.faults

    def _cells(self, name: str, evidence: Entry) -> None:
        """Number cells follow one another, so that each number between the first and the last has one answer."""
        answers = [(key, each) for key, each in (evidence.get("answers") or {}).items() if {"from_", "to"} & set(each)]
        if answers and evidence.get("kind") not in (*NUMBER_KINDS, "clock"):
            self.fault(evidence, answers[0][1].line, f"'{name}' has number cells", "its kind takes no numbers")
        answers.sort(key=lambda pair: pair[1].get("from_", -math.inf))
        reached, before = None, ""
        for key, answer in answers:
            begins, ends = answer.get("from_", -math.inf), answer.get("to", math.inf)
            if begins >= ends:
                self.fault(evidence, answer.line, f"the cell of '{key}' is empty", "'from' must be below 'to'")
            if reached is not None and begins < reached:
                self.fault(evidence, answer.line, f"'{before}' and '{key}' overlap", "a number needs one answer")
            if reached is not None and begins > reached:
                self.fault(evidence, answer.line, f"a gap lies between '{before}' and '{key}'", "close it")
            reached, before = ends, key

    def _causes(self, problem: Entry) -> None:
        seen: dict[str, str] = {}
        for key, cause in (problem.get("causes") or {}).items():
            if not cause.get("fixes") and not cause.get("next_time"):
                self.fault(problem, cause.line, f"cause '{key}' has neither fixes nor next_time", "say what to do")
            signs = [(s.get("evidence"), sorted(s.get("answer", ())), s.get("speaks")) for s in cause.get("signs", ())]
            look = repr(sorted(map(repr, (*signs, *(sorted(each.items()) for each in cause.get("applies", ()))))))
            if look in seen:
                todo = "nothing could ever tell them apart: join them, or add a sign"
                self.fault(problem, cause.line, f"causes '{seen[look]}' and '{key}' have the same signs", todo)
            seen.setdefault(look, key)

    def _limits(self, name: str, rule: Entry) -> None:
        leaves = rule.get("leaves") or _NOTHING
        if rule.record == "Rule" and "shelf" in leaves and not _takes_nothing(leaves):
            todo = "what is safe on the shelf although the rule bites belongs under clear_if"
            self.fault(rule, leaves.at("shelf"), f"rule '{name}' is not cleared and leaves the shelf", todo)
        for act in [each for each in ("fridge", "freeze") if each in leaves]:
            if not {"since", "open"} & leaves[act].keys() and not {"warm", "cold"} <= leaves[act].keys():
                todo = "limit 'since' or 'open', or both 'warm' and 'cold': with one of them the other clock never runs out"
                self.fault(rule, leaves.at(act), f"'{name}' leaves {act} without a full limit", todo)

    def _safety_evidence(self) -> None:
        every = self.plain["evidence"]
        rules = [rule for section in ("rules", "exceptions") for _, rule in self.each(section)]
        read = {name for rule in rules for name in _named_in(rule, ("clear_if", "if_"))}
        for name in sorted(read & every.keys()):
            if not every[name].get("safety"):
                todo = "write 'safety: yes', or it would be skipped when questions run short"
                self.fault(every[name], every[name].line, f"'{name}' is read by a safety rule", todo)
        clocks = {clock for rule in rules for limits in rule.get("leaves", {}).values() for clock in limits}
        behind = self._read_behind(read | clocks)
        for name, evidence in self.each("evidence"):
            if evidence.get("safety") and name not in behind:
                todo = "write 'safety: no', or name it in the rule that needs it"
                self.fault(evidence, evidence.at("safety"), f"no safety rule reads '{name}'", todo)

    def _read_behind(self, read: set[str]) -> set[str]:
        """What rules read, what that is worked out from or settled by, and what decides whether it is asked."""
        leads: dict[str, set[str]] = {fact: set(names) for fact, names in BEHIND.items()}
        for name, evidence in self.each("evidence"):
            silent = evidence.get("silent") or _NOTHING
            leads[name] = _named_in(evidence, ("asked_if",)) | _named_in(silent, ("if_", "covered_by"))
        for name, evidence in self.each("evidence"):
            answers = evidence.get("answers", _NOTHING).values()
            for settled in {
                *evidence.get("implies", ()),
                *(other for each in answers for other in each.get("also", ())),
            }:
                leads.setdefault(settled, set()).add(name)
        reached, waiting = set(read), [*read]
        while waiting:
            more = leads.get(waiting.pop(), set()) - reached
            reached |= more
            waiting += more
        return reached

    def _unused_sources(self) -> None:
        cited = [each for entry in _within(self.plain) for each in entry.get("sources", ())]
        used = {each.removesuffix(FROM_MEMORY).partition("#")[0] for each in cited}
        for name, source in self.each("sources"):
            if name not in used:
                self.fault(source, source.line, f"no text points to the source '{name}'", "delete it, or cite it")

    def _shared_words(self) -> None:
        owner: dict[str, str] = {}
        for name, food in self.each("foods"):
            for word, line in _numbered(food, "words"):
                first = owner.setdefault(word.lower(), name)
                if first != name:
                    todo = "keep it with one of them; a longer phrase can go to the other"
                    self.fault(food, line, f"the word '{word}' belongs to '{first}' and to '{name}'", todo)


def _takes_nothing(leaves: Entry) -> bool:
    """A rule that leaves all four acts without a limit: it says how what is thrown out is handled."""
    return len(leaves) == len(ACTS) and all(hours >= NO_LIMIT for limits in leaves.values() for hours in limits.values())


def _named_in(entry: Entry, fields: Iterable[str]) -> set[str]:
    return {name for each in fields for condition, _ in _numbered(entry, each) for name in condition}


def check_links_and_sense(plain: Entry) -> list[Fault]:
    """Faults of pass 2 (links between entries) and pass 3 (sense) over all files."""
    return _Links(plain).run() + _Sense(plain).run()


def check_age(plain: Entry, today: date) -> list[Fault]:
    """Warnings only: old advice is not wrong advice."""
    oldest, todo = (today - timedelta(days=OLD_AFTER_DAYS)).isoformat(), "read it against its sources again"
    return [
        Fault(problem.file, problem.at("reviewed"), f"'{name}' was last reviewed on {problem['reviewed']}", todo)
        for name, problem in plain["problems"].items()
        if problem.get("reviewed", oldest) < oldest
    ]
