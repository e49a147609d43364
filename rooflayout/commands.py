"""What each command does, from files to exit code."""

from __future__ import annotations

import sys
from pathlib import Path

from rooflayout.job import Job
from rooflayout.live import LiveLine, StopSwitch
from rooflayout.plan import Note, Plan

DONE, FOUND_BREACH, NOTHING_FITS, NOT_TO_BE_BUILT = 0, 1, 1, 1
BAD_INPUT, OVER_A_LIMIT, INTERRUPTED = 2, 3, 130


def run_plan(
    job_file: Path, out: Path | None, time_limit_s: float, seed: int, workers: int, json: bool, quiet: bool
) -> int:
    """The plan command; returns its exit code."""
    job, notes = _read(job_file)
    if job is None:
        return BAD_INPUT
    from rooflayout.documents.write import check_folder, plan_to_json, write_documents
    from rooflayout.planner import PlanFaultError, plan_job

    directory = out if out is not None else Path("outputs") / job_file.stem
    try:
        check_folder(directory)
    except OSError as error:
        _say(f"rooflayout: {error}")
        return BAD_INPUT

    switch = StopSwitch()
    live = LiveLine(not quiet and sys.stderr.isatty(), switch.stopped)
    with switch, live:
        try:
            plan = plan_job(
                job,
                notes,
                time_limit_s=time_limit_s,
                seed=seed,
                workers=workers,
                stopped=switch.stopped,
                tell=live.tell,
            )
        except PlanFaultError as fault:
            live.clear()
            _say("rooflayout: a fault in the program: its own plan failed inspection, so none is shown.")
            _say(str(fault))
            return FOUND_BREACH
        live.drawing(plan.layout)
        unwritten = False
        try:
            files = write_documents(job, plan, directory)
        except OSError as error:
            live.clear()
            _say(f"rooflayout: {error}")
            _say("Nothing was written." if quiet else "Nothing was written; the plan is shown all the same.")
            files, unwritten = [], True
    if json:
        sys.stdout.write(plan_to_json(job, plan))
    elif not quiet:
        from rooflayout.terminal import print_plan

        print_plan(job, plan, files)
    if unwritten:
        return BAD_INPUT
    over = _say_limits_passed(plan, named=json or quiet)  # else they stand on standard output
    _say_errors(plan, named=json or quiet)
    if switch.stopped() and plan.layout.status != "proven":
        _say("Interrupted: what was found until then is written, not proven to be the best.")
        return INTERRUPTED
    if plan.layout.status == "nothing fits":
        if json or quiet:  # else it stands among the notes on standard output
            for note in plan.notes:
                if note.code.startswith("nothing-fits"):
                    _say(f"Nothing fits: {note.text}")
        return NOTHING_FITS
    if not plan.layout.watts:
        return NOTHING_FITS
    if plan.errors:
        return NOT_TO_BE_BUILT
    return OVER_A_LIMIT if over else DONE


def run_inspect(job_file: Path, plan_file: Path) -> int:
    """The inspect command; returns its exit code."""
    job, _ = _read(job_file, "nothing was checked")
    if job is None:
        return BAD_INPUT
    from rooflayout.inspection.inspect import inspect_plan
    from rooflayout.inspection.vehicle_limits import passed_limits
    from rooflayout.survey.plan_file import read_plan
    from rooflayout.survey.problems import ProblemsFound

    try:
        plan = read_plan(plan_file, job)
    except ProblemsFound as found:
        _list_problems(found, "nothing was checked")
        return BAD_INPUT
    if plan.job_file != job.file_name:
        _say(f"{plan_file} was made for the job {plan.job_file}, not for {job.file_name}.")
    breaches = [*inspect_plan(job, plan), *passed_limits(job, plan)]
    from rooflayout.terminal import print_inspection

    print_inspection(job, plan, breaches)
    return FOUND_BREACH if breaches else DONE


def run_new(file: Path) -> int:
    """The new command; returns its exit code."""
    from rooflayout.documents.starter import write_starter

    try:
        written = write_starter(file)
    except OSError as error:
        _say(f"rooflayout: {error}")
        return BAD_INPUT
    for path in written:
        print(f"Wrote {path}")
    print(f"Fill it in, then: rooflayout plan {file}")
    return DONE


def _say_limits_passed(plan: Plan, named: bool) -> bool:
    """Whether a limit of vehicle or roof is passed, and says so; named: with each one's figures."""
    from rooflayout.vehicle.notes import OVER, tells_limit_passed

    passed = [note for note in plan.notes if tells_limit_passed(note)]
    if named:
        for note in passed:
            _say(f"{OVER}: {note.text}")
    if passed:
        how_many = "1 limit" if len(passed) == 1 else f"{len(passed)} limits"
        _say(f"{OVER}: {how_many} of vehicle or roof passed; the plan is written, not to be built like this.")
    return bool(passed)


def _say_errors(plan: Plan, named: bool) -> None:
    """That the plan cannot be built as it stands; named: with each reason."""
    if named:
        for note in plan.errors:
            _say(f"Error: {note.text}")
    if plan.errors:
        how_many = "1 error" if len(plan.errors) == 1 else f"{len(plan.errors)} errors"
        _say(f"{how_many}: the plan is written, but it is not to be built as it stands.")


def _read(job_file: Path, undone: str = "nothing was written") -> tuple[Job | None, tuple[Note, ...]]:
    from rooflayout.survey.problems import ProblemsFound
    from rooflayout.survey.read import read_job

    try:
        return read_job(job_file)
    except ProblemsFound as found:
        _list_problems(found, undone)
        return None, ()


def _list_problems(found: Exception, undone: str = "nothing was written") -> None:
    problems = getattr(found, "problems", [])
    for problem in problems:
        _say(str(problem))
    for note in getattr(found, "warnings", []):
        _say(f"Warning: {note.text}")
    count = len(problems)
    _say(f"{count} problem{'s' if count != 1 else ''} found; {undone}.")


def _say(text: str) -> None:
    print(text, file=sys.stderr)
