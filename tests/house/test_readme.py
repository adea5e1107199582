"""README.md and DEVELOPERS.md say what is so: commands, options, printed examples, the map of files, the fields of the knowledge."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from functools import cache

import pytest

from bot.engine import knowledge as records
from tests.house.checkout import ROOT, modules
from tests.house.readme_blocks import README, Example, examples, fenced, messages, refreshed

TEXT = README.read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
MOMENT = "<!-- conversation: at=2026-07-14T10:00:00-05:00 -->"


# -- the two commands -------------------------------------------------------------------------------------------------
def test_the_first_two_sh_blocks_are_one_line_each_to_start_the_chat_and_to_run_all_tests() -> None:
    chat, tests = [block.text for block in fenced(TEXT) if block.language == "sh"][:2]
    assert chat == "python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/python -m bot chat"
    assert tests == "python3 -m venv .venv && .venv/bin/pip install -q -e '.[dev]' && .venv/bin/python -m pytest"


# -- commands and options ---------------------------------------------------------------------------------------------
@cache
def help_of(*command: str) -> str:
    env = {**os.environ, "COLUMNS": "200", "NO_COLOR": "1"}
    words = [sys.executable, "-m", "bot", *command, "--help"]
    return subprocess.run(words, cwd=ROOT, env=env, capture_output=True, encoding="utf-8", check=True).stdout


def commands() -> list[str]:
    return re.findall(r"^    ([a-z][a-z-]*)(?: |$)", help_of(), re.MULTILINE)


def options(text: str) -> set[str]:
    return set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", text)) - {"--help"}


def test_the_help_names_the_commands_and_their_options() -> None:
    assert {"chat", "ask", "check", "tree"} <= set(commands())
    assert "--json" in options(help_of("chat")) and "--version" in options(help_of())


@pytest.mark.parametrize("command", commands())
def test_the_readme_names_every_command(command: str) -> None:
    assert re.search(rf"python -m bot {command}\b", TEXT)


@pytest.mark.parametrize("command", commands())
def test_the_readme_names_every_option_of_a_command(command: str) -> None:
    assert options(help_of(command)) - options(TEXT) == set()


def test_the_readme_names_every_option_of_the_program() -> None:
    assert options(help_of()) - options(TEXT) == set()


@pytest.mark.parametrize("command", commands())
def test_every_command_says_in_the_help_what_it_does(command: str) -> None:
    assert re.search(rf"^    {command}  +\w", help_of(), re.MULTILINE)


# -- printed examples -------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("example", [each for each in examples(TEXT) if each.kind != "proved by"], ids=str)
def test_what_the_readme_shows_is_what_is_printed(example: Example) -> None:
    assert example.block.text == example.printed()


def page(*lines: str) -> str:
    return "\n".join(["# A page", "", *lines, "", "The end.", ""])


def test_a_stale_example_is_put_right_and_all_around_it_is_left_alone() -> None:
    above = "<!-- output of: python -c 'print(6 * 7); print()' -->"
    stale, fresh = (page(above, "```console", *shown, "```") for shown in (("41", "43"), ("42",)))
    assert refreshed(stale) == refreshed(fresh) == fresh


def test_an_example_may_be_empty_and_what_goes_to_the_error_stream_is_shown() -> None:
    above = "<!-- output of: python -c 'import sys; sys.exit(\"no such jar\")' -->"
    assert refreshed(page(above, "```text", "```")) == page(above, "```text", "no such jar", "```")


def test_a_command_other_than_python_runs_in_a_shell_that_finds_this_python() -> None:
    above = "<!-- output of: echo 6 | python -c 'print(int(input()) * 7)' -->"
    assert refreshed(page(above, "```console", "```")) == page(above, "```console", "42", "```")


def test_a_conversation_is_typed_again_message_by_message() -> None:
    shown = ["> what's a good jam", "> doughnut recipe", "Some old reply.", "", "> help"]
    fresh = refreshed(page(MOMENT, "```text", *shown, "```"))
    assert messages(fresh) == ["what's a good jam\ndoughnut recipe", "help"]
    assert "Some old reply." not in fresh
    assert refreshed(fresh) == fresh
    (block,) = fenced(fresh)
    assert [turn.startswith("> ") for turn in block.text.split("\n\n")] == [True, True]


def test_a_comment_in_a_block_or_in_a_sentence_runs_nothing() -> None:
    assert examples(page("```text", "<!-- output of: python -V -->", "```", "As in `<!-- output of: python -V -->`.")) == []


@pytest.mark.parametrize(
    "lines",
    [
        ("<!-- output of: python -V -->",),
        ("<!-- output of: python -V -->", "", "```text", "```"),
        ("<!-- output of: python -V -->", "```sh", "```"),
        (MOMENT, "```console", "> help", "```"),
        ("<!-- output of: python -V -->", "```text", "without an end"),
    ],
)
def test_a_comment_without_its_block_is_a_mistake_and_not_passed_over(lines: tuple[str, ...]) -> None:
    with pytest.raises(ValueError, match=r"^line \d"):
        examples(page(*lines))


# -- DEVELOPERS.md ----------------------------------------------------------------------------------------------------
def section(title: str) -> str:
    return DEVELOPERS.partition(f"\n## {title}\n")[2].partition("\n## ")[0]


def mapped() -> list[tuple[str, str]]:
    """Path and purpose of each line of the map."""
    return re.findall(r"^(?:[-*] )?`([^`]+)`(.*)$", section("The map"), re.MULTILINE)


def test_the_map_names_every_file_of_bot_and_no_other() -> None:
    assert sorted(path for path, _ in mapped() if path.startswith("bot/")) == sorted(modules())


def test_whatever_else_the_map_names_is_there_and_has_a_purpose() -> None:
    assert [path for path, purpose in mapped() if not (ROOT / path).exists() or not re.search(r"\w", purpose)] == []


def fields() -> set[str]:
    """Fields of all records as the knowledge files spell them, but for ids (which are keys) and the whole itself."""
    classes = [each for each in vars(records).values() if hasattr(each, "_fields") and each is not records.Knowledge]
    names = {"phrase" if (each, field) == (records.Phrase, "text") else field for each in classes for field in each._fields}
    return {name.removesuffix("_") for name in names} - {"id"}


def table_fields() -> set[str]:
    """The first column of every table headed `field`."""
    tables = re.findall(r"^\| field \|.*\n\|[-| ]+\|\n((?:\|.*\n?)+)", section("The knowledge format"), re.MULTILINE)
    return {name for rows in tables for cell in re.findall(r"^\| ([^|]*) \|", rows, re.MULTILINE) for name in re.findall(r"`(\w+)`", cell)}


def test_every_field_in_the_tables_exists() -> None:
    assert table_fields()
    assert table_fields() - fields() == set()


def test_every_field_that_exists_is_explained() -> None:
    explained = " ".join(re.findall(r"`([^`]+)`", section("The knowledge format")))
    assert fields() - set(re.findall(r"\w+", explained)) == set()
