"""A case is a fold over turns: what was said, what was asked, what was taken back. A correction supersedes, never erases.

Turns are plain mappings (they are stored as JSON); `fold` is the only place that turns them into a `Case`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from bot.engine.knowledge import Evidence

ALL = ""  # the group of jars when all are alike; otherwise "some" (the ones asked about) and "rest"
SOME, REST = "some", "rest"
TICKS = ("several", "food")  # kinds of evidence of which more than one answer can be true together


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing a message says about one piece of evidence.

    `answers` are the answers it leaves possible (or, for kinds in TICKS, the ones it ticks); with `denied` they are ruled
    out. Numbers carry `lo` and `hi` in the unit of the evidence's kind; clocks carry them as POSIX seconds.
    """

    evidence: str
    answers: tuple[str, ...] = ()
    group: str = ALL
    certain: bool = True
    denied: bool = False
    lo: float | None = None
    hi: float | None = None
    approx: bool = False
    cant_say: bool = False
    replaces: bool = False
    corrects: bool = False  # a correction in words ("sorry, I meant"): takes back even what otherwise stands
    complete: bool = False  # of TICKS: nothing else is to be ticked
    text: str = ""

    def as_dict(self) -> dict[str, Any]:
        plain = {name: getattr(self, name) for name in self.__slots__}
        return {name: value for name, value in plain.items() if value != _DEFAULTS.get(name, object())}


_DEFAULTS: dict[str, Any] = {
    "answers": (), "group": ALL, "certain": True, "denied": False, "lo": None, "hi": None,
    "approx": False, "cant_say": False, "replaces": False, "corrects": False, "complete": False, "text": "",
}  # fmt: skip


def observation(plain: Mapping[str, Any]) -> Observation:
    """The observation that `as_dict` wrote down."""
    values = dict(plain)
    values["answers"] = tuple(values.get("answers", ()))
    return Observation(**values)


@dataclass(frozen=True, slots=True)
class Belief:
    """What all turns together say about one piece of evidence, for one group of jars."""

    possible: frozenset[str] | None = None
    present: frozenset[str] = frozenset()
    absent: frozenset[str] = frozenset()
    complete: bool = False
    lo: float | None = None
    hi: float | None = None
    approx: bool = False
    certain: bool = True
    cant_say: bool = False
    contradicted: bool = False
    text: str = ""

    @property
    def said(self) -> bool:
        return self.possible is not None or bool(self.present) or self.complete or self.lo is not None


@dataclass(frozen=True, slots=True)
class Case:
    """Everything the turns of one batch add up to."""

    beliefs: Mapping[tuple[str, str], Belief] = field(default_factory=dict)
    problems: tuple[str, ...] = ()
    groups: tuple[str, ...] = (ALL,)
    some: int | None = None
    whole: int | None = None
    apart: str = ""  # the evidence in which the groups differ
    asked: frozenset[tuple[str, str]] = frozenset()
    asked_again: frozenset[tuple[str, str]] = frozenset()  # asked twice: not a third time
    question: tuple[str, str] | None = None  # the one still open
    choices: tuple[str, ...] = ()  # problems offered by the last clarify reply
    unread: bool = False  # the last answer to the open question could not be understood
    questions_asked: int = 0
    refused: str = ""  # the harshest outcome told so far
    softened: bool = False  # something was taken back after that
    turns: int = 0
    last_at: str = ""

    def belief(self, evidence: str, group: str = ALL) -> Belief | None:
        found = self.beliefs.get((evidence, group))
        return found if found is not None else self.beliefs.get((evidence, ALL))


def settle(belief: Belief | None, seen: Observation, evidence: Evidence) -> Belief:
    """The belief after one more observation. Vagueness and contradiction widen it; only a replacement narrows against it."""
    if belief is not None and not seen.corrects and _stands(belief, seen, evidence):
        return belief
    old = Belief() if belief is None or seen.replaces else belief
    if seen.cant_say:
        return replace(old, cant_say=True, possible=None, lo=None, hi=None, certain=False)
    if evidence.kind in TICKS:
        return _tick(old, seen)
    if old.cant_say:
        old = Belief()
    if seen.lo is not None:
        old = _number(old, seen)
    if not seen.answers:
        return replace(old, text=seen.text or old.text)
    answers = frozenset(seen.answers)
    every = frozenset(evidence.answers)
    if seen.denied:
        left = (old.possible if old.possible is not None else every) - answers
        return replace(old, possible=left or every, contradicted=old.contradicted or not left)
    if old.possible is None or not old.certain:
        possible, contradicted = answers, old.contradicted
    elif old.possible & answers:
        possible, contradicted = old.possible & answers, old.contradicted
    elif seen.lo is not None and old.contradicted:
        possible, contradicted = old.possible | answers, True
    else:
        possible, contradicted = old.possible | answers, True
    certain = seen.certain or (old.certain and old.possible == possible)
    return replace(old, possible=possible, certain=certain, contradicted=contradicted, text=seen.text or old.text)


