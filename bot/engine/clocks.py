"""Clock times: "9pm", "18:20", "half past 9"."""

from __future__ import annotations

from bot.engine.moment import ABOUT, AHEAD, ENDS, PARTS, TOLD_NOW, Piece, Reading
from bot.engine.numbers import read_number, word_list, word_set

_HOUR_WORDS = {
    w: n for n, w in enumerate(word_list("one two three four five six seven eight nine ten eleven twelve"), 1)
}
CLOCK_WORDS = _HOUR_WORDS.keys() | {"noon", "midday", "midnight", "lunchtime", "lunch", "half", "quarter"}
_AFTER_CLOCK = ENDS | word_set("last this yesterday yday today tonight in on and so but i its it now or - then ish")


def _face(word: str) -> tuple[int, int, bool] | None:
    """Hour, minute (-1 where none was said) and whether it is sure which half of the day: "18:20", "09:30"."""
    if word in _HOUR_WORDS:
        return _HOUR_WORDS[word], -1, False
    hour, colon, minute = word.replace(".", ":").partition(":")
    if not (word.isascii() and hour.isdigit() and len(hour) < 3 and (minute.isdigit() or not colon)):
        return None
    if int(hour) > 23 or (colon and (len(minute) != 2 or int(minute) > 59)):
        return None
    return int(hour), int(minute) if colon else -1, int(hour) > 12 or hour[0] == "0"


def clock_at(r: Reading, i: int) -> Piece | None:
    """The clock time at token i: "9pm", "6.20 p.m.", "18:20", "half past 9", "nine o'clock", "noon", "at 9"."""
    t = r.t
    word, previous = t.words[i], t.words[i - 1]
    if word in ("noon", "midday", "midnight"):
        return _told(r, Piece(i, i + 1, clocks=(0,) if word == "midnight" else (720,)))
    if word == "lunchtime" or (word == "lunch" and previous in ("at", "since")):
        return Piece(i, i + 1, window=PARTS["lunch"], part="lunch")
    shift, k = 0, i
    if word in ("half", "quarter"):
        if t.words[i + 1] not in ("past", "to") or (word == "half" and t.words[i + 1] == "to"):
            return None
        shift = {"half": 30, "quarter": 15}[word] * (-1 if t.words[i + 1] == "to" else 1)
        k = i + 2
    face = _face(t.words[k])
    if face is None or (t.glued(k) and t.words[k - 1][-1:].isalnum()):
        return None
    hour, minute, sure = face
    after = k + 1
    half, after = _half_of_day(r, after)
    if half and (hour > 12 or hour == 0) and minute < 0:
        return None
    oclock = t.words[after] in ("o'clock", "oclock")
    after += oclock
    bare = minute < 0 and not half and not oclock and not shift
    dotted = "." in t.words[k] and not half and not oclock
    if (bare or dotted) and not _told_as_clock(r, i, after, hour, dotted):
        return None
    minutes = hour % 24 * 60 + max(minute, 0) + shift
    if half:
        clocks: tuple[int, ...] = (
            (minutes - (720 if hour == 12 else 0)) % 1440 + (720 if half == "p" and hour <= 12 else 0),
        )
    elif sure:
        clocks = (minutes % 1440,)
    else:
        clocks = (minutes % 720, minutes % 720 + 720)
    part = t.words[after + 2] if t.words[after] == "in" and t.words[after + 1] == "the" else ""
    part = t.words[after + 1] if t.words[after] == "at" and t.words[after + 1] == "night" else part
    if part in PARTS and len(clocks) == 2:
        after += 3 if t.words[after] == "in" else 2
    else:
        part = ""
    return _told(r, Piece(i, after, clocks=clocks, part=part, bare=bare or dotted))


def _half_of_day(r: Reading, k: int) -> tuple[str, int]:
    """ "a" or "p" and the token behind "am", "p.m."; ("", k) where there is none. "9 am i right" is not the morning."""
    t = r.t
    word = t.words[k]
    if word in ("am", "pm") and (t.glued(k) or word == "pm" or t.words[k + 1] != "i"):
        return word[0], k + 1
    if word in ("a", "p") and t.words[k + 1] == "." and t.words[k + 2] == "m":
        return word, k + 3 + (t.words[k + 3] == ".")
    return "", k


def _told_as_clock(r: Reading, i: int, after: int, hour: int, dotted: bool) -> bool:
    """Whether a number with nothing of a clock about it may be one: "about 9", "at 9" and nothing counted after it."""
    t = r.t
    led = t.words[i - 1] in ABOUT or t.words[i - 1] in ("at", "@", "since")
    free = t.words[after] in _AFTER_CLOCK or (t.words[after] == "at" and t.words[after + 1] == "night")
    n = read_number(t, i)
    return led and free and 1 <= hour <= 12 and (dotted or (n is not None and n.after == after))


def _told(r: Reading, piece: Piece) -> Piece | None:
    """The piece with what stands around it: None when it tells the present or the future."""
    t, back, after = r.t, piece.first - 1, piece.after
    approx = False
    while t.words[back] in ABOUT or t.words[back] in ("at", "@", "on", "from"):
        approx |= t.words[back] in ABOUT
        back -= 1
    if t.words[back] in AHEAD or t.words[back] in TOLD_NOW or t.words[after] == "now":
        return None
    after += t.words[after] == "-"
    ish = t.words[after] == "ish" or (t.words[after] == "or" and t.words[after + 1] in ("so", "thereabouts"))
    return piece._replace(approx=approx or ish, after=after + 1 + (t.words[after] == "or") if ish else piece.after)
