"""Fixed sentences of the knowledge, filled in and cut to the length that is read at a stove."""

from typing import NamedTuple

from bot.engine.knowledge import Said

MOST_WORDS = 80


class Texts:
    """Fetches a fixed sentence by id and fills its braces. Raises KeyError for an id the knowledge does not have."""

    def __init__(self, replies: dict[str, Said]) -> None:
        self._replies = replies

    def knows(self, id_: str) -> bool:
        return id_ in self._replies

    def __call__(self, id_: str, **values: str) -> str:
        text = self._replies[id_].says
        for name, value in values.items():
            text = text.replace("{" + name + "}", value)
        return text[:1].upper() + text[1:] if not id_.startswith("jars-") else text

    def sources(self, id_: str) -> tuple[str, ...]:
        return self._replies[id_].sources


class Line(NamedTuple):
    """A paragraph that could be told; `rank` 0 is always told, higher ranks go first when space runs out."""

    text: str
    rank: int = 0


def count_words(text: str) -> int:
    """Words of a text, as a person counts them."""
    return len(text.split())


def fit(lines: list[Line], limit: int = MOST_WORDS) -> tuple[str, ...]:
    """Paragraphs within the limit of words, in their order; the least needed are left out first."""
    full = [line for line in lines if line.text]
    kept = list(full)
    while sum(count_words(line.text) for line in kept) > limit:
        droppable = [line for line in kept if line.rank > 0]
        if not droppable:
            break
        kept.remove(max(droppable, key=lambda line: line.rank))
    for line in sorted(full, key=lambda line: line.rank):  # a short line may fit again where a long one went
        if line not in kept and sum(count_words(each.text) for each in kept) + count_words(line.text) <= limit:
            kept = [each for each in full if each in kept or each is line]
    return tuple(line.text for line in kept)


def sentence(text: str) -> str:
    """Begins with a capital and ends with a full stop."""
    text = text.strip()
    if not text:
        return text
    return text[:1].upper() + text[1:] + ("" if text[-1] in ".?!" else ".")
