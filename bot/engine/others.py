"""Stories about somebody else's jar: "my neighbour once threw out a bulging one. Mine are fine." They say nothing of the jars asked about."""

from bot.engine.phrases import Hit

SOMEBODY_ELSE, LONG_AGO, OWN = ("cue", "neighbour"), ("cue", "long-ago"), ("cue", "own-jars")


def of_own_jars(hits: list[Hit]) -> list[Hit]:
    """The hits without what was told of another's jar: only where that is a story from before, and the own jars are named after it."""
    own = min((h.first for h in hits if h.owner == OWN), default=None)
    if own is None:
        return hits
    before = {h.owner for h in hits if h.first < own}
    if not {SOMEBODY_ELSE, LONG_AGO} <= before:
        return hits
    return [h for h in hits if h.owner[0] != "answer" or h.first > own]
