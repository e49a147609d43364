"""Decimal commas: one fault of a whole file, said for a few cells and then once for all others."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.survey.problems import Problem

HINT = "Write decimals with a point: "
TOLD = 3  # cells of a file that are told one by one
SAVE_AGAIN = (
    "Where semicolons part the cells, replace every comma by a point; or save the table again with English "
    "number formats."
)


def commas_told_once(problems: Sequence[Problem]) -> list[Problem]:
    """The problems in their order, with decimal commas of one file beyond a few in one."""
    told: list[Problem] = []
    found: dict[str, list[Problem]] = {}
    for problem in problems:
        if problem.hint.startswith(HINT) and problem.name != "syntax":
            found.setdefault(problem.file, []).append(problem)
            if len(found[problem.file]) > TOLD + 1:
                continue
        told.append(problem)
    for file, commas in found.items():
        if len(commas) > TOLD + 1:
            last = commas[TOLD]
            more = f"{len(commas) - TOLD} more numbers with a comma"
            told[told.index(last)] = Problem(file, last.line, "from here on", more, "a point", SAVE_AGAIN)
    return told
