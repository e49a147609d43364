"""What is wrong with an input file, said once and in full, and what is merely worth a note."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from rooflayout.plan import Note, Severity


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that stops the job: where it stands, what was found, what was expected."""

    file: str
    line: int | None
    name: str
    found: str
    expected: str
    hint: str = ""

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        text = f"{place}: {self.name}: found {self.found}; expected {self.expected}."
        # A file name or a text in JSON may hold half a character that no terminal can print.
        whole = f"{text} {self.hint}" if self.hint else text
        return whole.encode("utf-8", "backslashreplace").decode("utf-8")


class ProblemsFound(Exception):  # noqa: N818 (its public name)
    """Input that cannot be used; `problems` holds every one of them, `warnings` what is likely wrong too."""

    def __init__(self, problems: Iterable[Problem], warnings: Iterable[Note] = ()) -> None:
        self.problems = list(problems)
        self.warnings = list(warnings)
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass
class Findings:
    """Collects problems and notes while files are read."""

    problems: list[Problem] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)

    def note(self, severity: Severity, code: str, text: str) -> None:
        """Adds something the reader should know but that does not stop the job."""
        self.notes.append(Note(severity, code, text))

    def stop_if_any(self, first_file: str) -> None:
        """Raises ProblemsFound when there are problems: file by file, in the order of lines."""
        if not self.problems:
            return
        files = list(dict.fromkeys([first_file, *(problem.file for problem in self.problems)]))
        in_order = sorted(self.problems, key=lambda p: (files.index(p.file), p.line or 0))
        raise ProblemsFound(in_order, [note for note in self.notes if note.severity == "warning"])
