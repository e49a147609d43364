"""What the user sees and may do while the search works: a live line, and Ctrl-C."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from types import FrameType, TracebackType

from rooflayout.plan import Layout

SAME_PRESS_S = 0.3
RUNNING, STOPPING = "   (Ctrl-C keeps the best)", "   (stopping; Ctrl-C again: no files)"


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

    def __init__(self, enabled: bool, stopped: Callable[[], bool] = lambda: False) -> None:
        """stopped: whether Ctrl-C was heard."""
        self._enabled, self._stopped = enabled, stopped
        self._start = time.monotonic()
        self._text, self._hint = "looking for a first layout", RUNNING
        self._end = threading.Event()
        self._thread: threading.Thread | None = None

    def tell(self, watts: float, bound_watts: float) -> None:
        """Take note of the best layout so far and the bound; whether it is proven is said at the end."""
        if watts:
            self._text = f"{_in_watts(watts)} found, at most {_in_watts(bound_watts)}"
            if watts >= bound_watts:  # equals are weighed, near misses and other controllers asked about
                self._text += "; looking on"
        else:
            self._text = f"no layout yet, at most {_in_watts(bound_watts)}"

    def drawing(self, layout: Layout) -> None:
        """The search is over; the documents are being written."""
        self._text, self._hint = f"{_in_watts(layout.watts)}, {layout.status}; drawing", ""

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
            hint = STOPPING if self._stopped() else self._hint
            sys.stderr.write(f"\r\x1b[K{self._text}   {elapsed:.0f} s{hint}")
            sys.stderr.flush()


def _in_watts(watts: float) -> str:
    """All digits, however many; tenths where there are any."""
    return f"{watts:.1f}".removesuffix(".0") + " W"
