"""What several tests of the store begin with: a store in a file of its own, closed at the end."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from bot.store import Store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "store.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    opened = Store(path)
    yield opened
    opened.close()
