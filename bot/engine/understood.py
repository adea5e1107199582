"""How much of a message was understood: a bare no, an outright "none", and statements with nothing in them that could be read."""

from collections.abc import Iterable, Mapping

from bot.engine.case import Observation
from bot.engine.knowledge import Evidence
from bot.engine.phrases import Hit
from bot.engine.words import Word

NOT_READ = "not-read"  # evidence that the reader itself gives: part of a message was not understood
_FILLERS = frozenset("it is was did i they were are do does have had the that them we thanks please all of to me my see can here at looks fine ok good these those and".split())
QUESTION_WORDS = frozenset("how what whats can could may do does should is are why which when where will would who".split())


def only_that(hits: list[Hit], words: list[Word]) -> bool:
    """Whether a message says yes or no and nothing else: "no idea" and "n/a" are no "no"."""
    said = {i for h in hits if h.owner in (("cue", "yes"), ("cue", "no")) for i in range(h.first, h.last)}
    return bool(said) and all(i in said or w.text in _FILLERS for i, w in enumerate(words))


_LOOKING = frozenset("see anything wrong unusual odd any sign signs those everything normal look seem seems as far i both them there in recipe a at with to".split())
SHORT, UNREAD_BESIDE = 6, 3  # words of a short reply; words beside a "none" in a longer one from which on it says something else


def says_none_outright(question: Evidence, hits: list[Hit], words: list[Word]) -> bool:
    """False for a reply in which "no", "none" or "nothing" leads to something else: "no idea", "nothing comes to mind", "no just white
    fuzz", "none, well there is some dried syrup down the side"."""
    none = [h for h in hits if h.owner == ("answer", question.id, "none")]
    ticks = any(h.owner[0] == "answer" and h.owner[1] == question.id and h.owner[2] != "none" and not h.denied for h in hits)
    bare = [h for h in none if any(c.owner == ("cue", "no") and c.first == h.first for c in hits)]
    if not bare or ticks or any(h.last - h.first > 1 for h in none):
        return not (none and none[0].first == 0 and any(w.text in _TURNS for w in words))
    said = {i for h in hits if h.owner[0] == "answer" or h.owner == ("cue", "no") for i in range(h.first, h.last)}
    if len(words) <= SHORT and not any(h.denied for h in hits if h.owner[0] == "answer"):
        return all(i in said or w.text in _FILLERS for i, w in enumerate(words))
    left = [w.text for i, w in enumerate(words) if i not in said and w.text not in _FILLERS | _LOOKING and not w.text[0].isdigit()]
    return len(left) < UNREAD_BESIDE and not any(text in _TURNS for text in left)


_TURNS = frozenset("just only one well except though some".split())  # words after which a "no" means something else


def something_not_read(words: list[Word], hits: list[Hit], told: frozenset[str], measured: bool) -> bool:
    """Whether a statement about the jars had nothing in it that could be understood.

    In the first message it counts when it speaks of jars; later on, with an answer given already, whatever it speaks of.
    """
    of_jars = {h.sentence for h in hits if h.owner == ("cue", "of-jars")}
    understood = {h.sentence for h in hits if h.owner[0] in ("problem", "not-problem", "asked")}
    # later on, "jars" alone tells nothing of what was done with them
    understood |= {h.sentence for h in hits if h.owner[0] == "answer" and not (told and h.owner[1] == "stage")}
    understood |= {h.sentence for h in hits if h.owner == ("cue", "elsewhere")} - of_jars
    shrugs = {h.sentence for h in hits if h.owner in (("cue", "cant-say"), ("cue", "yes"), ("cue", "no"))}
    understood |= {n for n in shrugs if sum(w.sentence == n for w in words) < 5}
    sentences: dict[int, list[Word]] = {}
    for word in words:
        sentences.setdefault(word.sentence, []).append(word)
    for number, said in sentences.items():
        if measured and any(w.text[0].isdigit() for w in said):
            continue
        if number in understood or len(said) < 3 or said[0].text in QUESTION_WORDS or not (told or number in of_jars):
            continue
        return True
    return False


def tell_danger(told: Iterable[Observation], evidence: Mapping[str, Evidence]) -> bool:
    """Whether any of what was told is a danger by itself."""
    return any(not o.denied and set(o.answers) & set(evidence[o.evidence].danger) for o in told)
