"""What lidside knows about food stands in knowledge/, where a canning teacher can correct it; the code holds none of it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache

import pytest
import yaml

from tests.house.checkout import ROOT, docstring, modules

# Words of the trade that belong to some products and not to others. Jars, lids and heights belong to all of them.
PRODUCT_WORDS = {
    "botulism", "botulinum", "brine", "chutney", "citric", "curd", "ferment", "fruit", "jam", "jelly", "juice", "kraut", "lemon",
    "marmalade", "mold", "mould", "pectin", "pickle", "relish", "salsa", "sauerkraut", "sugar", "syrup",
    "tomatoes", "vegetable", "vinegar",
}  # fmt: skip

# (module, word) -> why it may stand there.
ALLOWED = {
    ("bot/engine/naming.py", "jam"): "answer of the evidence `product` that is put behind the name of a fruit",
    ("bot/engine/naming.py", "jelly"): "answer of the evidence `product`, as above",
    ("bot/engine/naming.py", "marmalade"): "answer of the evidence `product`, as above",
    ("bot/engine/batch.py", "jam"): "the unit of a sum: per quart of jam",
}


@cache
def food_words() -> frozenset[str]:
    """Single words longer than three letters that mean a food."""
    foods = yaml.safe_load((ROOT / "knowledge/foods.yaml").read_text(encoding="utf-8"))
    words = {str(word).casefold() for food in foods.values() for word in food["words"]}
    return frozenset(word for word in words if len(word) > 3 and word.isalpha()) | PRODUCT_WORDS


@cache
def ids() -> frozenset[str]:
    """Names of questions and of fixed sentences. Code may point to those: they are names, not words."""
    files = [*(ROOT / "knowledge/evidence").glob("*.yaml"), ROOT / "knowledge/replies.yaml"]
    return frozenset(str(id_) for file in files for id_ in yaml.safe_load(file.read_text(encoding="utf-8")))


def foods_in(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and word of each food that a string names, in the singular. Docstrings may name what they like."""
    explained = {id(docstring(node)) for node in ast.walk(tree)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str):
            continue
        if id(node) in explained or node.value in ids():
            continue
        for word in re.findall(r"[^\W\d_]+", node.value.casefold()):
            singular = next((each for each in singulars(word) if each in food_words()), None)
            if singular:
                yield node.lineno, singular


def singulars(word: str) -> tuple[str, ...]:
    return word, word.removesuffix("s"), word.removesuffix("es"), re.sub("ies$", "y", word)


@pytest.mark.parametrize("path", modules())
def test_no_string_in_the_code_names_a_food(path: str) -> None:
    assert [f"{path}:{line} {word}" for line, word in foods_in(modules()[path]) if (path, word) not in ALLOWED] == []


def test_nothing_is_allowed_that_is_not_there() -> None:
    there = {(path, word) for path, tree in modules().items() for _, word in foods_in(tree)}
    assert set(ALLOWED) - there == set()


@pytest.mark.parametrize(
    "line",
    [
        'food == "strawberry"',
        'text = "Two Cherries"',
        "f'{n} peaches'",
        'text = "add vinegar"',
        '{"low-acid-tomato": 1}',
        'def f():\n    "About food."\n    return "botulism"',
    ],
)
def test_a_food_in_a_string_is_seen(line: str) -> None:
    assert len(list(foods_in(ast.parse(line)))) == 1


@pytest.mark.parametrize("line", ['"""Plums and pectin."""', 'facts.known("pectin")', "peach = 1  # a peach", 'text = "pop, cap, fig"'])
def test_docstrings_ids_names_and_short_words_are_no_food(line: str) -> None:
    assert list(foods_in(ast.parse(line))) == []
