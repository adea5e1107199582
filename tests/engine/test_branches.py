"""Every line and every branch of the module that gives the verdict is taken, by evaluations that the proofs make as well."""

from __future__ import annotations

import importlib.util
import inspect
from functools import cache
from pathlib import Path
from types import ModuleType

import coverage

from bot.engine import safety
from bot.engine.facts import Facts
from bot.engine.knowledge import ACTS
from tests.engine.combinations import DOUBT, told_at
from tests.engine.sound_jars import ruinous, sound_jars
from tests.engine.taken_together import moved_together
from tests.engine.tellings import CLOCK, answer, facts_of, hours_ago, not_sure, rules

SOURCE = Path(safety.__file__)
FEW = 6  # combinations of each rule


@cache
def evaluated() -> list[Facts]:
    """Sound jars and jars that are thrown out, jars with a clock that runs or that nobody knows, and some combinations of each rule."""
    found = [jar.facts for jar in sound_jars()]
    jar = sound_jars()[0]
    found += [jar.with_(each).facts for each in ruinous()]
    for clock in (hours_ago(1.0), hours_ago(30.0), not_sure(CLOCK)):
        found += [jar.with_(answer("sealed", "no"), clock, answer("storage", place)).facts for place in ("room", "fridge")]
    found.append(jar.with_(answer("spoilage-signs", "leaking", complete=True), hours_ago(1.0)).facts)  # an exception gives acts back
    for rule in rules():
        found += [facts_of(told_at(rule.id, one.after)) for one in list(moved_together(rule.id, DOUBT))[:FEW]]
    return found


def evaluate(module: ModuleType, facts: Facts) -> str:
    """All that the public functions of the module, and the properties of a judgement, make of these facts."""
    judgement = module.judge(facts)
    told = [judgement.outcome, judgement.best_act, [rule.id for rule in judgement.broken]]
    for name, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ == module.__name__ and not name.startswith("_"):
            asked = inspect.signature(function).parameters
            for act in ACTS if "act" in asked else ACTS[:1]:
                given = {"facts": facts, "judgement": judgement, "act": act, "rule": rules()[0]}
                told += [function(**{each: given[each] for each in asked})] if asked.keys() <= given.keys() else []
    return repr(told)


def test_every_line_and_branch_of_the_verdict_is_taken() -> None:
    facts = evaluated()
    # Imported afresh, so that the lines which run once at import are seen as well; and held against the module in use.
    spec = importlib.util.spec_from_file_location("safety_looked_at", SOURCE)
    assert spec is not None and spec.loader is not None
    watched = importlib.util.module_from_spec(spec)
    watch = coverage.Coverage(data_file=None, branch=True, include=[str(SOURCE)], config_file=False)
    with watch.collect():
        spec.loader.exec_module(watched)
        found = [evaluate(watched, each) for each in facts]
    assert found == [evaluate(safety, each) for each in facts]
    _, lines, _, missing, _ = watch.analysis2(str(SOURCE))
    branches = watch.branch_stats(str(SOURCE))
    assert len(lines) > 50 and len(branches) > 5
    assert missing == []
    assert {line: taken for line, taken in branches.items() if taken[0] != taken[1]} == {}
