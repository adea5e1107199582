"""What can be said about one piece of evidence, and the facts that several such tellings add up to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache

from bot.engine.case import ALL, Belief, Case, Observation, fold
from bot.engine.facts import HOUR, Facts
from bot.engine.knowledge import Knowledge, Rule
from bot.engine.published import with_tables
from bot.library import load

NOW = datetime(2026, 7, 14, 15, tzinfo=UTC)
MINUTE = 1 / 60  # hours
CLOCK, PLACE, WARM = "hours-since-process", "storage", "warm-before-cold"


@dataclass(frozen=True, eq=False)
class Telling:
    """What turns say about one piece of evidence. Two are the same only if they are one: they are looked up many times."""

    name: str
    said: tuple[Observation, ...] = ()

    @property
    def answered(self) -> bool:
        return any(not seen.cant_say for seen in self.said)

    def __str__(self) -> str:
        return f"{self.name}: " + (", then ".join(_words(seen) for seen in self.said) or "silent")


Combination = tuple[Telling, ...]


def _words(seen: Observation) -> str:
    doubt = "" if seen.certain else "perhaps "
    if seen.cant_say:
        return "not sure"
    if seen.lo is not None and seen.hi is not None:
        clock = knowledge().evidence[seen.evidence].kind == "clock"
        lo, hi = ((NOW.timestamp() - at) / HOUR for at in (seen.hi, seen.lo)) if clock else (seen.lo, seen.hi)
        return f"{doubt}{'about ' if seen.approx else ''}{lo:.7g}" + (f" to {hi:.7g}" if hi != lo else "")
    return doubt + ("not " if seen.denied else "") + "/".join(seen.answers) + (" and no more" if seen.complete else "")


def described(told: Iterable[Telling]) -> str:
    """The tellings in words, without those that are silent."""
    return "; ".join(str(each) for each in told if each.said) or "nothing"


@cache
def knowledge() -> Knowledge:
    return with_tables(load())


def rules() -> list[Rule]:
    return list(knowledge().rules.values())


def turns_of(said: Sequence[Observation]) -> list[dict[str, object]]:
    return [{"observations": [seen.as_dict()]} for seen in said]


@cache
def belief_of(telling: Telling) -> Belief | None:
    return fold(turns_of(telling.said), knowledge().evidence).beliefs.get((telling.name, ALL))


def facts_of(told: Iterable[Telling], known: Knowledge | None = None) -> Facts:
    beliefs = {(each.name, ALL): belief for each in told if (belief := belief_of(each)) is not None}
    return Facts(known or knowledge(), Case(beliefs=beliefs), NOW)


@cache
def silent(name: str) -> Telling:
    return Telling(name)


@cache
def not_sure(name: str) -> Telling:
    return Telling(name, (Observation(name, cant_say=True),))


@cache
def then(one: Telling, other: Telling) -> Telling:
    return Telling(one.name, (*one.said, *other.said))


@cache
def doubtful(told: Telling) -> Telling:
    """The same, told as "I think" or "perhaps"."""
    return Telling(told.name, tuple(seen._replace(certain=False) for seen in told.said))


@cache
def answer(name: str, *answers: str, denied: bool = False, complete: bool = False) -> Telling:
    return Telling(name, (Observation(name, answers, denied=denied, complete=complete),))


@cache
def number(name: str, lo: float, hi: float | None = None, approx: bool = False) -> Telling:
    return Telling(name, (Observation(name, lo=lo, hi=lo if hi is None else hi, approx=approx),))


def hours_ago(shortest: float, longest: float | None = None, name: str = CLOCK) -> Telling:
    """A time told of a clock; the heat is what is timed unless something else is named."""
    at = NOW.timestamp()
    return number(name, at - (shortest if longest is None else longest) * HOUR, at - shortest * HOUR)
