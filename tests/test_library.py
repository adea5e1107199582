"""The knowledge checker complains at the right line, and a cached copy is never staler than the files it was made from."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from bot import library, located_yaml
from bot.engine.knowledge import Knowledge, Phrase

BROKEN = Path(__file__).parent / "broken_knowledge"
SOUND = BROKEN / "sound"
MISTAKES = sorted((BROKEN / "mistakes").iterdir())
TODAY = date(2001, 1, 1)
LONG_AGO = 1_000_000_000


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small sound knowledge, as if written long ago."""
    shutil.copytree(SOUND, tmp_path / "knowledge")
    for each in (tmp_path / "knowledge").rglob("*"):
        os.utime(each, (LONG_AGO, LONG_AGO))
    return tmp_path / "knowledge"


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


# --- The checker ---


def put_mistake(mistake: Path, folder: Path) -> tuple[str, list[str]]:
    """Lays one broken file over the sound folder; gives back where the complaint must point, and its words."""
    text = mistake.read_text()
    target = re.search(r"^# put at: (\S+)", text)
    words = re.search(r"^# complains: (.*)$", text, re.MULTILINE)
    elsewhere = re.search(r"^# found in: (\S+)$", text, re.MULTILINE)
    assert target and words, "each broken file says where it goes and what must be said of it"
    marked = [number for number, line in enumerate(text.splitlines(), 1) if line.endswith("# here")]
    assert len(marked) == (0 if elsewhere else 1), "exactly one line is marked as the wrong one"
    (folder / target[1]).parent.mkdir(exist_ok=True)
    (folder / target[1]).write_text(text)
    place = elsewhere[1] if elsewhere else f"{target[1]}:{marked[0]}"
    return f"knowledge/{place}: ", words[1].split(" | ")


def test_the_sound_folder_has_no_faults() -> None:
    assert library.check(SOUND, TODAY) == ([], [])


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda each: each.stem)
def test_each_mistake_is_the_one_complaint(mistake: Path, folder: Path) -> None:
    place, words = put_mistake(mistake, folder)
    faults, _ = library.check(folder, TODAY)
    said = library.faults_as_text(faults)
    assert len(faults) == 1, said
    assert said.startswith(place), said
    assert [each for each in words if each not in said] == [], said


