"""How values are shown in messages, and what a misspelt word was probably meant to be."""

from __future__ import annotations

import difflib
import json
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any

LONGEST_SHOWN = 60
MOST_LISTED = 14

# Everyday words for which difflib finds no likeness.
_EVERYDAY = {
    "back": "rear",
    "antenna": "aerial",
    "ac": "air-conditioner",
    "aircon": "air-conditioner",
    "window": "skylight",
    "rooflight": "skylight",
    "fan": "vent",
    "flue": "chimney",
    "lat": "latitude",
    "lon": "longitude",
    "position": "at",
    "overhang": "reach",
    "opening": "opens",
    "gap": "clearance",
    "sun": "irradiance",
    "temperature": "cell",
    "width": "size",
    "length": "size",
    "power": "watts",
    "w": "watts",
    "kw": "watts",
    "wh": "watt_hours",
    "kwh": "watt_hours",
    "energy": "watt_hours",
    "amperes": "current",
    "amps": "current",
    "lifepo4": "lithium",
    "lfp": "lithium",
    "wet": "flooded",
    "caravan": "trailer",
    "camper": "motor",
    "motorhome": "motor",
    "van": "motor",
    "truck": "motor",
    "bus": "motor",
    "narrowboat": "boat",
    "barge": "boat",
    "ship": "boat",
    "yacht": "boat",
    "sailboat": "boat",
    "aft": "rear",
    "astern": "rear",
    "stern": "rear",
    "fore": "front",
    "bow": "front",
    "port": "left",
    "starboard": "right",
    "hitch": "coupling",
    "towball": "coupling",
    "gm": "metacentric_height",
}


def show(value: Any) -> str:
    """The value as the user could have typed it, shortened to one line of 60 characters."""
    return _short(_written(value))


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def _written(value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value[: 2 * LONGEST_SHOWN], ensure_ascii=False)
    if isinstance(value, int):
        # Python refuses to print integers of thousands of digits.
        return str(value) if value.bit_length() <= 128 else "a number of very many digits"
    if isinstance(value, float):
        return f"{value:.15g}"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "[" + ", ".join(show(item) for item in value[:LONGEST_SHOWN]) + "]"
    return str(value)


def is_one_line(text: str) -> bool:
    """True when the text has no line breaks, control characters or halves of characters."""
    return not any(unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp") for char in text)


def number_text(value: float) -> str:
    """A number without a needless .0: 40, 12.5."""
    return f"{value:.10g}"


def guess(word: str, known: Iterable[str]) -> str | None:
    """The known word that this one was probably meant to be, or None."""
    by_plain = {_plain(name): name for name in known}
    plain = _plain(word)
    if plain in by_plain:
        return by_plain[plain]
    everyday = _plain(_EVERYDAY.get(plain.replace("-", ""), ""))
    if everyday in by_plain:
        return by_plain[everyday]
    close = difflib.get_close_matches(plain, list(by_plain), n=1, cutoff=0.6)
    return by_plain[close[0]] if close else None


def is_everyday(word: str, meant: str | None) -> bool:
    """True for an everyday word for this known one, however little the two look alike."""
    return meant is not None and _EVERYDAY.get(_plain(word).replace("-", "")) == meant


def did_you_mean(word: str, known: Sequence[str]) -> str:
    """A hint: the likeliest known word, else the list of them, else nothing."""
    likely = guess(word, known)
    if likely is not None:
        return f'Did you mean "{_short(likely)}"?'
    if not known:
        return ""
    more = ", ..." if len(known) > MOST_LISTED else ""
    return f"Known here: {', '.join(_short(name) for name in known[:MOST_LISTED])}{more}."


def _plain(word: str) -> str:
    return word.strip().casefold().replace("_", "-").replace(" ", "-")
