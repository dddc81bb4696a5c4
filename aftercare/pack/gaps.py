"""Gaps round a door in tenths of a millimetre: as people type them, as they read, and how they moved. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from jobs.pure_errors import MeasureError

SIDES = ("top", "bottom", "left", "right")
# A shut line of fitted furniture is 2 to 3 mm (common practice, from memory). Beyond this it is a slip of the pen.
WIDEST_TENTHS_MM = 150
MOST_BOW_TENTHS_MM = 300
_TYPED = re.compile(r"([-−+]?)\s*(\d{1,4})(?:[.,](\d{1,4}))?\s*(?:mm)?", re.ASCII)


def parse_tenths_mm(text: str, field: str, *, most_tenths_mm: int = WIDEST_TENTHS_MM) -> int:
    """Tenths of a millimetre from "2.5", "2,5" or "2.5 mm". Raises MeasureError naming the field and the remedy."""
    typed = text.strip()
    match = _TYPED.fullmatch(typed.lower())
    if match is None:
        raise MeasureError(field, f"{field}: “{typed[:20]}” is no size. Give millimetres with one decimal, as 2.5.")
    sign, whole, part = match[1], match[2], (match[3] or "").rstrip("0")
    if sign in ("-", "−"):
        raise MeasureError(field, f"{field}: {typed} is below nothing. 0 says that it touches; give 0 or more.")
    if len(part) > 1:
        low = int(whole) * 10 + int(part[0])
        raise MeasureError(
            field,
            f"{field}: {typed} is finer than a tenth of a millimetre. "
            f"Give {tenths_words(low)} or {tenths_words(low + 1)}.",
        )
    tenths_mm = int(whole) * 10 + int(part or 0)
    if tenths_mm > most_tenths_mm:
        raise MeasureError(
            field,
            f"{field}: {tenths_words(tenths_mm)} mm is more than {tenths_words(most_tenths_mm)} mm. "
            f"Is it {tenths_words(tenths_mm // 10)}? Look for the decimal point.",
        )
    return tenths_mm


def tenths_words(tenths_mm: int | None) -> str:
    """2.5 of 25; nothing of None."""
    return "" if tenths_mm is None else f"{Decimal(tenths_mm) / 10:.1f}"


def gap_words(gaps: Mapping[str, int | None]) -> str:
    """top 2.5, bottom 2.0, left 2.2 mm"""
    known = [f"{side} {tenths_words(gaps[side])}" for side in SIDES if gaps.get(side) is not None]
    return f"{', '.join(known)} mm" if known else ""


def moved_words(since: Mapping[str, int | None], now: Mapping[str, int | None]) -> str:
    """What the gaps did between two visits, "top wider by 0.5 mm, right narrower by 0.3 mm"."""
    parts = []
    for side in SIDES:
        before, after = since.get(side), now.get(side)
        if before is None or after is None or before == after:
            continue
        way = "wider" if after > before else "narrower"
        parts.append(f"{side} {way} by {tenths_words(abs(after - before))} mm")
    if parts:
        return ", ".join(parts)
    both = any(since.get(side) is not None and now.get(side) is not None for side in SIDES)
    return "no gap has moved" if both else "no gap was measured both times"