def _stands(belief: Belief, seen: Observation, evidence: Evidence) -> bool:
    """Once unsealed stays unsealed, however the lid looks later: such an answer goes only by undo or a plain correction."""
    standing = frozenset(evidence.stands)
    held = belief.possible is not None and belief.certain and belief.possible <= standing
    return held and not (frozenset(seen.answers) & standing and not seen.denied)


def _tick(old: Belief, seen: Observation) -> Belief:
    answers = frozenset(seen.answers)
    if seen.denied:
        return replace(old, absent=(old.absent | answers) - old.present)
    if "none" in answers:
        return replace(old, complete=True, cant_say=False, contradicted=bool(old.present), text=seen.text)
    if not seen.certain:
        return replace(old, complete=False, certain=False, absent=old.absent - answers)
    return replace(
        old,
        present=old.present | answers,
        absent=old.absent - answers,
        complete=old.complete or seen.complete,
        certain=True,
        cant_say=False,
        text=seen.text or old.text,
    )


def _number(old: Belief, seen: Observation) -> Belief:
    assert seen.lo is not None and seen.hi is not None
    if old.lo is None or old.hi is None:
        return replace(old, lo=seen.lo, hi=seen.hi, approx=seen.approx)
    lo, hi = max(old.lo, seen.lo), min(old.hi, seen.hi)
    if lo <= hi:  # the second reading is inside the first: a refinement
        return replace(old, lo=lo, hi=hi, approx=seen.approx and old.approx)
    return replace(old, lo=min(old.lo, seen.lo), hi=max(old.hi, seen.hi), contradicted=True)


SEVERITY = {"discard": 1, "discard-hazard": 2}


def fold(turns: Iterable[Mapping[str, Any]], evidence: Mapping[str, Evidence]) -> Case:
    """The case that the turns add up to, in the order they happened; undone turns must have been left out.

    Raises KeyError for an observation of evidence that no longer exists: a renamed id needs a migration, never a shrug.
    """
    beliefs: dict[tuple[str, str], Belief] = {}
    case = Case()
    for turn in turns:
        for plain in turn.get("observations", ()):
            seen = observation(plain)
            key = (seen.evidence, seen.group)
            if seen.group == SOME or seen.group == REST:
                before = beliefs.get(key, beliefs.get((seen.evidence, ALL)))
            else:
                before = beliefs.get(key)
            beliefs[key] = settle(before, seen, evidence[seen.evidence])
            if seen.group == ALL:  # said of all jars: the groups are meant as well
                for group in (SOME, REST):
                    if (seen.evidence, group) in beliefs and seen.evidence != turn.get("apart", case.apart):
                        beliefs[seen.evidence, group] = settle(beliefs[seen.evidence, group], seen, evidence[seen.evidence])
        case = _carry(case, turn)
    return replace(case, beliefs=beliefs)


def _carry(case: Case, turn: Mapping[str, Any]) -> Case:
    problems = case.problems
    if turn.get("drop_problems"):
        problems = ()
    for problem in turn.get("problems", ()):
        if problem not in problems:
            problems += (problem,)
    asked = turn.get("asked")
    question = (asked[0], asked[1]) if asked else None
    told = turn.get("told", "")
    refused = told if SEVERITY.get(told, 0) > SEVERITY.get(case.refused, 0) else case.refused
    taken_back = bool(case.refused) and any(o.get("replaces") for o in turn.get("observations", ()))
    return replace(
        case,
        problems=problems,
        groups=(SOME, REST) if turn.get("apart") or case.apart else case.groups,
        some=turn.get("some", case.some),
        whole=turn.get("whole", case.whole),
        apart=turn.get("apart", case.apart),
        asked_again=case.asked_again | ({question} & case.asked if question else frozenset()),
        asked=case.asked | ({question} if question else frozenset()),
        question=question if not turn.get("aside") else case.question,
        choices=tuple(turn.get("choices", ())),
        unread=bool(turn.get("unread")),
        questions_asked=case.questions_asked + (1 if question and not turn.get("aside") else 0),
        refused=refused,
        softened=case.softened or taken_back,
        turns=case.turns + 1,
        last_at=turn.get("at", case.last_at),
    )
