"""How long ago, and how long where: hours on the clocks that safety limits are read against, shortest and longest possible.

Differences of aware moments are elapsed time only when both are taken in UTC, so everything here counts POSIX seconds: a
night in which the clocks change has the hours it has.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bot.engine.facts import Facts

HOUR = 3600.0
FOREVER = 1e9  # hours
Span = tuple[float, float]
_WARM_FOR: dict[str, Span] = {"under-2h": (0.0, 2.0 - 1e-9), "under-24h": (2.0, 24.0 - 1e-9), "longer": (24.0, FOREVER)}


def hours_on(facts: Facts, clock: str) -> Span:
    """Hours on `since` (the heat ended), `warm`, `cold` (where the jar stood) or `open` (it was opened)."""
    if clock == "open":
        return _since(facts, "opened-when")
    since = _since(facts, "hours-since-process")
    if clock == "since":
        return since
    warm = _warm(facts, since)
    if clock == "cold" and facts.possible("storage") in ({"freezer"}, {"room"}):
        return 0.0, 0.0  # it was never in the fridge, and frozen food stands still
    # the longest it can have been cold counts from the heat: a jar that stood warm for longer keeps no longer for it
    return warm if clock == "warm" else (max(0.0, since[0] - warm[1]), since[1])


def moment_of(facts: Facts, evidence: str) -> tuple[datetime, datetime] | None:
    """Earliest and latest moment of a thing that was told with its time; None while none was told for certain."""
    belief = facts.belief(evidence)
    if belief is None or belief.lo is None or belief.hi is None or not belief.certain:
        return None
    zone = facts.now.tzinfo
    return datetime.fromtimestamp(belief.lo, UTC).astimezone(zone), datetime.fromtimestamp(belief.hi, UTC).astimezone(zone)


def _since(facts: Facts, evidence: str) -> Span:
    told, now = moment_of(facts, evidence), facts.now.timestamp()
    if told is None:
        return 0.0, FOREVER
    return max(0.0, (now - told[1].timestamp()) / HOUR), max(0.0, (now - told[0].timestamp()) / HOUR)


def _warm(facts: Facts, since: Span) -> Span:
    places = facts.possible("storage")
    if places == {"room"}:
        return since
    spans = [_WARM_FOR[each] for each in facts.possible("warm-before-cold")]
    shortest = min(min(lo for lo, _ in spans), since[1])
    return shortest, since[1] if "room" in places else min(max(hi for _, hi in spans), since[1])
