"""Properties 4 and 5: the order of turns about different facts does not matter, and an undone turn leaves nothing behind."""

from __future__ import annotations

from functools import cache
from itertools import combinations, product

from bot.engine.case import REST, SOME, fold
from bot.store import MEMORY, Store
from tests.engine.finding import Finding
from tests.engine.tellings import NOW, knowledge, not_sure, turns_of
from tests.engine.told_apart import read_evidence, sayings

Turns = list[dict[str, object]]


@cache
def uneven_orders() -> Finding:
    """Turns about two pieces of evidence in three orders each: how often, and what it came to otherwise."""
    evidence = knowledge().evidence
    looked_at, uneven = 0, []
    for one, other in combinations(read_evidence(), 2):
        for first, second in product(a_few(one), a_few(other)):
            orders = ([*first, *second], [*second, *first], [*first[:1], *second, *first[1:]])
            beliefs = [fold(turns, evidence).beliefs for turns in orders]
            looked_at += len(orders)
            if not beliefs[0] == beliefs[1] == beliefs[2]:
                uneven.append(f"{first} and {second}")
    return Finding(looked_at, tuple(uneven))


@cache
def a_few(name: str) -> list[Turns]:
    """Turns about one piece of evidence: an answer, "not sure", a change of mind, and answers that set jars apart."""
    said = sayings(name)
    found = [turns_of(each) for each in (said[0].said, not_sure(name).said, (*said[0].said, *said[-1].said))]
    if knowledge().evidence[name].of == "jars":
        some = [said[-1].said[0]._replace(group=SOME).as_dict(), said[0].said[0]._replace(group=REST).as_dict()]
        found.append([{"observations": some, "apart": name}])
        found.append([{"observations": some, "apart": name}, *turns_of(said[0].said)])
    return found


@cache
def left_behind_by_undo() -> Finding:
    """Turns that were stored and undone, last first: how many, and what is left of them."""
    evidence = knowledge().evidence
    first = turns_of(not_sure("sealed").said)
    expected = fold(first, evidence)._replace(last_at=NOW.isoformat())
    store = Store(MEMORY)
    looked_at, left = 0, []
    try:
        for n, name in enumerate(read_evidence()):
            for m, turns in enumerate(a_few(name)):
                chat = f"{n} {m}"
                with store.turn(chat):
                    before = [store.append(chat, 1, NOW.isoformat(), turn) for turn in first]
                    undone = [store.append(chat, 1, NOW.isoformat(), turn) for turn in turns]
                    for turn in reversed(undone):
                        store.mark_undone(chat, turn)
                looked_at += len(undone)
                stored = store.load(chat)
                if [turn["turn_id"] for turn in stored] != before or fold(stored, evidence) != expected:
                    left.append(f"after {turns}: {stored}")
    finally:
        store.close()
    return Finding(looked_at, tuple(left))
