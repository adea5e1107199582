"""A case is a fold over turns: what was said, what was asked, what was taken back. A correction supersedes, never erases.

Turns are plain mappings (they are stored as JSON); `fold` is the only place that turns them into a `Case`.
"""

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from bot.engine.knowledge import Evidence

ALL = ""  # the group of jars when all are alike; otherwise "some" (the ones asked about) and "rest"
SOME, REST = "some", "rest"
TICKS = ("several", "food")  # kinds of evidence of which more than one answer can be true together


class Observation(NamedTuple):
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
        return {name: value for name, value in zip(self._fields, self, strict=True) if name == "evidence" or value != _DEFAULTS[name]}


_DEFAULTS = Observation._field_defaults


def observation(plain: Mapping[str, Any]) -> Observation:
    """The observation that `as_dict` wrote down."""
    values = dict(plain)
    values["answers"] = tuple(values.get("answers", ()))
    return Observation(**values)


class Belief(NamedTuple):
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


class Case(NamedTuple):
    """Everything the turns of one batch add up to."""

    beliefs: Mapping[tuple[str, str], Belief] = {}
    problems: tuple[str, ...] = ()
    groups: tuple[str, ...] = (ALL,)
    some: int | None = None
    whole: int | None = None
    apart: str = ""  # the evidence in which the groups differ
    set_apart: frozenset[str] = frozenset()  # all evidence in which they were ever said to differ
    asked: frozenset[tuple[str, str]] = frozenset()
    asked_again: frozenset[tuple[str, str]] = frozenset()  # asked twice: not a third time
    question: tuple[str, str] | None = None  # the one still open
    choices: tuple[str, ...] = ()  # problems offered by the last clarify reply
    unread: bool = False  # the last answer to the open question could not be understood
    questions_asked: int = 0
    refused: frozenset[str] = frozenset()  # groups of jars that were to be thrown out
    softened: bool = False  # something told before was changed after that
    turns: int = 0
    last_at: str = ""

    def belief(self, evidence: str, group: str = ALL) -> Belief | None:
        found = self.beliefs.get((evidence, group))
        return found if found is not None or group == ALL else self.beliefs.get((evidence, ALL))


def settle(belief: Belief | None, seen: Observation, evidence: Evidence) -> Belief:
    """The belief after one more observation. Vagueness and contradiction widen it; only a replacement narrows against it."""
    if belief is not None and not seen.corrects and _stands(belief, seen, evidence):
        return belief
    old = Belief() if belief is None or seen.replaces else belief
    if seen.cant_say:
        return old._replace(cant_say=True, possible=None, lo=None, hi=None, complete=False, certain=False)
    if evidence.kind in TICKS:
        return _tick(old, seen)
    if old.cant_say:
        old = Belief()
    told = old.lo is not None and old.certain  # a doubtful figure only widens a certain one
    if seen.lo is not None:
        old = _number(old, seen)
    if not seen.answers:
        return old._replace(text=seen.text or old.text, certain=seen.certain or (told and old.certain))
    answers = frozenset(seen.answers)
    every = frozenset(evidence.answers)
    if seen.denied and not seen.certain:  # "I don't think it lost half": rules nothing out, and it is silent no longer
        return old if old.said else old._replace(possible=every, certain=False)
    if seen.denied:
        left = (old.possible if old.possible is not None else every) - answers
        return old._replace(possible=left or every, contradicted=old.contradicted or not left)
    if seen.certain and answers <= frozenset(evidence.danger):
        # what went wrong since counts now; of two dangers neither takes the other back
        grave = frozenset(evidence.danger) | frozenset(evidence.stands)
        gone_against = old.possible is not None and old.certain and (old.possible <= grave or not old.possible & answers)
        stays = old.possible & grave if old.possible is not None and gone_against else frozenset[str]()
        return old._replace(possible=answers | stays, certain=True, text=seen.text or old.text)
    if old.possible is None or not old.certain:
        possible, contradicted = answers, old.contradicted
    elif old.possible & answers:
        possible, contradicted = old.possible & answers, old.contradicted
    elif seen.lo is not None and old.contradicted:
        possible, contradicted = old.possible | answers, True
    else:
        possible, contradicted = old.possible | answers, True
    certain = seen.certain or (old.certain and old.possible == possible)
    return old._replace(possible=possible, certain=certain, contradicted=contradicted, text=seen.text or old.text)


def _stands(belief: Belief, seen: Observation, evidence: Evidence) -> bool:
    """Once unsealed stays unsealed, however the lid looks later: such an answer goes only by undo or a plain correction."""
    standing = frozenset(evidence.stands)
    # what is left over when one answer was denied is no answer that was told
    held = belief.possible is not None and belief.certain and belief.possible <= standing and len(belief.possible) < max(2, len(standing))
    return held and not (frozenset(seen.answers) & standing and not seen.denied)


