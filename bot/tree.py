"""The decision tree that rules, signs and questions of one problem compile to: made by asking the engine itself.

Every answer of every question is tried from an empty case that names only the problem. Branches that leave the same facts
open are one node, so the drawing stays finite and a teacher of canning can read it and object to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bot.engine.case import ALL, Case, Observation, fold
from bot.engine.knowledge import Evidence, Problem

if TYPE_CHECKING:
    from bot.engine.turn import Engine
    from bot.engine.wording import Findings

NOON = datetime(2026, 1, 2, 12, tzinfo=UTC)  # any moment will do: the tree speaks of hours ago, never of a date
CANT_SAY = "can't say"


@dataclass
class Node:
    """A question with its branches, or a leaf: outcome and leading cause."""

    number: int
    question: str = ""
    safety: bool = False
    branches: list[tuple[list[str], Node]] = field(default_factory=list)
    outcome: str = ""
    cause: str = ""


@dataclass(frozen=True, slots=True)
class Tree:
    """A compiled tree: `nodes` in the order they were first reached, the root first."""

    title: str
    root: Node
    nodes: tuple[Node, ...]


def compile_tree(engine: Engine, problem: Problem) -> Tree:
    """The tree of one problem, its first product taken as told."""
    made: dict[Any, Node] = {}
    order: list[Node] = []
    product = problem.products[0]

    def grow(turns: tuple[dict[str, Any], ...]) -> Node:
        case = replace(fold(turns, engine.knowledge.evidence), turns=len(turns))
        found = engine.findings(case, {}, NOON, (), False)
        key = _key(found, case)
        if key in made:
            return made[key]
        node = Node(len(made) + 1)
        made[key] = node
        order.append(node)
        if found.question is None:
            verdict = found.verdicts[found.main] if found.verdicts else None
            node.outcome = verdict.outcome if verdict else "nothing in jars yet"
            ranked = found.ranked.get(problem.id, [])
            node.cause = ranked[0].cause.id if ranked and not node.outcome.startswith("discard") else ""
            return node
        entry = engine.knowledge.evidence[found.question.evidence]
        node.question, node.safety = entry.asks, entry.safety
        for label, seen in _answers(engine, entry, product):
            record = {"observations": [o.as_dict() for o in seen], "problems": [], "asked": [entry.id, found.question.group]}
            child = grow((*turns, record))
            same = next((labels for labels, other in node.branches if other is child), None)
            if same is not None:
                same.append(label)
            else:
                node.branches.append(([label], child))
        return node

    start = {"observations": [Observation("product", (product,)).as_dict()], "problems": [problem.id]}
    root = grow((start,))
    return Tree(problem.title, root, tuple(order))


def _answers(engine: Engine, entry: Evidence, product: str) -> Iterator[tuple[str, list[Observation]]]:
    if entry.kind == "food":
        for acidity, food in _foods(engine, product):
            yield f"{acidity} (such as {food.name})", [Observation("food", (food.id,))]
    for answer in entry.answers.values():
        seen = Observation(entry.id, (answer.id,), replaces=True, complete=True)
        if entry.kind == "clock":
            ago = ((answer.to if answer.to is not None else (answer.from_ or 0.0) * 4) * 3600 - 1, (answer.from_ or 0.0) * 3600)
            now = NOON.timestamp()
            seen = Observation(entry.id, lo=now - ago[0], hi=now - ago[1])
        elif entry.kind not in ("choice", "several"):
            lo = answer.from_ if answer.from_ is not None else 0.0
            seen = replace(seen, lo=lo, hi=lo)
        yield answer.label, [seen, *(Observation(e, tuple(a)) for e, a in answer.also.items())]
    yield CANT_SAY, [Observation(entry.id, cant_say=True)]


def _foods(engine: Engine, product: str) -> list[tuple[str, Any]]:
    """One food of each acidity class, the plainest one that is put up this way."""
    found: dict[str, Any] = {}
    for food in engine.knowledge.foods.values():
        if food.product is not None:
            continue
        acidity = "pickled" if product in food.with_acid and food.acidity != "acid" else food.acidity
        found.setdefault(acidity, food)
    return list(found.items())


def _key(found: Findings, case: Case) -> Any:
    """What the rest of the tree depends on: states of the rules, causes so far, the question and what was asked."""
    judgement = found.judgements.get(found.main)
    states = tuple((s.clear, tuple(s.acts.values())) for s in judgement.states) if judgement else ()
    chances = tuple((r.cause.id, round(r.chance, 6)) for ranked in found.ranked.values() for r in ranked)
    question = found.question.evidence if found.question else ""
    asked = case.asked if question else frozenset()
    return states, chances, question, asked, found.settled


# -- drawings ---------------------------------------------------------------------------------------------------------
def _name(node: Node) -> str:
    return node.outcome + (f", first cause: {node.cause}" if node.cause else "")


def as_text(tree: Tree, width: int = 100) -> str:
    """Numbered questions, each with its answers and where they lead. Safety questions are marked with an exclamation sign."""
    lines = [tree.title, ""]
    for node in tree.nodes:
        if not node.question:
            continue
        lines.append(f"{node.number}. {'(!) ' if node.safety else ''}{node.question}")
        for labels, child in node.branches:
            where = f"see {child.number}" if child.question else _name(child)
            line = f"   {' / '.join(labels)} -> {where}"
            while len(line) > width:
                cut = line.rfind(" ", 8, width)
                lines.append(line[:cut])
                line = "      " + line[cut + 1 :]
            lines.append(line)
    return "\n".join(lines)


def as_dot(tree: Tree) -> str:
    """Graphviz DOT text; safety questions are octagons, other questions boxes, outcomes ellipses."""
    lines = ["digraph tree {", '  node [fontname="sans-serif"];']
    for node in tree.nodes:
        shape = "octagon" if node.safety else "box" if node.question else "ellipse"
        lines.append(f'  n{node.number} [shape={shape}, label="{_quoted(node.question or _name(node))}"];')
        for labels, child in node.branches:
            lines.append(f'  n{node.number} -> n{child.number} [label="{_quoted(" / ".join(labels))}"];')
    return "\n".join([*lines, "}"])


def as_mermaid(tree: Tree) -> str:
    """Mermaid flowchart text; safety questions are hexagons."""
    lines = ["flowchart TD"]
    for node in tree.nodes:
        text = _quoted(node.question or _name(node))
        body = f'{{{{"{text}"}}}}' if node.safety else f'["{text}"]' if node.question else f'(["{text}"])'
        lines.append(f"  n{node.number}{body}")
        for labels, child in node.branches:
            lines.append(f'  n{node.number} -->|"{_quoted(" / ".join(labels))}"| n{child.number}')
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return text.replace('"', "'")


__all__ = ["ALL", "Node", "Tree", "as_dot", "as_mermaid", "as_text", "compile_tree"]
