"""What the user sees and may do while the search works: a live line, and Ctrl-C."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from types import FrameType, TracebackType

SAME_PRESS_S = 0.3


class StopSwitch:
    """The first Ctrl-C asks the search to stop with its best answer; the second ends at once (130).

    Some programs that pass a Ctrl-C on send it twice in one go: that counts as one.
    """

    def __init__(self) -> None:
        self._event = threading.Event()
        self._before: object = None
        self._first = 0.0

    def stopped(self) -> bool:
        return self._event.is_set()

    def __enter__(self) -> StopSwitch:
        if threading.current_thread() is threading.main_thread():
            self._before = signal.signal(signal.SIGINT, self._pressed)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)  # type: ignore[arg-type]

    def _pressed(self, number: int, frame: FrameType | None) -> None:
        now = time.monotonic()
        if not self._event.is_set():
            self._first = now
            self._event.set()
        elif now - self._first > SAME_PRESS_S:
            os.write(2, b"\nStopped at once: nothing was written.\n")
            os._exit(130)


class LiveLine:
    """One line on standard error: watts, bound, elapsed time; renewed twice a second."""

    def __init__(self, enabled: bool) -> None:
        self._enabled = enabled
        self._start = time.monotonic()
        self._text = "looking for a first layout"
        self._end = threading.Event()
        self._thread: threading.Thread | None = None

    def tell(self, watts: float, bound_watts: float) -> None:
        """Take note of the best layout so far and the bound."""
        if watts:
            more = "proven" if bound_watts <= watts else f"at most {bound_watts:g} W"
            self._text = f"{watts:g} W found, {more}"
        else:
            self._text = f"no layout yet, at most {bound_watts:g} W"

    def drawing(self) -> None:
        """The search is over; the documents are being written."""
        self._text += "; drawing"

    def clear(self) -> None:
        """Wipe the line, so that other text can follow."""
        self._end.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()

    def __enter__(self) -> LiveLine:
        if self._enabled:
            self._thread = threading.Thread(target=self._run, daemon=True)
            self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.clear()

    def _run(self) -> None:
        while not self._end.wait(0.5):
            elapsed = time.monotonic() - self._start
            sys.stderr.write(f"\r\x1b[K{self._text}   {elapsed:.0f} s   (Ctrl-C keeps the best)")
            sys.stderr.flush()
