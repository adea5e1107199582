"""Moves in every combination, one by one: the long way, against which the way of taking combinations together can be held."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from tests.engine.combinations import At, Moved, allowed, parts, told_at
from tests.engine.reach import reach, speaks
from tests.engine.tellings import facts_of


@cache
def silence_speaks(rule_id: str, at: At, name: str) -> bool:
    """Whether the silence about this evidence means something in this combination."""
    return speaks(name, facts_of(told_at(rule_id, at)))


def moved_one_by_one(rule_id: str, kind: str) -> Iterator[Moved]:
    """Each move of a kind, in every combination of the other parts, with where it leads from and to."""
    allowed.cache_clear()  # of all combinations of a rule there are too many to keep those of another
    silence_speaks.cache_clear()
    for n, part in enumerate(parts(rule_id)):
        moves = list(part.moves[kind].values())
        for rest in rest_of(rule_id, n) if moves else ():
            for move in moves:
                before, after = ((*rest[:n], state, *rest[n + 1 :]) for state in move.states)
                if not move.silent or not silence_speaks(rule_id, before, move.silent):
                    yield Moved(move, before, after)


def rest_of(rule_id: str, moving: int) -> Iterator[At]:
    """Every combination of the other parts, with 0 for the moving one. What matters only in a silence is passed over, and
    does not move, while that silence is broken."""
    every, owners = parts(rule_id), reach(rule_id).heard_in_silence_of
    names = [part.view.names for part in every]
    chosen: list[tuple[At, frozenset[str]]] = [((), frozenset())]
    for n, part in enumerate(every):
        if n == moving:
            chosen = [((*at, 0), quiet) for at, quiet in chosen]
            continue
        later = {name for other in (names[moving], *names[n + 1 :]) for name in other}
        chosen = [
            ((*at, state), quiet | part.seen[state].quiet)
            for at, quiet in chosen
            for state in (range(part.plain) if not owners[n] or owners[n] & (later | quiet) else (0,))
        ]
    heard = owners[moving]
    yield from (at for at, quiet in chosen if not heard or heard & (quiet | set(names[moving])))
