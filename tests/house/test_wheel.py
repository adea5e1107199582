"""The wheel holds all that lidside needs: installed in an environment of its own, it answers from any folder."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path
from typing import Any

import pytest

from bot import CONTRACT, __version__
from tests.house.checkout import ROOT

ASKED = "how do I get jam off a carpet"


class Installed:
    """An environment that holds the wheel, and an empty folder to stand in. Other packages are those of the tests' own."""

    def __init__(self, folder: Path) -> None:
        self.home = folder / "home"
        self.home.mkdir()
        self.wheel = self._build(folder / "wheel")
        self.python = self._install(folder / "environment")

    def run(self, *words: str, given: str = "") -> subprocess.CompletedProcess[str]:
        places = dict.fromkeys(("HOME", "USERPROFILE", "LOCALAPPDATA", "XDG_CACHE_HOME", "XDG_DATA_HOME"), str(self.home))
        env = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")} | places | {"PYTHONUTF8": "1"}
        return subprocess.run(
            [self.python, *words], cwd=self.home, env=env, input=given, capture_output=True, encoding="utf-8", check=False
        )

    def text(self, *words: str, given: str = "") -> str:
        done = self.run(*words, given=given)
        assert (done.returncode, done.stderr) == (0, "")
        return done.stdout

    @property
    def package(self) -> Path:
        return Path(self.text("-c", "import bot; print(bot.__file__)").strip()).parent

    def _build(self, into: Path) -> Path:
        call(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(into))
        (wheel,) = into.glob("*.whl")
        return wheel

    def _install(self, folder: Path) -> Path:
        call(sys.executable, "-m", "venv", str(folder))
        python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
        quiet = ("--quiet", "--disable-pip-version-check", "--no-index", "--no-deps")
        call(str(python), "-m", "pip", "install", *quiet, str(self.wheel))
        own = Path(call(str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))").strip())
        (own / "packages-of-the-tests.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
        return python


def call(*command: str) -> str:
    done = subprocess.run(command, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Installed:
    return Installed(tmp_path_factory.mktemp("wheel"))


def test_the_wheel_holds_every_file_of_the_program_and_of_the_knowledge_and_nothing_else(installed: Installed) -> None:
    with zipfile.ZipFile(installed.wheel) as wheel:
        held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    program = {path.relative_to(ROOT).as_posix() for path in (ROOT / "bot").rglob("*.py")}
    knowledge = {f"bot/_{path.relative_to(ROOT).as_posix()}" for path in (ROOT / "knowledge").rglob("*") if path.is_file()}
    assert held == program | knowledge


def test_it_is_the_installed_program_that_runs(installed: Installed) -> None:
    assert installed.python.parent.parent in installed.package.parents
    assert installed.text("-m", "bot", "--version").split() == ["lidside", f"{__version__},", "conversation", "contract", str(CONTRACT)]


def test_check_reads_the_knowledge_inside_the_wheel(installed: Installed) -> None:
    assert installed.text("-m", "bot", "check").splitlines()[-1].startswith("0 faults")
    assert installed.text("-m", "bot", "check", str(installed.package / "_knowledge")) == installed.text("-m", "bot", "check")


def test_ask_answers_from_the_knowledge_inside_the_wheel(installed: Installed) -> None:
    replies = installed.package / "_knowledge/replies.yaml"
    before = replies.read_text(encoding="utf-8")
    said = installed.text("-m", "bot", "ask", ASKED)
    assert said.strip() in before
    try:
        replies.write_text(before.replace(said.strip(), "Ask the carpet."), encoding="utf-8")
        assert installed.text("-m", "bot", "ask", ASKED) == "Ask the carpet.\n"
    finally:
        replies.write_text(before, encoding="utf-8")


def test_a_line_of_json_is_answered(installed: Installed) -> None:
    line = {"text": ASKED, "chat": "a", "at": "2026-07-14T10:00:00-05:00"}
    out = installed.text("-m", "bot", "chat", "--json", "--store", ":memory:", given=json.dumps(line) + "\n")
    reply: dict[str, Any] = json.loads(out)
    assert (reply["chat"], reply["kind"]) == ("a", "out-of-scope")


def test_a_line_typed_in_the_chat_is_answered(installed: Installed) -> None:
    said = installed.text("-m", "bot", "ask", ASKED).strip()
    assert said in " ".join(installed.text("-m", "bot", "chat", given=ASKED + "\n").split())


def test_the_command_is_installed_under_its_own_name(installed: Installed) -> None:
    name = "lidside.exe" if os.name == "nt" else "lidside"
    assert call(str(installed.python.with_name(name)), "--version") == installed.text("-m", "bot", "--version")
