"""Where the thermometer stands against the gel point of that kitchen: below, at or past it.

The gel point is 8 °F (4.4 °C) above the boiling point of water there (USDA Complete Guide to Home Canning, Guide 7; Home and
Garden Bulletin 56). "At" reaches from 1 °F under it, which is how far printed tables and computed values differ, to 3 °F over it:
firm jam is cooked to 9 °F above boiling water, and readings are good to about 2 °F.
"""

from __future__ import annotations

from bot.engine.facts import Facts
from bot.engine.knowledge import COMPUTED
from bot.kitchen.boiling import gel_point_f, gel_target_on_thermometer

UNDER, OVER = 1.0, 3.0
LOWEST_BOIL, HIGHEST_BOIL = 190.0, 216.0  # °F: what a thermometer can show in boiling water, from the sea to 10,000 ft


def boiling_reading(facts: Facts) -> float | None:
    """What the thermometer shows in plain boiling water, °F; None when it was not told, or cannot be that."""
    belief = facts.belief("boiling-water-reading")
    told = belief is not None and belief.certain and belief.lo is not None and belief.lo == belief.hi
    return belief.lo if told and belief is not None and belief.lo is not None and LOWEST_BOIL <= belief.lo <= HIGHEST_BOIL else None


def gel_state(facts: Facts) -> frozenset[str]:
    """Answers of the computed fact `gel-point` still possible."""
    from bot.engine.heat import altitudes

    every = frozenset(COMPUTED["gel-point"])
    belief, shown = facts.belief("thermometer-reading"), boiling_reading(facts)
    if belief is None or belief.lo is None or belief.hi is None or (shown is None and not facts.known("altitude")):
        return every
    low, high = altitudes(facts)
    top, bottom = gel_point_f(max(low, 0.0)), gel_point_f(min(max(high, 0.0), 10_000.0))
    if shown is not None:  # height, weather and the thermometer's own error are in it
        top = bottom = gel_target_on_thermometer(shown)
    states = set()
    for reading in (belief.lo, belief.hi):
        for gel in (top, bottom):
            states.add("below" if reading < gel - UNDER else "past" if reading > gel + OVER else "at")
    return frozenset(states)
