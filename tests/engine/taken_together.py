"""Moves in every combination, with what comes to the same for a rule taken together, and counted.

The parts of a rule are gone through one after the other. Of all that was told so far only so much is kept as the rule makes of
it: how each of its conditions holds, the best of those that are complete, and which acts are in time. What agrees in that
cannot be told apart by anything told after it, so one stands for all; the rule itself is then looked at for each that is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

from bot.engine.facts import YES
from bot.engine.knowledge import Condition
from tests.engine.combinations import At, Move, Moved, Part, parts
from tests.engine.reach import Limit, leaves_of, real_limits, softening
from tests.engine.sight import Sight
from tests.engine.tellings import knowledge

Standing = tuple[int, ...]  # of each condition, of the best of each group of conditions, of each act


class Rulebook:
    """One rule as conditions in groups of which the best counts (its own, those of each exception, those of each silence), and
    as acts with limits."""

    def __init__(self, rule_id: str) -> None:
        rule, evidence = knowledge().rules[rule_id], knowledge().evidence
        self.parts = parts(rule_id)
        names = [name for part in self.parts for name in part.view.names]
        silences = {name: silent for name in names if (silent := evidence[name].silent) is not None}
        self.groups: list[tuple[str, Sequence[Condition]]] = [("", rule.clear_if), *(("", each.if_) for each in softening(rule))]
        self.groups += [(name, [*silent.if_, *silent.covered_by]) for name, silent in silences.items()]
        self.conditions = [(n, condition) for n, (_, conditions) in enumerate(self.groups) for condition in conditions]
        self.limits = [tuple(sorted(real_limits(limits))) for acts in leaves_of(rule) for limits in acts.values()]
        self.order = self._order()
        self._known: dict[tuple[Standing, int, int], Standing] = {}
        self._weights: dict[tuple[int, Sight], Standing] = {}
        self._complete = [self._last_of(condition) for _, condition in self.conditions]

    @property
    def start(self) -> Standing:
        return (*(YES for _ in self.conditions), *(-1 for _ in self.groups), *(YES for _ in self.limits))

    def _order(self) -> list[int]:
        """The parts, each after those that its silences hang on."""
        left, found = list(range(len(self.parts))), list[int]()
        while left:
            free = [n for n in left if not any(self._hangs_on(n, other) for other in left if other != n)]
            if not free:
                raise ValueError("silences that hang on one another: this way of counting does not fit them")
            found += free
            left = [n for n in left if n not in free]
        return found

    def _hangs_on(self, n: int, other: int) -> bool:
        mine = [conditions for name, conditions in self.groups if name in self.parts[n].view.names]
        read = {line for conditions in mine for condition in conditions for line in condition.items()}
        return bool(read & set(self.parts[other].view.lines))

    def _last_of(self, condition: Condition) -> int:
        """The place in the order after which a condition is complete."""
        reads = [n for n in self.order if set(condition.items()) & set(self.parts[n].view.lines)]
        return self.order.index(reads[-1]) if reads else 0

    def heard(self, standing: Standing, n: int, state: int) -> frozenset[str]:
        """Which silences of a part speak, with all that was told before it."""
        seen = self.parts[n].seen[state]
        heard = frozenset[str]()
        while True:
            weight = self._weight(n, seen.while_speaking(heard))
            more = {
                self.groups[group][0]
                for at, (group, _) in enumerate(self.conditions)
                if min(standing[at], weight[at]) == YES and self.groups[group][0] in seen.quiet
            }
            if more <= heard:
                return heard
            heard |= more

    def add(self, standing: Standing, n: int, state: int) -> Standing:
        """What is made of all that was told with one part more."""
        key = (standing, n, state)
        found = self._known.get(key)
        if found is None:
            sight = self.parts[n].seen[state].while_speaking(self.heard(standing, n, state))
            found = self._known[key] = self._collapse(tuple(map(min, standing, self._weight(n, sight))), self.order.index(n))
        return found

    def _weight(self, n: int, sight: Sight) -> Standing:
        found = self._weights.get((n, sight))
        if found is None:
            lines = dict(zip(self.parts[n].view.lines, sight[0], strict=True))
            in_time = dict(zip(self.parts[n].view.limits, sight[1], strict=True))
            clocks = {clock for limits in in_time for clock, _ in limits}
            mine = [min((lines[line] for line in condition.items() if line in lines), default=YES) for _, condition in self.conditions]
            kept = [in_time.get(self._of_these(limits, clocks), YES) for limits in self.limits]
            found = self._weights[n, sight] = (*mine, *(YES for _ in self.groups), *kept)
        return found

    def _of_these(self, limits: tuple[Limit, ...], clocks: set[str]) -> tuple[Limit, ...]:
        return tuple(limit for limit in limits if limit[0] in clocks)

    def _collapse(self, standing: Standing, place: int) -> Standing:
        """Conditions that are complete go into the best of their group; of a silence that is past, nothing need be kept."""
        values = list(standing)
        first_group = len(self.conditions)
        later = {name for n in self.order[place + 1 :] for name in self.parts[n].view.names}
        for at, (group, _) in enumerate(self.conditions):
            owner = self.groups[group][0]
            if owner and owner not in later:
                values[at] = YES
            elif not owner and self._complete[at] == place:
                values[first_group + group] = max(values[first_group + group], values[at])
                values[at] = YES
        return tuple(values)


@cache
def rulebook(rule_id: str) -> Rulebook:
    return Rulebook(rule_id)


@cache
def moved_together(rule_id: str, kind: str) -> tuple[Moved, ...]:
    """Each move of a kind in every combination of the other parts, one for all that come to the same."""
    moves = [list(part.moves[kind].values()) for part in parts(rule_id)]
    return tuple(fold(rulebook(rule_id), moves))


def fold(book: Rulebook, moves: Sequence[Sequence[Move]]) -> Iterator[Moved]:
    """The moves of each part in every combination of the other parts."""
    still: dict[Standing, tuple[At, int]] = {book.start: ((), 1)}
    moving: dict[tuple[Standing, Standing], Moved] = {}
    for n in book.order:
        part = book.parts[n]
        found: dict[tuple[Standing, Standing], Moved] = {}
        for (before, after), one in moving.items():
            for state in range(part.plain):
                key = (book.add(before, n, state), book.add(after, n, state))
                _count(found, key, Moved(one.move, (*one.before, state), (*one.after, state), one.count))
        for standing, (at, count) in still.items():
            for move in moves[n]:
                if not move.silent or move.silent not in book.heard(standing, n, move.states[0]):
                    key = (book.add(standing, n, move.states[0]), book.add(standing, n, move.states[1]))
                    _count(found, key, Moved(move, (*at, move.states[0]), (*at, move.states[1]), count))
        still = _stay(book, still, n, part)
        moving = found
    for one in moving.values():
        yield Moved(one.move, _in_place(book, one.before), _in_place(book, one.after), one.count)


def _stay(book: Rulebook, still: dict[Standing, tuple[At, int]], n: int, part: Part) -> dict[Standing, tuple[At, int]]:
    found: dict[Standing, tuple[At, int]] = {}
    for standing, (at, count) in still.items():
        for state in range(part.plain):
            key = book.add(standing, n, state)
            first, so_far = found.get(key, ((*at, state), 0))
            found[key] = (first, so_far + count)
    return found


def _count(found: dict[tuple[Standing, Standing], Moved], key: tuple[Standing, Standing], one: Moved) -> None:
    known = found.get(key)
    found[key] = one if known is None else Moved(known.move, known.before, known.after, known.count + one.count)


def _in_place(book: Rulebook, at: At) -> At:
    """States in the order of the parts of the rule."""
    placed = dict(zip(book.order, at, strict=True))
    return tuple(placed[n] for n in range(len(placed)))
