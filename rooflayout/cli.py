"""The commands: parse, call, print; nothing else. Heavy imports wait inside the command that needs them."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from rooflayout.start import end_at_ctrl_c

# before numpy is there: its matrices are small, and a second thread only waits for the first
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

app = typer.Typer(
    help="The most solar watts on a small, cluttered roof: placed, proven, wired and drawn.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
JobFile = Annotated[
    Path, typer.Argument(metavar="JOB.toml", help="The job: roof, panels, battery, controllers.")
]


@app.command()
def plan(
    job: JobFile,
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where the files go. [default: outputs/<job's name>/]")
    ] = None,
    time_limit: Annotated[
        float, typer.Option(metavar="SECONDS", min=0.1, max=86400, help="Stop searching after so long.")
    ] = 60.0,
    seed: Annotated[int, typer.Option(help="Noted in plan.json; no answer depends on it.")] = 0,
    workers: Annotated[
        int,
        typer.Option(
            min=1, max=64, help="Threads at most; no answer that comes before the time limit depends on it."
        ),
    ] = 2,
    json: Annotated[
        bool, typer.Option("--json", help="Print plan.json's contents and nothing else.")
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="No progress and no table; errors only.")] = False,
) -> None:
    """Find the best layout, wire it, check it, and write the drawing and the schedules."""
    end_at_ctrl_c()
    from rooflayout.commands import run_plan

    raise typer.Exit(run_plan(job, out, time_limit, seed, workers, json, quiet))


@app.command()
def inspect(
    job: JobFile,
    plan_file: Annotated[
        Path, typer.Argument(metavar="PLAN.json", help="A plan: ours, hand-made or as built.")
    ],
) -> None:
    """Check a plan against its job; every breach is listed."""
    end_at_ctrl_c()
    from rooflayout.commands import run_inspect

    raise typer.Exit(run_inspect(job, plan_file))


@app.command()
def new(file: Annotated[Path, typer.Argument(metavar="FILE.toml", help="The file to make.")]) -> None:
    """Write a commented starter job, with catalogues to replace by your dealer's."""
    from rooflayout.commands import run_new

    raise typer.Exit(run_new(file))


def main() -> None:
    """The console script. No traceback reaches the user unless ROOFLAYOUT_DEBUG is set."""
    try:
        app()
    except Exception as error:
        if os.environ.get("ROOFLAYOUT_DEBUG"):
            raise
        what = f"{type(error).__name__}: {error}"
        print(f"rooflayout: a fault in the program, not in your file: {what}", file=sys.stderr)
        print("Set ROOFLAYOUT_DEBUG=1 to see where, and report it with the job file.", file=sys.stderr)
        sys.exit(1)


if __name__ == "__main__":
    main()
