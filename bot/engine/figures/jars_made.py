"""How many jars a batch will fill: so many promised, and so many to make ready."""

from __future__ import annotations

from bot.engine.figures import Ask, Figure
from bot.engine.figures.ingredients import LEAST_G, MOST_G, Pot, lacking, pot_of
from bot.engine.figures.jars_told import LEAST_ML, MOST_ML, JarTold, jar_of, jar_told
from bot.engine.figures.shown import volume
from bot.kitchen.boil_off import TARGET_PERCENT, finished_grams
from bot.kitchen.jars_expected import JarsExpected, jars_of_weight
from bot.kitchen.ranges import Range
from bot.kitchen.soluble_solids import batch_grams, batch_solids

USUAL = {True: "quarter-litre", False: "half-pint"}  # by whether somebody counts in metric units: what jam is put up in
FINISHED = Range(60.0, 68.0, "%")  # soluble solids of a batch that is called finished
MOST_PERCENT = 85.0  # up to which the density of sugar solutions is known
KEPT = 0.92  # of a batch with packet pectin that boils up and one minute on, once skimmed: a convention, for the promise only


def jars_made(ask: Ask) -> Figure:
    """Boiled down and, where nobody said which, with packet pectin as well, which leaves most of the water in."""
    pot = pot_of(ask)
    if ask.reading.problems and not pot.parts and pot.finished is None:
        return Figure(declines=True)
    cooked = frozenset(ask.knowledge.concepts.get("boiled-down", ()))
    if not ask.facts.possible("product") & cooked:
        return Figure("other-product")
    jar = jar_told(ask, pot.taken) or jar_of(ask, USUAL[ask.metric])
    if not LEAST_ML <= jar.ml <= MOST_ML:
        return Figure("no-such-jar", {"jars": jar.says})
    if pot.finished is not None:
        return _odd_weight(pot.finished) or _told("finished", jars_of_weight(pot.finished, FINISHED, jar.ml), jar, ask)
    return lacking(pot, ask) or _odd_weight(batch_grams(pot.parts)) or _of_a_pot(pot, jar, ask)


def _of_a_pot(pot: Pot, jar: JarTold, ask: Ask) -> Figure:
    whole, weight = batch_grams(pot.parts), finished_grams(pot.parts)
    start = batch_solids(pot.parts)
    dissolved = Range(min(start.lo, MOST_PERCENT), min(start.hi, MOST_PERCENT), "%")
    least = whole.lo * KEPT
    boiled = Range(min(weight.lo, least), min(weight.hi, whole.hi), "g")
    down = jars_of_weight(
        boiled, Range(max(TARGET_PERCENT, dissolved.lo), max(TARGET_PERCENT, dissolved.hi), "%"), jar.ml
    )
    packet = jars_of_weight(Range(least, whole.hi, "g"), dissolved, jar.ml)
    told = ask.facts.possible("pectin") if ask.facts.known("pectin") else frozenset[str]()
    if told and "none" not in told:
        return _told("packet", packet, jar, ask)
    if told == {"none"} or (down.promised, down.ready) == (packet.promised, packet.ready):
        return _told("boiled-down", down, jar, ask)
    either = _told("either", down, jar, ask)
    return either._replace(
        values={**either.values, "packet_promised": str(packet.promised), "packet_ready": str(packet.ready)}
    )


def _told(way: str, found: JarsExpected, jar: JarTold, ask: Ask) -> Figure:
    values = {
        "promised": str(found.promised),
        "ready": str(found.ready),
        "jars": jar.says,
        "volume": volume(found.volume, ask.metric),
    }
    return Figure(way if found.promised else "not-one", values)


def _odd_weight(grams: Range) -> Figure | None:
    return Figure("too-much") if grams.hi > MOST_G else Figure("too-little") if grams.hi < LEAST_G else None
