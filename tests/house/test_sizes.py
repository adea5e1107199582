"""Files small enough to read in one sitting, named after what they hold, with a first line that says what each thing answers."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.checkout import ROOT, Definition, modules

MOST_LINES = 300
EMPTY_NAMES = {"base", "common", "helper", "helpers", "manager", "misc", "util", "utils"}


@pytest.mark.parametrize("path", modules())
def test_a_module_has_at_most_300_lines(path: str) -> None:
    assert len((ROOT / path).read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", modules())
def test_every_public_function_and_class_says_what_it_answers(path: str) -> None:
    silent = [f"{path}:{node.lineno} {name}" for name, node in public(modules()[path]) if not first_line(node)]
    assert silent == []


@pytest.mark.parametrize("path", [path for path, tree in modules().items() if tree.body])
def test_every_module_says_what_it_is_for(path: str) -> None:
    assert first_line(modules()[path])


def test_no_file_is_named_after_nothing() -> None:
    files = [path for folder in ("bot", "tests") for path in (ROOT / folder).rglob("*.py")]
    assert [str(path.relative_to(ROOT)) for path in files if says_nothing(path)] == []


@pytest.mark.parametrize("name", ["utils.py", "text_utils.py", "store_manager.py", "helpers/words.py", "base.py"])
def test_a_name_that_says_nothing_is_seen(name: str) -> None:
    assert says_nothing(ROOT / "bot" / name)


def says_nothing(path: Path) -> bool:
    words = re.split(r"[_/\\.]", str(path.relative_to(ROOT)))
    return bool(EMPTY_NAMES & set(words))


def public(tree: ast.Module) -> Iterator[tuple[str, Definition]]:
    """Functions and classes of a module that others may use. A method belongs to the docstring of its class."""
    for node in tree.body:
        if isinstance(node, Definition) and not node.name.startswith("_"):
            yield node.name, node


def first_line(node: ast.Module | Definition) -> str:
    return (ast.get_docstring(node, clean=False) or "").partition("\n")[0].strip()