@pytest.mark.parametrize(
    "mistake", [each for each in MISTAKES if each.stem.startswith("yaml-")], ids=lambda each: each.stem
)
def test_the_slow_parser_complains_alike(mistake: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(located_yaml, "PARSER", yaml.SafeLoader)
    place, words = put_mistake(mistake, folder)
    said = library.faults_as_text(library.check(folder, TODAY)[0])
    assert said.startswith(place), said
    assert words[-1] in said


def test_both_parsers_read_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    for file in SOUND.rglob("*.yaml"):
        fast = located_yaml.read_located(file.read_bytes(), file.name)
        monkeypatch.setattr(located_yaml, "PARSER", yaml.SafeLoader)
        assert located_yaml.read_located(file.read_bytes(), file.name) == fast
        monkeypatch.undo()


def test_bytes_that_are_no_text_are_refused(folder: Path) -> None:
    (folder / "asked/extra.yaml").write_bytes(b"extra:\n  says: caf\xe9\n")
    (folder / "asked/more.yaml").write_bytes(b"extra:\n  says: a\x07b\n")
    said = library.faults_as_text(library.check(folder, TODAY)[0])
    assert "asked/extra.yaml:2: this is not UTF-8 text" in said
    assert "asked/more.yaml:2: a character here cannot stand in YAML" in said


@pytest.mark.parametrize("name", ["sources.yaml", "foods.yaml", "replies.yaml", "strengths.yaml", "words/ordinary.txt"])
def test_a_missing_file_is_the_only_complaint(name: str, folder: Path) -> None:
    (folder / name).unlink()
    faults, _ = library.check(folder, TODAY)
    assert [(each.file, each.what) for each in faults] == [(f"knowledge/{name}", "this file is missing")]


def test_all_faults_of_all_files_are_told_at_once(folder: Path) -> None:
    for name in ("field-unknown", "rule-leaves-shelf", "concept-twice"):
        put_mistake(BROKEN / "mistakes" / f"{name}.yaml", folder)
    with pytest.raises(library.KnowledgeFaults) as raised:
        library.load(folder)
    assert len(raised.value.faults) == 3
    assert all(re.fullmatch(r"knowledge/\S+:\d+: .+; .+", line) for line in str(raised.value).splitlines())


def test_advice_not_reviewed_for_two_years_is_warned_of(folder: Path) -> None:
    assert library.check(folder, date(2002, 2, 28))[1] == []
    faults, warnings = library.check(folder, date(2002, 3, 1))
    assert faults == []
    assert "problems/loose-lid.yaml:31: 'loose-lid' was last reviewed on 2000-02-29" in str(warnings[0])


# --- What becomes of the files ---


def lost(record: Any, plain: Any, where: str) -> list[str]:
    """Every place where a record does not say what its file said, compared without knowing any field."""
    if isinstance(record, Phrase):
        return [] if (record.text, record.weight) == (plain["text"], plain.get("weight", 2)) else [where]
    if hasattr(record, "_fields"):
        names = [each for each in record._fields if each in plain]
        missing = [f"{where}.{each}" for each in plain.keys() - set(names)]
        return missing + [bad for name in names for bad in lost(getattr(record, name), plain[name], f"{where}.{name}")]
    if isinstance(plain, dict):
        inside = [bad for key in plain for bad in lost(record[key], plain[key], f"{where}[{key}]")]
        return inside if list(record) == list(plain) else [where, *inside]
    if isinstance(plain, list):
        pairs = enumerate(zip(record, plain, strict=True))
        return [bad for at, (one, other) in pairs for bad in lost(one, other, f"{where}[{at}]")]
    return [] if type(record) is type(plain) and record == plain else [where]


def test_nothing_is_lost_between_file_and_record(folder: Path, cache: Path) -> None:
    plain, _ = library._compile(library._contents(folder), "knowledge")
    knowledge = library.load(folder, cache)
    assert set(plain.pop("ordinary").split()) == set(knowledge.ordinary.split()) == {"would", "could", "table"}
    assert lost(knowledge, plain, "knowledge") == []


def test_defaults_ids_and_limits_are_read_as_meant(folder: Path, cache: Path) -> None:
    knowledge = library.load(folder, cache)
    assert knowledge.evidence["food"].answers == {}
    assert knowledge.evidence["product"].effort == 1
    assert knowledge.evidence["product"].silent is None
    assert knowledge.evidence["signs"].answers["none"].also == {}
    assert knowledge.problems["loose-lid"].causes["old-lid"].signs == ()
    assert knowledge.foods["bean"].note is None
    assert knowledge.replies["hello"].sources == ()

    assert [each.id for each in knowledge.evidence["sealed"].answers.values()] == ["yes", "no"]
    assert knowledge.problems["loose-lid"].id == "loose-lid"
    assert knowledge.rules["lid-up"].leaves["fridge"] == {"warm": 1.5, "cold": 96.0}
    assert knowledge.exceptions["soured"].leaves["fridge"] == {"warm": 1e9, "cold": 2160.0}
    assert knowledge.rules["spoiled"].clear_if == ({"signs": ("none",)},)
    assert knowledge.tables["times"]["rows"]["plum"]["sources"] == ["handbook#times"]  # type: ignore[index]


# --- The cached copy ---


def test_the_second_load_reads_no_yaml(folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = library.load(folder, cache)
    monkeypatch.setattr(library, "_compile", lambda *_: pytest.fail("the YAML was read again"))
    assert library.load(folder, cache) == first
    (folder / "foods.yaml").touch()
    assert library.load(folder, cache) == first


def test_with_the_stamp_right_not_even_the_files_are_read(
    folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(library, "_CLOCK_GRAIN", -1e9)  # the modules may have been saved this very second
    first = library.load(folder, cache)
    monkeypatch.setattr(library, "_contents", lambda _: pytest.fail("the files were read again"))
    assert library.load(folder, cache) == first


def test_files_saved_this_very_second_are_not_trusted_by_their_times(folder: Path, cache: Path) -> None:
    (folder / "foods.yaml").touch()
    library.load(folder, cache)
    assert list(cache.glob("stamp-*")) == []


CHANGES: dict[str, Callable[[Path], object]] = {
    "letter": lambda folder: (folder / "asked/salt.yaml").write_text(
        (SOUND / "asked/salt.yaml").read_text().replace("Any", "All")
    ),
    "added": lambda folder: shutil.copy(SOUND / "tables/times.yaml", folder / "tables/more.yaml"),
    "renamed": lambda folder: (folder / "tables/times.yaml").rename(folder / "tables/minutes.yaml"),
    "removed": lambda folder: (folder / "asked/salt.yaml").unlink(),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_changed_folder_is_read_again(change: Callable[[Path], object], folder: Path, cache: Path) -> None:
    before = library.load(folder, cache)
    change(folder)
    after = library.load(folder, cache)
    assert after.version != before.version
    assert after == library.load(folder, cache.with_name("empty"))


def test_a_fault_brought_in_later_is_noticed(folder: Path, cache: Path) -> None:
    library.load(folder, cache)
    put_mistake(BROKEN / "mistakes/rule-leaves-shelf.yaml", folder)
    with pytest.raises(library.KnowledgeFaults):
        library.load(folder, cache)


DAMAGE: dict[str, Callable[[bytes], bytes]] = {
    "cut in half": lambda content: content[: len(content) // 2],
    "last byte gone": lambda content: content[:-1],
    "a limit altered": lambda content: content.replace(b"96.0", b"99.0"),  # still good JSON, and a wrong deadline
    "another name": lambda content: content.replace(b'"]', b'0"]'),
    "emptied": lambda _: b"",
    "no JSON": lambda _: b"\xff\x00",
}


@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE)
@pytest.mark.parametrize("which", ["knowledge-*", "stamp-*"])
def test_what_is_damaged_is_made_anew(
    which: str, damage: Callable[[bytes], bytes], folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(library, "_CLOCK_GRAIN", -1e9)
    good = library.load(folder, cache)
    (file,) = cache.glob(which)
    content = file.read_bytes()
    file.write_bytes(damage(content))
    assert library.load(folder, cache) == good
    assert file.read_bytes() == content, "the good copy is back"


def test_a_copy_of_another_version_is_not_used(folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    good = library.load(folder, cache)
    (copy,) = cache.glob("knowledge-*")
    monkeypatch.setattr(library, "__version__", "99.0")
    assert library._read_copy(copy) is None
    assert library.load(folder, cache) == good
    assert len(list(cache.glob("knowledge-*"))) == 2


def test_only_a_few_copies_are_kept(folder: Path, cache: Path) -> None:
    for number in range(8):
        (folder / "words/ordinary.txt").write_text(f"would number{number}\n")
        library.load(folder, cache)
    assert len(list(cache.glob("knowledge-*"))) == 4
    assert [each for each in cache.iterdir() if each.name.startswith(".")] == []


def test_an_unwritable_cache_only_costs_time(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("a file, where a folder would be needed")
    assert library.load(folder, tmp_path / "file" / "cache") == library.load(folder, tmp_path / "cache")


def test_a_full_disk_leaves_no_half_files(folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "replace", lambda part, _: part.rmdir())  # an OSError, as a full disk raises
    assert isinstance(library.load(folder, cache), Knowledge)
    assert list(cache.iterdir()) == []


def test_the_cache_is_where_the_system_keeps_caches(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CACHE_HOME", "relative/does/not/count")
    assert library._default_cache() == str(tmp_path / ".cache" / "lidside")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "x"))
    assert library._default_cache() == str(tmp_path / "x" / "lidside")


def test_the_folder_inside_the_package_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(library, "_HERE", tmp_path / "bot")
    with pytest.raises(FileNotFoundError, match="no knowledge folder"):
        library.find_folder()
    (tmp_path / "knowledge").mkdir()
    assert library.find_folder() == tmp_path / "knowledge"
    (tmp_path / "bot/_knowledge").mkdir(parents=True)
    assert library.find_folder() == tmp_path / "bot/_knowledge"


def test_a_load_from_the_cache_imports_nothing_heavy(folder: Path, cache: Path) -> None:
    library.load(folder, cache)
    program = "import sys; from pathlib import Path; from bot import library; "
    program += "library.load(Path(sys.argv[1]), Path(sys.argv[2])); print(*sys.modules)"
    command = [sys.executable, "-c", program, str(folder), str(cache)]
    told = subprocess.run(command, capture_output=True, text=True, cwd=BROKEN.parent.parent, check=True)
    assert {"yaml", "sqlite_utils", "telegram", "difflib", "bot.located_yaml"} & set(told.stdout.split()) == set()
    assert "bot.library" in told.stdout
