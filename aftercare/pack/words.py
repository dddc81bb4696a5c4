"""How values are written in a pack."""

from __future__ import annotations

import datetime as dt
import re

from aftercare.pack.blocks import NOT_RECORDED
from aftercare.pack.facts import PackFacts, VisitFact

# Control characters mean nothing on paper and NUL ends a document. The bidirectional overrides and embeddings
# (Unicode UAX 9: U+202A to U+202E, U+2066 to U+2069) would reorder what is printed after them; the plain marks
# U+200E, U+200F and U+061C, which right-to-left scripts need, stay. Lone surrogates cannot be encoded.
UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")


def tidy(text: str) -> str:
    return UNPRINTABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n")).strip()


def recorded(value: str | int | None, unit: str = "") -> str:
    """The value with its unit, or "not recorded". Nought is a value, not a blank."""
    text = tidy(str(value)) if value is not None else ""
    if not text:
        return NOT_RECORDED
    return f"{text} {unit}" if unit else text


def said(facts: PackFacts, name: str) -> str:
    """What the record of the furniture says under this name (a column of `FittedFacts`), or "not recorded"."""
    return recorded(facts.fitted.get(name, ""))


def day(value: dt.date | None) -> str:
    return f"{value:%A} {value.day} {value:%B %Y}" if value else NOT_RECORDED


def short_day(value: dt.date | None) -> str:
    return f"{value.day} {value:%B %Y}" if value else NOT_RECORDED


def visit_words(visit: VisitFact | None) -> str:
    if visit is None:
        return NOT_RECORDED
    if visit.starts_at is None or visit.ends_at is None:
        return "still to be arranged: we will ask you for a day"
    if visit.took_place:
        return f"none arranged: the return visit was on {day(visit.starts_at.date())}. Ring us if a door rubs."
    return f"{day(visit.starts_at.date())}, {visit.starts_at:%H:%M} to {visit.ends_at:%H:%M}"


def listed(names: tuple[str, ...]) -> str:
    """`hall, study and landing`, or "not recorded"."""
    clean = [tidy(name) for name in names if tidy(name)]
    if not clean:
        return NOT_RECORDED
    return " and ".join(filter(None, [", ".join(clean[:-1]), clean[-1]]))


def return_words(days: tuple[int, int]) -> str:
    """`six to eight weeks` for days 42 to 56, else the days themselves."""
    return "six to eight weeks" if days == (42, 56) else f"{days[0]} to {days[1]} days"
