"""The linter and the type checker have nothing to say."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.house.checkout import ROOT


@pytest.mark.parametrize("tool", [("ruff", "check", "--quiet", "bot", "tests"), ("mypy", "--no-error-summary")], ids=["ruff", "mypy"])
def test_nothing_is_complained_of(tool: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, "-m", *tool], cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    assert (done.stdout + done.stderr, done.returncode) == ("", 0)
