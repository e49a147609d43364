"""Where the command begins: Ctrl-C ends it in one line, even while what it needs is being loaded."""

from __future__ import annotations

import os
import signal


def end_at_ctrl_c() -> None:
    """Until the search begins and after the files are written Ctrl-C ends in one line: a module that is
    interrupted while it is fetched would tell of a fault of its own."""

    def end(number: int, frame: object) -> None:
        os.write(2, b"\nStopped.\n")
        os._exit(130)

    signal.signal(signal.SIGINT, end)


def main() -> None:
    """The console script."""
    end_at_ctrl_c()
    from rooflayout.cli import main

    main()
