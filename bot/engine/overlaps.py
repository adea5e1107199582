"""Phrases that lie over one another in a message: which of them stand."""

from bot.engine.knowledge import Evidence
from bot.engine.phrases import Hit
from bot.engine.words import Word

HINT = 1  # weight of a phrase that gives way to any plainer one about the same thing: "in the canner" to "pressure canned"
NOT_TOLD = ("cue", "not-told")  # names in which the words mean something else: "jelly thermometer"


def standing(hits: list[Hit], words: list[Word], evidence: dict[str, Evidence]) -> list[Hit]:
    """The hits that count, in the order of the message."""
    return _strongest(_plainer(_longest_foods(_meant(hits), words)), evidence)


def _meant(hits: list[Hit]) -> list[Hit]:
    names = [h for h in hits if h.owner == NOT_TOLD]
    return [
        h for h in hits
        if h.owner == NOT_TOLD or h.owner[0] not in ("answer", "food", "near") or not any(_takes(n, h) for n in names)
    ]  # fmt: skip


FAR = 3  # words of the hit before the name


def _takes(name: Hit, hit: Hit) -> bool:
    """Whether the words of a hit belong to a name: all of them, or the last of a phrase with a gap, "lids down when I woke up"."""
    if name.first <= hit.first:
        return hit.last <= name.last
    return hit.last == name.last and hit.terms == 2 and name.first - hit.first >= FAR


def told_of_mine(hits: list[Hit], words: list[Word]) -> list[Hit]:
    """ "One did not seal on my strawberry jam": the "not" says nothing against a food or product that is called one's own."""
    inside = {i for h in hits if h.owner[0] == "food" for i in range(h.first, h.last)}

    def mine(hit: Hit) -> bool:
        before = hit.first - 1
        while before in inside:
            before -= 1
        return before > 0 and words[before].text in ("my", "our") and words[before - 1].text in ("on", "of", "in", "for", "with")

    return [h._replace(denied=False) if h.denied and (h.owner[0] == "food" or h.owner[:2] == ("answer", "product")) and mine(h) else h for h in hits]


def _longest_foods(hits: list[Hit], words: list[Word]) -> list[Hit]:
    """White peach, not peach: a food name inside a longer one is dropped, and so is one that speaks of the longer one again."""
    foods = [h for h in hits if h.owner[0] == "food"]
    inner = {
        id(h)
        for h in foods
        for other in foods
        if other is not h and other.first < h.last and h.first < other.last and (other.last - other.first) > (h.last - h.first)
    }
    inner |= {id(h) for h in foods for other in foods if _speaks_again_of(h, other, words)}
    return [h for h in hits if id(h) not in inner and h.owner != ("food", "")]


_POINTING = frozenset("the my our that this these those it says said their her his".split())


def _speaks_again_of(hit: Hit, other: Hit, words: list[Word]) -> bool:
    """ "Lemon curd ... the curd keeps a year": one word, pointed at, with which a longer name before it ended."""
    one_word = hit.last - hit.first == 1 < other.last - other.first and other.last <= hit.first
    same = one_word and words[hit.first].stem == words[other.last - 1].stem
    return same and (words[hit.first - 1].text in _POINTING or words[hit.first - 1].sentence != words[hit.first].sentence)


def _plainer(hits: list[Hit]) -> list[Hit]:
    """A hint counts only where nothing plainer is said of the same evidence."""
    plain = {h.owner[1] for h in hits if h.owner[0] == "answer" and h.weight > HINT and not h.denied}
    return [h for h in hits if h.owner[0] != "answer" or h.weight > HINT or h.owner[1] not in plain]


def _strongest(hits: list[Hit], evidence: dict[str, Evidence]) -> list[Hit]:
    """Of overlapping hits for the same evidence with different answers, the one with more terms (then more words) stands.

    A danger told without a "not" gives way to another danger only: "the lid clicks up and down" is no lid that is down.
    """
    answers = [h for h in hits if h.owner[0] == "answer"]

    def beaten(hit: Hit) -> bool:
        size = (hit.terms, hit.last - hit.first)
        grave = evidence[hit.owner[1]].danger
        return any(
            other.owner[1] == hit.owner[1]
            and other.owner[2] != hit.owner[2]
            and other.first < hit.last
            and hit.first < other.last
            and (other.terms, other.last - other.first) > size
            and (hit.denied or hit.owner[2] not in grave or other.owner[2] in grave)
            for other in answers
        )

    return [h for h in hits if h.owner[0] != "answer" or not beaten(h)]
