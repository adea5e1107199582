"""Phrases that are found in a message but do not tell what is so: wondered about, named as what something else stood in for, or taken back."""

from bot.engine.knowledge import Evidence
from bot.engine.phrases import Hit
from bot.engine.words import Word

_ASKS = frozenset("was were is are did does do can could may might should would will has have had".split())
_SUBJECTS = frozenset("i it they we you she he that this there these those".split())
_JOINS = frozenset("and or so but".split())
ASKED_ABOUT = 8  # words from the start of a question that are what it asks; behind them it tells again
_STANDS_IN = (("instead", "of"), ("in", "place", "of"), ("in", "lieu", "of"), ("rather", "than"))
_TAKES_BACK = (("no", "sorry"), ("no", "wait"), ("wait", "no"), ("sorry", "i", "mean"), ("i", "mean"), ("i", "meant"), ("scratch", "that"))
BEHIND, AHEAD = 3, 4  # words between what is taken back and the words that do it, and to what is said instead


def meant(hits: list[Hit], words: list[Word], plain: str, evidence: dict[str, Evidence]) -> list[Hit]:
    """The hits that tell something, in the order of the message."""
    texts = [w.text for w in words]
    wondered = _wondered(words, plain)
    back = [*_taken_back(hits, texts), *_of_the_thermometer(hits, words, evidence)]

    def told(hit: Hit) -> bool:
        if hit.owner[0] == "answer":
            entry = evidence[hit.owner[1]]
            if entry.safety and hit.owner[2] not in entry.danger and wondered & set(range(hit.first, hit.last)):
                return False
        stood_in_for = hit.owner[0] in ("answer", "food") and _follows(texts, hit.first)
        return not stood_in_for and hit not in back

    return [h for h in hits if told(h)]


_INSTRUMENTS = frozenset("thermometer probe".split())


def _of_the_thermometer(hits: list[Hit], words: list[Word], evidence: dict[str, Evidence]) -> list[Hit]:
    """ "It shows 206 in boiling water" of a thermometer tells of the thermometer, not of jars that were boiled."""
    read = {w.sentence for w in words if w.text in _INSTRUMENTS}
    about = [h for h in hits if h.owner[0] == "near" and h.sentence in read and evidence[h.owner[1]].kind == "temperature" and not evidence[h.owner[1]].asks]
    return [h for h in hits if h.owner[0] == "answer" and any(a.first <= h.first and h.last <= a.last for a in about)]


def _wondered(words: list[Word], plain: str) -> set[int]:
    """Words at the start of a sentence that asks: "was it a full column?" tells of no column, "can she keep it in the cupboard?" of no
    cupboard."""
    found: set[int] = set()
    for n, word in enumerate(words):
        starts = n == 0 or words[n - 1].sentence != word.sentence or words[n - 1].text in _JOINS
        if not starts or word.text not in _ASKS or n + 1 == len(words) or words[n + 1].text not in _SUBJECTS:
            continue
        end = max(m for m in range(n, len(words)) if words[m].sentence == word.sentence)
        if plain[words[end].end :].lstrip()[:1] == "?":
            found |= set(range(n, min(end + 1, n + ASKED_ABOUT)))
    return found


def _follows(texts: list[str], first: int) -> bool:
    """Whether a phrase names what something else was used in place of: "serranos instead of jalapeños"."""
    for at in (first, first - 1):  # "instead of the jalapeños"
        if any(at >= len(run) and tuple(texts[at - len(run) : at]) == run for run in _STANDS_IN):
            return at == first or texts[first - 1] in ("the", "a", "an", "my", "any", "plain", "regular")
    return False


def _taken_back(hits: list[Hit], texts: list[str]) -> list[Hit]:
    """Foods named by a slip of the tongue: "I'd put the mango... no sorry, the marmalade"."""
    foods = [h for h in hits if h.owner[0] == "food"]
    said = [h.first for h in hits if h.owner[0] == "food" or h.owner[:2] == ("answer", "product")]
    found: list[Hit] = []
    for run in _TAKES_BACK:
        for at in range(len(texts) - len(run) + 1):
            if tuple(texts[at : at + len(run)]) == run and any(at < first <= at + len(run) + AHEAD for first in said):
                found += [h for h in foods if at - BEHIND <= h.last <= at]
    return found
