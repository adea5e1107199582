"""Times in free text as intervals of the past, and how deadlines are reckoned and told.

People give ranges ("last night", "about 9", "on Sunday") and a deadline rests on them, so both ends are kept: what must
be done by a time counts from `earliest`, what must have stood long enough from `latest`. Elapsed time is reckoned in
UTC: the day on which the clocks go back has 25 hours. A wall time that a change of clocks repeats or skips is read as
the earlier instant.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.engine.ago import read_durations
from bot.engine.clocks import CLOCK_WORDS, clock_at
from bot.engine.days import DAY_WORDS, day_at
from bot.engine.moment import ABOUT, NIGHT_OWL, Moment, Piece, Reading
from bot.engine.numbers import word_set
from bot.engine.told_times import clock_words, deadline, instant, round_down, span_words

__all__ = ["Moment", "clock_words", "deadline", "find_moments", "round_down", "span_words"]

ABOUT_CLOCK = 30  # minutes to either side of "about 9"
_LINKS = ABOUT | word_set("at on in the , @ - of")
_ENDED = word_set("came come out off finished ended")  # "made about 9" tells how many
_HANDLED = _ENDED | word_set(
    "took taken pulled lifted made done did canned jarred bottled sealed processed removed stopped started"
)


def read_days_and_clocks(r: Reading) -> None:
    """Adds the moments told by the calendar and the clock, a day and a clock time beside each other as one."""
    t, held = r.t, None
    i = 0
    while i < t.count:
        word = t.words[i]
        piece = day_at(r, i) if word in DAY_WORDS or (len(word) == 4 and word[:2] in ("19", "20")) else None
        if piece is None and (word in CLOCK_WORDS or word[0] in "0123456789"):
            piece = clock_at(r, i)
        if piece is None:
            i += 1
            continue
        i = max(i + 1, piece.after)
        if held and (joined := _joined(r, held, piece)):
            _settle(r, joined)
            held = None
        else:
            if held:
                _settle(r, held)
            held = piece
    if held:
        _settle(r, held)


def _joined(r: Reading, one: Piece, two: Piece) -> Piece | None:
    """A day and a clock time that belong together, whichever comes first."""
    day, clock = (one, two) if one.days else (two, one)
    between = r.t.words[one.after : two.first]
    if not day.days or clock.days or clock.span or (day.window and clock.window) or len(between) > 3:
        return None
    if not _LINKS.issuperset(between):
        return None
    window = clock.window or day.window
    return Piece(one.first, two.after, day.days, clock.clocks, window, day.part or clock.part, clock.approx)


def _by_part(clocks: tuple[int, ...], part: str) -> list[int]:
    """The readings of a clock time that fit the part of the day; small hours of a night are of the next date."""
    if part in ("night", "nite"):
        return [
            c + 1440 if c < NIGHT_OWL else c
            for c in clocks
            if len(clocks) == 1 or not NIGHT_OWL <= c % 1440 < NIGHT_OWL + 720
        ]
    if part and len(clocks) == 2:
        return [clocks[part != "morning"]]
    return list(clocks)


def _settle(r: Reading, p: Piece) -> None:
    """Adds the moment of a piece, the hull of its readings."""
    t = r.t
    before = p.first - 1
    while t.words[before] in ABOUT or t.words[before] in ("the", "last", "at", "early", "late"):
        before -= 1
    kind = "since" if "since" in (t.words[before], t.words[p.first]) else "clock" if p.clocks else "day-part"
    verbs = _ENDED if t.words[p.first - 1] in ABOUT and t.words[p.first - 2] != "at" else _HANDLED
    if p.bare and not p.days and not p.part and not t.near(p.first - 5, p.first, verbs | {"since"}):
        return
    past = [span for span in ([p.span] if p.span else _readings(r, p)) if span[0] <= r.now]
    if past:
        earliest, latest = min(span[0] for span in past), max(span[1] for span in past)
        r.add(kind, p.first, p.after, earliest, latest, earliest < latest)


def _readings(r: Reading, p: Piece) -> list[tuple[datetime, datetime]]:
    clocks = _by_part(p.clocks, p.part)
    spans = [(c, c) for c in clocks] or [p.window or (0, 1440)]
    reach = timedelta(minutes=ABOUT_CLOCK if p.approx and clocks else 0)
    found = []
    for lo, hi in spans:
        for back in p.days or (0, 1):
            day = r.today - timedelta(days=back)
            start = instant(day, lo, r.zone) - reach
            found.append((start, max(start, instant(day, hi, r.zone) + reach)))  # a zone may skip a whole date
            if not p.days and start <= r.now:
                break  # without a day: the last time the clock showed this
    return found


def find_moments(text: str, now: datetime) -> list[Moment]:
    """Every time spoken of in a lower-case, normalised message, in order of the text; never one later than `now`.

    `now` is when the message was sent, aware and in the person's zone. Raises ValueError when it is naive.
    """
    if now.tzinfo is None:
        raise ValueError("now must be aware")
    reading = Reading(text, now)
    read_days_and_clocks(reading)
    read_durations(reading)
    return sorted(reading.found, key=lambda m: m.start)
