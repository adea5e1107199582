"""Understanding: a message and the open question in, what it says out. Curated words of the knowledge, no model.

The reader is built once from the knowledge. It holds no case: the same text and the same open question read the same.
"""

from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType
from typing import Any, NamedTuple

from bot.engine.case import ALL, REST, SOME, Observation
from bot.engine.knowledge import Evidence, Knowledge
from bot.engine.lexicon import build
from bot.engine.meant import meant
from bot.engine.measures import measured, units_of
from bot.engine.others import of_own_jars, of_whole_jars
from bot.engine.overlaps import standing, told_of_mine
from bot.engine.phrases import Hit, PhraseBook
from bot.engine.quantities import PartCount, find_part_counts
from bot.engine.understood import NOT_READ, QUESTION_WORDS, only_that, says_none_outright, something_not_read
from bot.engine.words import NEGATORS, Corrector, Word, normalise, split


class Reading(NamedTuple):
    """What one message says. Scores are sums of phrase weights; nothing here is decided yet."""

    observations: tuple[Observation, ...] = ()
    problems: Mapping[str, int] = MappingProxyType({})
    asked: Mapping[str, int] = MappingProxyType({})
    command: str = ""
    cues: frozenset[str] = frozenset()
    apart: str = ""
    some: int | None = None
    whole: int | None = None
    words: int = 0
    about: int = 0  # how many phrases of the field were found, whatever they were
    answered: bool = False  # the open question got an answer, "can't say" included
    unread: bool = False  # an answer to the open question that could not be understood
    asks: bool = False  # begins like a question
    recipe: bool = False  # a recipe pasted in: instructions and amounts, nobody who did anything
    units: str = ""  # metric or US, when the message shows it


