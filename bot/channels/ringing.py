"""A bell while a line is awaited: what falls due is told although nobody types.

The system's interval timer interrupts the waiting, and Python then runs the handler in the main thread, inside `input` too: the store, which
stays in the thread that opened it, can be asked from there. Windows has no such timer; there it is told with the next line.
"""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO

EVERY = 1.0  # seconds


@contextmanager
def ringing(ring: Callable[[], None], stream: TextIO, every: float = EVERY) -> Iterator[None]:
    """Calls `ring` again and again for as long as the block waits for a line of this stream."""
    if sys.platform == "win32" or threading.current_thread() is not threading.main_thread() or not _waits(stream):
        yield
        return
    before = signal.signal(signal.SIGALRM, lambda *_: ring())
    signal.setitimer(signal.ITIMER_REAL, every, every)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def _waits(stream: TextIO) -> bool:
    """Whether reading it may take time: a window or a pipe, not a text in memory."""
    try:
        return stream.fileno() >= 0
    except (OSError, ValueError):
        return False


def typed_so_far() -> str:
    """What stands on the line that is being edited; "" where nobody can know."""
    readline = sys.modules.get("readline")
    return str(readline.get_line_buffer()) if readline is not None else ""
