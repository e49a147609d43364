"""Files into text, with a plain word for everything that can go wrong on the way."""

from __future__ import annotations

from pathlib import Path

from rooflayout.survey.words import guess

LARGEST_BYTES = 20_000_000


class UnreadableError(Exception):
    """A file that gives no text: what was found, what was expected, a hint, the line if known."""

    def __init__(self, found: str, expected: str, hint: str = "", line: int | None = None) -> None:
        super().__init__(found)
        self.found = found
        self.expected = expected
        self.hint = hint
        self.line = line


def read_text(path: Path, example: Path) -> str:
    """The text of a UTF-8 file, without a byte order mark. `example` shows the expected suffix.

    Raises UnreadableError.
    """
    data = _read_bytes(path, example)
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):  # how zip (xlsx, ods) and older xls files begin
        hint = f"In the program that wrote it, save it as {example.suffix.removeprefix('.').upper()}."
        raise UnreadableError("a spreadsheet or an archive", "plain text", hint)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise UnreadableError("text in UTF-16", "text in UTF-8", "Save the file again as UTF-8.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        byte = f"the byte 0x{data[error.start]:02x}"
        raise UnreadableError(byte, "text in UTF-8", "Save the file again as UTF-8.", line) from error
    if not text.strip():
        raise UnreadableError("an empty file", f"a file like {example}")
    return text


def read_any_text(path: Path, example: Path) -> str:
    """The text of a file of numbers in which names may stand in an older coding, which does not matter.

    Raises UnreadableError.
    """
    data = _read_bytes(path, example)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    if not text.strip():
        raise UnreadableError("an empty file", f"a file like {example}")
    return text


def _read_bytes(path: Path, example: Path) -> bytes:
    try:
        if path.is_dir():
            raise UnreadableError("a folder", "a file", _inside(path, example.suffix))
        if not path.exists():
            raise UnreadableError("no such file", "a file that exists", _nearby(path))
        if not path.is_file():
            raise UnreadableError("no ordinary file", "a file")
        if path.stat().st_size > LARGEST_BYTES:
            raise UnreadableError(
                f"{path.stat().st_size / 1e6:.0f} MB", f"at most {LARGEST_BYTES / 1e6:.0f} MB of text"
            )
        return path.read_bytes()
    except PermissionError as error:
        raise UnreadableError("a file that may not be read", "a readable file") from error
    except (OSError, ValueError) as error:
        raise UnreadableError("a name that no file can have", "a file that exists") from error


def _inside(folder: Path, suffix: str) -> str:
    """A file of the expected kind in the folder."""
    likely = sorted(p for p in folder.iterdir() if p.suffix == suffix and p.is_file())
    return f"Name a file in it, such as {likely[0]}." if likely else ""


def _nearby(path: Path) -> str:
    """A file of a similar name in the same folder, or the nearest folder that does exist."""
    folder = path.parent
    if not folder.is_dir():
        return f"There is no folder {folder}."
    likely = guess(path.name, sorted(p.name for p in folder.iterdir() if p.is_file()))
    return f'Did you mean "{likely}"?' if likely is not None else ""