class Reader:
    """Reads messages against one knowledge."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        lexicon: dict[str, Any] = dict(knowledge.lexicon) or build(knowledge)
        self._book = PhraseBook(lexicon, knowledge.concepts)
        self.orders = PhraseBook(lexicon["orders"], knowledge.concepts)  # for engine/orders.py: none of these is a sign of anything
        self._commands: dict[str, str] = lexicon["commands"]
        self.correct = Corrector(lexicon["vocabulary"], lexicon["stems"], knowledge.ordinary)

    def read(
        self, text: str, now: datetime, question: Evidence | None = None, group: str = ALL, grouped: bool = False,
        told: frozenset[str] = frozenset(),
    ) -> Reading:  # fmt: skip
        """What a message says at `now`, given the evidence of the open question (and the jars it asked about).

        `grouped`: some jars are already spoken of apart. `told`: evidence the case has an answer to, for corrections of figures.
        """
        from bot.engine.answering import SHORT, answer_to  # the open question is read by a module of its own

        plain = normalise(text)
        words = split(plain, self.correct)
        command = self._commands.get(" ".join(w.text for w in words)) or self._commands.get(plain.strip())
        hits = [_as_answer(h, question) for h in self._book.find(words) if h.owner[0] != "reply" or _replies(h, question)]
        cues = {h.owner[1] for h in hits if h.owner[0] == "cue" and (not h.denied or h.owner[1] == "hedged")}
        if _is_recipe(plain, words):
            return Reading(recipe=True, words=len(words))
        if command:
            return Reading(command=command, cues=frozenset(cues), words=len(words))
        hits = told_of_mine(of_whole_jars(of_own_jars(meant(standing(hits, words, self.knowledge.evidence), words, plain, self.knowledge.evidence))), words)
        parts = find_part_counts(plain)
        rest_clauses = {words[h.first].clause for h in hits if h.owner == ("cue", "the-rest")}
        those = {words[h.first].sentence for h in hits if h.owner == ("cue", "that-one")} if grouped else set()
        found: list[Observation] = []
        correcting = "correcting" in cues
        apart, some, whole = _parts(parts, hits, words, self.knowledge)
        for hit in hits:
            kind = hit.owner[0]
            if kind == "answer":
                seen = self._observe(hit, words, correcting)
                if seen is not None:
                    evidence = self.knowledge.evidence[seen.evidence]
                    place = ALL
                    if evidence.of == "jars":
                        if words[hit.first].clause in rest_clauses and (apart or grouped or not _dangerous(seen, evidence)):
                            place = REST  # with no jars set apart, "mould on this one, unlike the others" is told of all
                        elif apart == seen.evidence or (not apart and group == SOME) or words[hit.first].sentence in those:
                            place = SOME
                    found.append(_in_group(seen, place))
        found = _danger_stands(found, self.knowledge)
        found += _foods(hits, correcting, self.knowledge)
        found = _figure_first(found, measured(self.knowledge, plain, words, hits, now, question, told, correcting), self.knowledge)
        if apart == "sealed" and not any(o.evidence == "sealed" and o.group == REST for o in found):
            found.append(Observation("sealed", ("yes",), group=REST, text="the others down"))
        once: dict[tuple[Any, ...], Observation] = {}
        for seen in found:  # said twice is said once
            once.setdefault((seen.evidence, seen.answers, seen.group, seen.denied, seen.lo, seen.hi), seen)
        found = list(once.values())
        found = [o._replace(replaces=False, corrects=False) if _told_two_ways(o, found) else o for o in found]
        problems = self._problems(hits, found)
        answered = unread = False
        if question is not None:
            if question.kind == "several" and len(words) <= 4 * SHORT and not says_none_outright(question, hits, words):
                cues.add("hedged")
            reply = answer_to(question, plain, words, found, cues, now, group, only_that(hits, words))
            answered, unread = reply.answered, reply.unread and not problems
            # a time that was told is not taken back by a shrug when it is asked for more exactly
            said = [o for o in reply.observations if not (o.cant_say and question.kind == "clock" and question.id in told)]
            found = [o for o in found if not (said and o.evidence == question.id)] + said
        about = len({h.owner for h in hits if h.owner[0] in ("answer", "problem", "food", "near") and not h.supposed})
        if (about or told) and not answered and NOT_READ in self.knowledge.evidence and something_not_read(words, hits, told, any(o.lo is not None for o in found)):
            found.append(Observation(NOT_READ, ("something",), certain=False, text="a part I could not read"))
        asked = _scores(hits, "asked")
        return Reading(
            tuple(found), problems, asked, "", frozenset(cues), apart, some, whole,
            len(words), about, answered, unread, units=units_of(plain), asks=bool(words) and words[0].text in QUESTION_WORDS,
        )  # fmt: skip

    def _observe(self, hit: Hit, words: list[Word], correcting: bool) -> Observation | None:
        _, evidence_id, answer_id = hit.owner
        entry = self.knowledge.evidence[evidence_id]
        if hit.supposed or (hit.denied and not entry.danger and not _just_denied(hit, words)):
            return None
        corrected = any(words[i].corrected for i in range(hit.first, hit.last))
        dangerous = answer_id in entry.danger
        opinion = _somebodys_opinion(hit, words)
        certain = not hit.doubtful and not opinion
        answer = entry.answers[answer_id]
        if answer.leaves_open:
            # said of its own accord it decides nothing and is asked about
            return None if hit.denied else Observation(evidence_id, (answer_id,), certain=False, text=answer.says)
        if entry.kind == "several":
            if hit.denied and answer_id == "none":
                return None
            taken_back = correcting and answer_id == "none" and certain  # "sorry, I followed it exactly"
            return Observation(
                evidence_id, (answer_id,), denied=hit.denied, certain=certain or (dangerous and not opinion), text=answer.says,
                replaces=taken_back, corrects=taken_back or (hit.denied and correcting and certain and not _no_longer(hit, words)), complete=taken_back,
            )  # fmt: skip
        if hit.denied and corrected and not dangerous:
            return None
        return Observation(
            evidence_id, (answer_id,), denied=hit.denied, certain=certain,
            replaces=correcting and not hit.denied, corrects=correcting and not hit.denied, text=answer.says,
        )

    def _problems(self, hits: list[Hit], found: list[Observation]) -> dict[str, int]:
        scores = _scores(hits, "problem")
        for name, weight in _scores(hits, "not-problem").items():
            scores[name] = scores.get(name, 0) - 2 * weight
        for problem in self.knowledge.problems.values():
            for evidence, answers in problem.implies.items():
                if any(o.evidence == evidence and not o.denied and set(o.answers) <= set(answers) for o in found):
                    scores[problem.id] = scores.get(problem.id, 0) + 2
        return {name: score for name, score in sorted(scores.items(), key=lambda s: -s[1]) if score > 0}


def _just_denied(hit: Hit, words: list[Word]) -> bool:
    """Whether the "not" stands by the words themselves: "I did not boil my pickles" says nothing against pickles."""
    return any(w.text in NEGATORS for w in words[max(0, hit.first - 1) : hit.last])


_CHANGED = frozenset("anymore more longer now since later again today gone went".split())


def _no_longer(hit: Hit, words: list[Word]) -> bool:
    """Whether a sign went away rather than never was: "actually it is not bulging any more" takes nothing back."""
    return any(w.text in _CHANGED for w in words if w.sentence == hit.sentence)


_OPINIONS = frozenset("insists insist reckons swears claims assume assumed assuming presume".split())


def _somebodys_opinion(hit: Hit, words: list[Word]) -> bool:
    """What somebody else holds, not what was seen: "my husband reckons it is mould". It is asked about."""
    return any(w.text in _OPINIONS for w in words[max(0, hit.first - 6) : hit.first] if w.clause == words[hit.first].clause)


_SOMEBODY = frozenset("i my we our me us mine she he her they".split())
RECIPE_WORDS, RECIPE_NUMBERS = 50, 6


def _is_recipe(plain: str, words: list[Word]) -> bool:
    """Many words, many numbers and nobody in it: what it tells to do was not necessarily done."""
    if len(words) < RECIPE_WORDS or any(w.text in _SOMEBODY for w in words):
        return False
    return sum(w.text[0].isdigit() for w in words) >= RECIPE_NUMBERS


def _replies(hit: Hit, question: Evidence | None) -> bool:
    return question is not None and hit.owner[1] == question.id


def _as_answer(hit: Hit, question: Evidence | None) -> Hit:
    """Words that are an answer only to the question that is open: "rolling boil" of the bath, not of the pot."""
    return hit._replace(owner=("answer", *hit.owner[1:])) if hit.owner[0] == "reply" else hit


def _scores(hits: list[Hit], kind: str) -> dict[str, int]:
    best: dict[tuple[str, int], int] = {}
    for hit in hits:
        if hit.owner[0] == kind and not hit.denied and not (hit.supposed and kind == "problem"):
            key = (hit.owner[1], hit.first)
            best[key] = max(best.get(key, 0), hit.weight)
    scores: dict[str, int] = {}
    for (name, _), weight in best.items():
        scores[name] = scores.get(name, 0) + weight
    return scores


def _dangerous(seen: Observation, evidence: Evidence) -> bool:
    return not seen.denied and bool(set(seen.answers) & set(evidence.danger))


def _in_group(seen: Observation, group: str) -> Observation:
    return seen._replace(group=group) if group else seen


def _parts(
    parts: list[PartCount], hits: list[Hit], words: list[Word], knowledge: Knowledge
) -> tuple[str, int | None, int | None]:
    """Whether some jars of the batch are spoken of apart, by which evidence, how many of how many."""
    for part in parts:
        if getattr(part, "rest", False) or (part.whole is not None and part.part >= part.whole):
            continue
        near = [w for w in words if w.start >= part.start]
        if not near:
            continue
        sentence = near[0].sentence
        for hit in hits:
            if hit.owner[0] != "answer" or hit.sentence != sentence or hit.denied:
                continue
            entry = knowledge.evidence[hit.owner[1]]
            # the first answer of such evidence is the sound one: only the others set jars apart
            if entry.of == "jars" and entry.safety and hit.owner[2] != next(iter(entry.answers)):
                return entry.id, part.part, part.whole
    return "", None, None


def _told_two_ways(seen: Observation, found: list[Observation]) -> bool:
    """Whether one message gives two answers to the same thing: then neither takes the place of the other."""
    others = [o for o in found if o.evidence == seen.evidence and o.group == seen.group and not o.denied and o.answers]
    return bool(seen.answers) and seen.evidence != "food" and len({o.answers for o in others}) > 1


def _danger_stands(found: list[Observation], knowledge: Knowledge) -> list[Observation]:
    """In one message a danger displaces other answers to the same evidence: "the lid is loose, it came off in the cupboard"."""
    worst: dict[tuple[str, str], str] = {}
    for seen in found:  # of two dangers the one listed later counts: a lid that came up later, not one that was never down
        ranks = knowledge.evidence[seen.evidence].danger
        if not seen.denied and knowledge.evidence[seen.evidence].kind == "choice" and len(seen.answers) == 1 and seen.answers[0] in ranks:
            before = worst.get((seen.evidence, seen.group), seen.answers[0])
            worst[seen.evidence, seen.group] = max(before, seen.answers[0], key=ranks.index)
    found = [
        o for o in found
        if o.denied or not set(o.answers) & set(knowledge.evidence[o.evidence].danger)
        or worst.get((o.evidence, o.group), o.answers[0]) in o.answers
    ]  # fmt: skip
    dangers = {
        (o.evidence, o.group)
        for o in found
        if not o.denied and o.certain and knowledge.evidence[o.evidence].kind == "choice"
        and set(o.answers) & set(knowledge.evidence[o.evidence].danger)
    }
    told = {(o.evidence, o.group, o.answers) for o in found if not o.denied}
    found = [o for o in found if not (o.denied and (o.evidence, o.group, o.answers) in told and set(o.answers) <= set(knowledge.evidence[o.evidence].danger))]
    ticked = {o.evidence for o in found if knowledge.evidence[o.evidence].kind == "several" and not o.denied and "none" not in o.answers}
    found = [o for o in found if not (o.evidence in ticked and "none" in o.answers)]
    return [
        o for o in found
        if (o.evidence, o.group) not in dangers or set(o.answers) & set(knowledge.evidence[o.evidence].danger)
    ]


def _figure_first(found: list[Observation], figures: list[Observation], knowledge: Knowledge) -> list[Observation]:
    """Beside a figure, words that stand for a figure nobody named say nothing: "10 minutes, the full time"."""
    told = {o.evidence for o in figures if o.lo is not None and knowledge.evidence[o.evidence].kind != "clock"}

    def vague(seen: Observation) -> bool:
        answers = [knowledge.evidence[seen.evidence].answers[a] for a in seen.answers if seen.evidence in told]
        return any(a.from_ is None and a.to is None and not a.also for a in answers)

    return [o for o in found if not vague(o)] + figures


def _foods(hits: list[Hit], correcting: bool, knowledge: Knowledge) -> list[Observation]:
    """All foods of one message together: a mixture, or the correction of what was said before."""
    named = [h for h in hits if h.owner[0] == "food" and not h.denied and not h.supposed]
    if not named:
        return []
    ids = tuple(dict.fromkeys(h.owner[1] for h in named))
    certain = any(not h.doubtful for h in named)
    says = " and ".join(knowledge.foods[i].name for i in ids)
    return [Observation("food", ids, certain=certain, replaces=correcting, text=says)]
