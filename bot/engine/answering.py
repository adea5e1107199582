"""Reads the answer to the open question: a button's label, a number, "not sure", or free words."""

from datetime import datetime
from functools import cache
from typing import NamedTuple

from bot.engine.case import Observation
from bot.engine.knowledge import Evidence
from bot.engine.words import Word, normalise, split

HOUR = 3600.0
SHORT = 6  # words: a reply this short to an open question is an answer to it, if it is anything


class Answered(NamedTuple):
    """What a message answered to the open question; `unread` when it was an answer nobody could read."""

    observations: tuple[Observation, ...] = ()
    answered: bool = False
    unread: bool = False


def answer_to(
    question: Evidence,
    plain: str,
    words: list[Word],
    found: list[Observation],
    cues: set[str],
    now: datetime,
    group: str,
    whole_no: bool = True,
) -> Answered:
    """What a message answers to the question that was open. `whole_no`: it says yes or no and nothing else."""
    place = group if question.of == "jars" else ""
    mine = [o for o in found if o.evidence == question.id]
    labels = _by_label(question, plain, words)
    if labels:
        return _accept(question, labels, place, mine, now)
    clear = [o for o in mine if o.certain and not o.denied]
    if clear:
        whole = question.kind == "several" and len(words) <= 3 * SHORT
        if whole and "?" not in plain and _besides(words) and not any("none" in o.answers for o in clear):
            cues = cues - {"hedged"}  # "none of these, but the lid is up" ticks the lid and nothing else
        fixed = tuple(  # the first answer takes the place of what was said before; two different ones in one reply both stand
            o._replace(group=o.group or place, replaces=not whole and question.kind != "food" and n == 0, complete=whole)
            for n, o in enumerate(mine)
        )
        also = _also(question, [a for o in clear for a in o.answers], place)
        if "hedged" in cues or "?" in plain:  # "big bubbles, but ...", "bottled juice? no": no answer to build on
            return Answered(tuple(_doubted(o, question) for o in fixed), True)
        return Answered(fixed + also, True)
    if "cant-say" in cues:
        return Answered((Observation(question.id, group=place, cant_say=True),), True)
    if whole_no and len(words) <= SHORT and cues & {"yes", "no"}:
        said = "yes" if "yes" in cues else "no"
        picked = _yes_or_no(question, said)
        if picked:
            return _accept(question, [picked], place, mine, now)
    worst = _no_and_more(question, words)
    if worst:
        return _accept(question, [worst], place, mine, now)
    if mine:
        return Answered((), True)
    return Answered((), False, unread=0 < len(words) <= SHORT and not found)


def _no_and_more(question: Evidence, words: list[Word]) -> str | None:
    """ "No, a teaspoon of salt only": a plain no at the start is taken, whatever follows, where that is the dangerous answer."""
    if len(words) < 2 or words[0].text not in ("no", "nope", "none", "nothing") or words[1].clause == words[0].clause:
        return None
    said = next((a for a in ("no", "none") if a in question.answers), None)
    return said if said in question.danger and question.kind == "choice" else None


def _besides(words: list[Word]) -> bool:
    """Whether it begins by ruling everything out, and then names what there is."""
    return bool(words) and words[0].text in ("none", "nothing", "no") and any(w.text in ("but", "except", "only", "just") for w in words)


def _doubted(seen: Observation, question: Evidence) -> Observation:
    """An answer with a but: a danger in it stands, anything else is asked about again."""
    if seen.answers and not seen.denied and set(seen.answers) <= set(question.danger):
        return seen
    return seen._replace(certain=False, complete=False)


def _accept(question: Evidence, ids: list[str], place: str, mine: list[Observation], now: datetime) -> Answered:
    if any(question.answers[i].leaves_open for i in ids):
        return Answered((Observation(question.id, group=place, cant_say=True),), True)
    numbers = [o for o in mine if o.lo is not None]
    says = ", ".join(question.answers[i].says for i in ids)
    base = Observation(question.id, tuple(ids), group=place, replaces=True, complete=question.kind == "several", text=says)
    if question.kind == "clock":
        answer = question.answers[ids[0]]
        # an open end is told as ten years: old enough for every limit there is
        ago = ((answer.from_ or 0.0) * HOUR, (answer.to if answer.to is not None else 87_600.0) * HOUR)
        base = base._replace(answers=(), lo=now.timestamp() - ago[1], hi=now.timestamp() - ago[0], approx=True)
    elif question.kind not in ("choice", "several", "clock"):
        answer = question.answers[ids[0]]
        if numbers:
            base = numbers[0]._replace(replaces=True)
        elif answer.from_ is not None or answer.to is not None:  # "the time the sheet prints" is no figure
            base = base._replace(lo=answer.from_ or 0.0, hi=_top(answer.to))
    return Answered((base, *_also(question, ids, place)), True)


def _top(to: float | None) -> float:
    return to - 1e-6 if to is not None else 1e6


def _also(question: Evidence, ids: list[str], place: str) -> tuple[Observation, ...]:
    found = []
    for answer in (question.answers[i] for i in ids if i in question.answers):
        for evidence, answers in answer.also.items():
            found.append(Observation(evidence, tuple(answers), group=place))
    return tuple(found)


def _yes_or_no(question: Evidence, said: str) -> str | None:
    if said in question.answers:
        return said
    if question.kind == "several" and said == "no" and "none" in question.answers:
        return "none"
    return None


def _by_label(question: Evidence, plain: str, words: list[Word]) -> list[str]:
    """Answers whose button label was sent, or picked by number; several may be sent at once, separated by commas."""
    stripped = plain.strip().strip(".")
    labels = {_key(a.label): a.id for a in question.answers.values()}
    whole = labels.get(_key(plain))
    if whole:
        return [whole]
    if question.kind == "several":
        picked = [labels.get(_key(part)) for part in plain.replace(" and ", ",").split(",")]
        if picked and all(picked):
            return [p for p in picked if p]
    ids = list(question.answers)
    if question.kind in ("choice", "several") and stripped.isdigit() and 1 <= int(stripped) <= len(ids):
        return [ids[int(stripped) - 1]]
    return _within_one_label(question, words) if question.kind in ("choice", "several") else []


def _within_one_label(question: Evidence, words: list[Word]) -> list[str]:
    """A short reply all of whose words stand in one label, and in no other as closely: "powder" for "Powdered pectin"."""
    said = [w.stem for w in words]
    if not 0 < len(said) <= SHORT:
        return []
    best: list[tuple[float, str]] = []
    for answer in question.answers.values():
        label = _label(answer.label)
        if label and all(any(_alike(one, other) for other in label) for one in said):
            best.append((len(said) / len(label), answer.id))
    best.sort(reverse=True)
    if not best or (len(best) > 1 and best[0][0] == best[1][0]):
        return []
    return [best[0][1]]


def _alike(one: str, other: str) -> bool:
    return one == other or (min(len(one), len(other)) >= 4 and (one.startswith(other) or other.startswith(one)))


@cache
def _label(text: str) -> tuple[str, ...]:
    return tuple(w.stem for w in split(normalise(text)))


_ARTICLES = frozenset(("the", "a", "an"))


def _key(text: str) -> str:
    return " ".join(w.stem for w in split(normalise(text)) if w.text not in _ARTICLES)
