"""What came of looking at a property: in how many cases, and where it does not hold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """`looked_at` counts what was compared; `broken` names what does not hold, one line each."""

    looked_at: int
    broken: tuple[str, ...] = ()

    def __add__(self, other: Finding) -> Finding:
        return Finding(self.looked_at + other.looked_at, self.broken + other.broken)


def all_of(found: Iterable[Finding]) -> Finding:
    """Findings put together."""
    return sum(found, Finding(0))


def first_lines(where: str, found: dict[str, list[str]]) -> tuple[str, ...]:
    """The first of what is broken of each kind, and how many there are."""
    return tuple(f"{where}: {lines[0]} ({len(lines)} of these)" for lines in found.values())


def told_in_full(broken: Iterable[str]) -> str:
    """What a failing test prints."""
    return "\n" + "\n".join(broken)