def _tick(old: Belief, seen: Observation) -> Belief:
    answers = frozenset(seen.answers)
    if seen.denied and not seen.certain:  # "I don't think I cut the sugar": rules nothing out, and it is silent no longer
        return old if old.present or old.complete else old._replace(certain=False)
    if seen.denied and seen.corrects:  # "sorry, it is not bulging": whoever takes back a danger is asked how it is known
        return old._replace(absent=old.absent | answers, present=old.present - answers, complete=False)
    if seen.denied:
        return old._replace(absent=(old.absent | answers) - old.present)
    if "none" in answers and not seen.certain:
        return old._replace(complete=False, certain=False)
    if "none" in answers:
        return old._replace(complete=True, cant_say=False, certain=True, contradicted=bool(old.present), text=seen.text)
    if not seen.certain:
        return old._replace(complete=False, certain=False, absent=old.absent - answers)
    return old._replace(
        present=old.present | answers,
        absent=old.absent - answers,
        complete=old.complete or seen.complete,
        certain=True,
        cant_say=False,
        text=seen.text or old.text,
    )


def _number(old: Belief, seen: Observation) -> Belief:
    assert seen.lo is not None and seen.hi is not None
    if old.lo is None or old.hi is None or not old.certain:
        return old._replace(lo=seen.lo, hi=seen.hi, approx=seen.approx)
    lo, hi = max(old.lo, seen.lo), min(old.hi, seen.hi)
    if lo <= hi and seen.certain:  # the second reading is inside the first: a refinement
        return old._replace(lo=lo, hi=hi, approx=seen.approx and old.approx)
    return old._replace(lo=min(old.lo, seen.lo), hi=max(old.hi, seen.hi), contradicted=True)


def fold(turns: Iterable[Mapping[str, Any]], evidence: Mapping[str, Evidence], before: Case | None = None) -> Case:
    """The case that the turns add up to, in the order they happened; undone turns must have been left out. `before`: the case they go on.

    Raises KeyError for an observation of evidence that no longer exists: a renamed id needs a migration, never a shrug.
    """
    case = before or Case()
    beliefs: dict[tuple[str, str], Belief] = dict(case.beliefs)
    softened = case.softened
    for turn in turns:
        set_apart = case.set_apart | ({turn["apart"]} if turn.get("apart") else frozenset())
        for plain in turn.get("observations", ()):
            seen = observation(plain)
            key = (seen.evidence, seen.group)
            if seen.group == SOME or seen.group == REST:
                old = beliefs.get(key, beliefs.get((seen.evidence, ALL)))
            else:
                old = beliefs.get(key)
            beliefs[key] = settle(old, seen, evidence[seen.evidence])
            softened = softened or (bool(case.refused) and _changed(old, beliefs[key]))
            if seen.group == ALL:  # said of all jars: the groups are meant as well
                for group in (SOME, REST):
                    if (seen.evidence, group) in beliefs and seen.evidence not in set_apart:
                        beliefs[seen.evidence, group] = settle(beliefs[seen.evidence, group], seen, evidence[seen.evidence])
        case = _carry(case, turn)
    return case._replace(beliefs=beliefs, softened=softened)


def _changed(before: Belief | None, after: Belief) -> bool:
    """Whether something that had been told now reads differently; a first answer changes nothing."""
    if before is None or not before.said:
        return False
    return (before.possible, before.present, before.lo, before.hi) != (after.possible, after.present, after.lo, after.hi)


def _carry(case: Case, turn: Mapping[str, Any]) -> Case:
    if turn.get("beside"):  # a timer, a reading of a log: what it tells counts, and the story stays where it was
        return case
    problems = case.problems
    if turn.get("drop_problems"):
        problems = ()
    for problem in turn.get("problems", ()):
        if problem not in problems:
            problems += (problem,)
    asked = turn.get("asked")
    question = (asked[0], asked[1]) if asked else None
    return case._replace(
        problems=problems,
        groups=(SOME, REST) if turn.get("apart") or case.apart else case.groups,
        some=turn.get("some", case.some),
        whole=turn.get("whole", case.whole),
        apart=turn.get("apart", case.apart),
        set_apart=case.set_apart | ({turn["apart"]} if turn.get("apart") else frozenset[str]()),
        asked_again=case.asked_again | ({question} & case.asked if question and not turn.get("aside") else frozenset()),
        asked=case.asked | ({question} if question else frozenset()),
        question=question if not turn.get("aside") else case.question,
        choices=tuple(turn.get("choices", ())),
        unread=bool(turn.get("unread")),
        questions_asked=case.questions_asked + (1 if question and not turn.get("aside") else 0),
        refused=case.refused | frozenset(turn.get("refused", ())),
        turns=case.turns + 1,
        last_at=turn.get("at", case.last_at),
    )
