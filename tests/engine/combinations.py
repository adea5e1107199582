"""Every combination of what can be told of a rule, and the moves between them.

Nothing is drawn by chance. For each rule, the evidence it reads is found, silences and implied answers included; answers that
make no difference to any line of the rule are taken together; and the rule is looked at for every combination that is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product

from bot.engine.facts import YES
from bot.engine.knowledge import ACTS
from bot.engine.safety import look
from tests.engine.moves import doubts, implied, not_meant, open_tellings, worse
from tests.engine.reach import View, only_implies, reach, speaks
from tests.engine.sight import Seen, beside, may_speak, seen_by
from tests.engine.tellings import Combination, Telling, facts_of, knowledge
from tests.engine.told_apart import tellings

DOUBT, DANGER, SETTLED = "not sure", "danger", "settled"  # kinds of moves
At = tuple[int, ...]  # which state each part is in


@dataclass(frozen=True)
class Move:
    """One change of what was told in one part, from one of its states to another."""

    before: Combination
    after: Combination
    states: tuple[int, int]
    silent: str = ""  # what was silent before, if the move settles it and that silence may speak

    @property
    def name(self) -> str:
        """The evidence that is told otherwise."""
        return next(was.name for was, now in zip(self.before, self.after, strict=True) if was is not now)


class Part:
    """The combinations of one part of what a rule reads: one each of those it can tell apart, and the moves between them."""

    def __init__(self, view: View) -> None:
        self.view, names = view, view.names
        self.looked_at = 0
        self._sights: dict[Combination, int] = {}
        self._found: dict[Seen, int] = {}
        self.states: list[Combination] = []
        self.seen: list[Seen] = []
        self.moves: dict[str, dict[object, Move]] = {DOUBT: {}, DANGER: {}, SETTLED: {}}
        every = [tellings(view, name) for name in names]
        for told in self._all(every):
            self.state_of(told)
        self.plain = len(self.states)  # those that the other parts are combined with; open facts add more
        for told in self._all(every):
            for n, telling in enumerate(told):
                for kind, changed in ((DOUBT, doubts(telling)), (DANGER, worse(view, telling))):
                    for each in changed:
                        self._move(kind, told, (*told[:n], each, *told[n + 1 :]))
        for n, name in enumerate(names):
            for others in self._all([*every[:n], *every[n + 1 :]]):
                self._settle(name, others[:n], others[n:])
        self.every = tuple(self._sights)  # all that was looked at, before what looks alike was taken together
        self.in_all = len(self.states)  # the proof of the deadlines asks for the states of other times later on

    def _all(self, every: Sequence[Sequence[Telling]]) -> Iterator[Combination]:
        """All combinations; but what does no more than imply another answer is passed over while that one is told anyway."""
        implying = {name: frozenset(knowledge().evidence[name].implies) for name in self.view.names if only_implies(self.view, name)}
        for told in product(*every):
            heard = {each.name for each in told if each.said}
            if not any(each.said and each.name in implying and implying[each.name] <= heard for each in told):
                yield told

    def _settle(self, name: str, left: Combination, right: Combination) -> None:
        for telling, answers in open_tellings(self.view, name):
            before, quiet = (*left, telling, *right), name if may_speak([telling]) else ""
            settled = not telling.said and implied(name, (*left, *right))
            if settled or (quiet and speaks(name, facts_of((*beside(self.view), *before)))):
                continue
            unmeant = frozenset() if telling.said else not_meant(name, (*left, *right))
            for each in [one for one in answers if not unmeant & set(one.said[0].answers)]:
                self._move(SETTLED, before, (*left, each, *right), quiet)

    def state_of(self, told: Combination) -> int:
        """The number of the state that stands for what was told."""
        at = self._sights.get(told)
        if at is None:
            self.looked_at += 1
            seen = seen_by(self.view, told)
            at = self._sights[told] = self._found.setdefault(seen, len(self.states))
            if at == len(self.states):
                self.states.append(told)
                self.seen.append(seen)
        return at

    def _move(self, kind: str, before: Combination, after: Combination, silent: str = "") -> None:
        states = self.state_of(before), self.state_of(after)
        if states[0] != states[1]:
            self.moves[kind].setdefault((states, silent), Move(before, after, states, silent))


@dataclass(frozen=True)
class Moved:
    """A move among all that else was told: which state each part is in before and after. It may stand for `count` such moves."""

    move: Move
    before: At
    after: At
    count: int = 1


@cache
def parts(rule_id: str) -> tuple[Part, ...]:
    return tuple(_part(view) for view in reach(rule_id).parts)


@cache
def _part(view: View) -> Part:
    return Part(view)  # rules that make the same of the same evidence share it


@dataclass(frozen=True)
class Allowed:
    """What is made of one combination: whether it is cleared, and the acts left."""

    clear: int
    acts: tuple[int, ...]

    def opens(self, other: Allowed) -> bool:
        """Whether something is certain in the other that was not here."""
        pairs = zip((self.clear, *self.acts), (other.clear, *other.acts), strict=True)
        return any(now == YES != was for was, now in pairs)


def told_at(rule_id: str, at: At) -> Combination:
    """What is told in a combination of states."""
    found: Combination = ()
    for part, state in zip(parts(rule_id), at, strict=True):
        found += (*beside(part.view), *part.states[state])
    return found


@cache
def allowed(rule_id: str, at: At) -> Allowed:
    state = look(knowledge().rules[rule_id], facts_of(told_at(rule_id, at)))
    return Allowed(state.clear, tuple(state.acts[act] for act in ACTS))


def words_for(rule_id: str, move: Move, at: At) -> str:
    """The move and what else was told, for a person to read."""
    rest = [telling for telling in told_at(rule_id, at) if telling.name not in {each.name for each in move.before}]
    return f"{_changed(move.before, move.after)}, with {_said([*_same(move), *rest])}"


def _changed(before: Combination, after: Combination) -> str:
    return "; ".join(f"{was} -> {_value(now)}" for was, now in zip(before, after, strict=True) if was is not now)


def _same(move: Move) -> list[Telling]:
    return [was for was, now in zip(move.before, move.after, strict=True) if was is now]


def _value(told: Telling) -> str:
    return str(told).partition(": ")[2]


def _said(told: Sequence[Telling]) -> str:
    return "; ".join(str(each) for each in told if each.said) or "nothing"
