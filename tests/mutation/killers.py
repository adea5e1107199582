"""The tests that a broken knowledge is held against: published decision rows, and conversations typed as text.

Each is asked only when the broken piece could matter to it, so that a thousand mistakes are tried in minutes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from bot.app import App
from bot.engine.facts import Facts
from bot.engine.knowledge import Knowledge, Rule
from bot.engine.reader import Reader
from bot.engine.safety import judge, look
from bot.engine.turn import Engine
from bot.store import MEMORY, Store
from tests import conversation
from tests.conversation import Talk
from tests.jars import allowed, facts_of
from tests.measure.safety_cases import play
from tests.mutation.mutants import Mutant
from tests.test_corpora import HOLD, STILL_WRONG, first_reply, told
from tests.test_corpora import stories as corpus
from tests.test_decided_jars import jar_of as decided_jar
from tests.test_decided_jars import rows as decided_rows
from tests.test_every_rule import SOUND, rule_of
from tests.test_every_rule import STORIES as EVERY_RULE
from tests.test_not_safe_stories import STORIES as NOT_SAFE
from tests.test_not_safe_stories import answered, outcome
from tests.test_published_decisions import ROWS, jar_of
from tests.test_sentences import NOT_HEARD, SENTENCES, heard
from tests.test_what_is_believed import STORIES as BELIEVED
from tests.test_what_is_believed import as_told, named


@dataclass
class Typed:
    """One conversation typed as text: whether it comes out as its test says, and what was heard and judged in it."""

    id: str
    passes: Callable[[], bool]
    of: frozenset[str] = frozenset()  # evidence that it is for, heard or not
    heard: set[tuple[str, str]] = field(default_factory=set)
    facts: list[Facts] = field(default_factory=list)


class Killers:
    """All tests, played once with the knowledge as it is."""

    def __init__(self, known: Knowledge) -> None:
        self.known = known
        self.jars = [(row, jar_of(row)) for row in ROWS] + [(row, decided_jar(row)) for row in decided_rows()]
        self.rows = [(row, facts_of(jar, known)) for row, jar in self.jars]
        self.typed = list(_typed())
        self._by_evidence: dict[str, list[Typed]] = defaultdict(list)
        for each in self.typed:
            with using(known) as talks:
                assert each.passes(), f"{each.id} fails with the knowledge as it is"
            for talk in talks:
                each.heard |= {(h["evidence"], h["answer"]) for reply in talk.replies for h in reply["heard"]}
                case = talk.app.engine.case(talk.app.store.load(talk.chat), talk.app.store.kitchen(talk.chat))
                each.facts += [Facts(talk.app.engine.knowledge, case, talk.now, group) for group in case.groups]
                talk.app.store.close()
            for name in {evidence for evidence, _ in each.heard} | each.of:
                self._by_evidence[name].append(each)

    def add_row(self, row: dict[str, Any]) -> None:
        """One more jar that was decided."""
        self.jars.append((row, decided_jar(row)))
        self.rows.append((row, facts_of(decided_jar(row), self.known)))

    def killer_of(self, mutant: Mutant) -> str | None:
        """The first test that fails for this mistake, or None when none does."""
        rule = self.known.rules.get(mutant.of)
        if rule is not None and mutant.knowledge.evidence is self.known.evidence:  # a rule and an evidence may share an id
            return self._of_rule(rule, mutant.knowledge.rules.get(mutant.of), mutant.knowledge)
        for row, jar in self.jars:
            if not _as_printed(row, facts_of(jar, mutant.knowledge)):
                return str(row["id"])
        reader = Reader(mutant.knowledge)
        for sentence in SENTENCES:
            if sentence["evidence"] == mutant.of and sentence["says"] not in NOT_HEARD and not heard(sentence, reader):
                return str(sentence["says"])
        return self._replayed(self._by_evidence.get(mutant.of, []) or self.typed, mutant.knowledge)

    def _of_rule(self, rule: Rule, broken: Rule | None, known: Knowledge) -> str | None:
        for row, facts in self.rows:
            if differs(rule, broken, facts) and not _as_printed(row, _with(facts, known)):
                return str(row["id"])
        touched = [each for each in self.typed if any(differs(rule, broken, facts) for facts in each.facts)]
        return self._replayed(touched, known)

    def _replayed(self, typed: list[Typed], known: Knowledge) -> str | None:
        for each in typed:
            with using(known) as talks:
                passes = each.passes()
            for talk in talks:
                talk.app.store.close()
            if not passes:
                return each.id
        return None


class using:
    """While it lasts, every conversation is held with this knowledge. Gives the conversations that were held."""

    def __init__(self, known: Knowledge) -> None:
        self.engine = _engine(known)
        self.talks: list[Talk] = []

    def __enter__(self) -> list[Talk]:
        engine, talks = self.engine, self.talks
        self._old = Talk.__init__

        def begin(talk: Talk, at: Any = conversation.TUESDAY_TEN, app: App | None = None, chat: str = "me") -> None:
            self._old(talk, at, app or App(engine, Store(MEMORY)), chat)
            talks.append(talk)

        Talk.__init__ = begin  # type: ignore[method-assign,assignment]
        return talks

    def __exit__(self, *_: object) -> None:
        Talk.__init__ = self._old  # type: ignore[method-assign]


_ENGINES: dict[int, tuple[Knowledge, Engine]] = {}


def _engine(known: Knowledge) -> Engine:
    if id(known) not in _ENGINES:
        _ENGINES.clear() if len(_ENGINES) > 3 else None
        _ENGINES[id(known)] = (known, Engine(known))
    return _ENGINES[id(known)][1]


def differs(rule: Rule, broken: Rule | None, facts: Facts) -> bool:
    before = look(rule, facts)
    if broken is None:
        return before.clear != 2
    after = look(broken, facts)
    return (before.clear, before.acts, rule.handle) != (after.clear, after.acts, broken.handle)


def _with(facts: Facts, known: Knowledge) -> Facts:
    return Facts(known, facts.case, facts.now, facts.group)


def _as_printed(row: Mapping[str, Any], facts: Facts) -> bool:
    judgement = judge(facts)
    return (judgement.outcome, allowed(judgement)) == (row["outcome"], row["acts"])


def _typed() -> Iterator[Typed]:
    for n, story in enumerate(BELIEVED):
        yield Typed(f"believed {named(story, n)}", lambda s=story: as_told(s), frozenset(story["of"]))  # type: ignore[misc]
    for name in EVERY_RULE:
        yield Typed(f"every rule, {name}", lambda n=name: _of_one_rule(n))  # type: ignore[misc]
    for n, story in enumerate(NOT_SAFE):
        yield Typed(f"not safe {n}", lambda s=story: outcome(s) in {"ask-expert", "discard", "discard-hazard", "none", *s["allowed"]})  # type: ignore[misc]
    for story in corpus("deadly"):
        yield Typed(f"deadly {story['id']}", lambda s=story: outcome(s) in {*HOLD, "none"})  # type: ignore[misc]
    for message in corpus("dangerous"):
        yield Typed(f"dangerous {message['id']}", lambda m=message: told(first_reply(m["text"])) in HOLD)  # type: ignore[misc]
    for case in corpus("verdicts"):
        if case["id"] not in STILL_WRONG["verdicts"]:
            yield Typed(f"verdict {case['id']}", lambda c=case: play(c).kind == "right")  # type: ignore[misc]


def _of_one_rule(name: str) -> bool:
    """Whether the conversation that is for one rule ends as it should and names the rule."""
    story, talk = EVERY_RULE[name], Talk()
    for message in story["says"]:
        talk.say(message)
    answered(talk, SOUND | story.get("answers", {}))
    verdict = next((r["verdict"] for r in reversed(talk.replies) if r["verdict"]), {"outcome": "none", "because": []})
    return bool(verdict["outcome"] == story["outcome"] and rule_of(name).id in verdict["because"])
