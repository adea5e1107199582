"""The printed tree: what a teacher of canning reads and objects to."""

from __future__ import annotations

import re

import pytest

from bot.tree import Tree, as_dot, as_mermaid, as_text, compile_tree
from tests.conversation import engine

PROBLEMS = list(engine().knowledge.problems)


def tree_of(problem: str) -> Tree:
    return compile_tree(engine(), engine().knowledge.problems[problem])


@pytest.mark.parametrize("problem", PROBLEMS)
def test_the_text_fits_a_terminal_and_names_every_question_it_points_to(problem: str) -> None:
    text = as_text(tree_of(problem))
    assert max(len(line) for line in text.splitlines()) <= 96
    pointed = set(re.findall(r"-> question (\d+)", text))
    assert pointed and pointed <= set(re.findall(r"^(\d+)\. ", text, re.MULTILINE))
    assert len(text.splitlines()) <= 200


@pytest.mark.parametrize("problem", [p for p in PROBLEMS if p != "no-trail-on-plate"])
def test_safety_questions_stand_before_questions_about_the_cause(problem: str) -> None:
    marks = [node.safety for node in tree_of(problem).nodes if node.branches]
    assert marks[0] and any(marks)
    last_safety = max(n for n, safe in enumerate(marks) if safe)
    assert all(marks[: last_safety + 1])


def test_a_tree_is_the_same_each_time_it_is_compiled() -> None:
    assert as_text(tree_of("runny")) == as_text(tree_of("runny"))


def test_no_answer_of_can_t_say_leads_to_a_jar_that_may_be_eaten_where_safety_rests_on_it() -> None:
    for node in tree_of("unsealed-lid").nodes:
        for labels, child in node.branches if node.safety else ():
            if "can't say" in labels and not child.branches:
                assert child.text.startswith(("ask-expert", "discard", "at best"))


@pytest.mark.parametrize("problem", PROBLEMS)
def test_dot_and_mermaid_hold_every_node_and_every_branch(problem: str) -> None:
    tree = tree_of(problem)
    branches = sum(len(node.branches) for node in tree.nodes)
    assert as_dot(tree).count(" -> ") == branches and as_dot(tree).count("[shape=") == len(tree.nodes)
    assert as_mermaid(tree).count(" -->|") == branches
