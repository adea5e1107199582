"""What a message tells of jars that it does not ask about: another person's, and one that the heat broke while the others held."""

from bot.engine.phrases import Hit

SOMEBODY_ELSE, LONG_AGO, OWN = ("cue", "neighbour"), ("cue", "long-ago"), ("cue", "own-jars")


LOST, REST = ("cue", "broke-in-the-heat"), ("cue", "the-rest")


def of_whole_jars(hits: list[Hit]) -> list[Hit]:
    """The hits without what was told of a jar that broke in the canner: "one let go, the bottom dropped out. The other six sealed."

    Only where the others are spoken of after it: a cracked jar that is itself asked about stays.
    """
    lost = {h.sentence for h in hits if h.owner == LOST and not h.denied}
    rest = max((h.sentence for h in hits if h.owner == REST), default=-1)
    gone = {sentence for sentence in lost if sentence <= rest}
    firsts = {h.sentence: h.first for h in hits if h.owner == REST}
    return [h for h in hits if h.owner[0] != "answer" or h.sentence not in gone or h.first > firsts.get(h.sentence, h.first)]


def of_own_jars(hits: list[Hit]) -> list[Hit]:
    """The hits without what was told of another's jar ("my neighbour once threw out a bulging one. Mine are fine"): only where that is a story from before, and the own jars are named after it."""
    own = min((h.first for h in hits if h.owner == OWN), default=None)
    if own is None:
        return hits
    before = {h.owner for h in hits if h.first < own}
    if not {SOMEBODY_ELSE, LONG_AGO} <= before:
        return hits
    return [h for h in hits if h.owner[0] != "answer" or h.first > own]
