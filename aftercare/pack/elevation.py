"""A labelled elevation of the furniture, drawn from its doors, or from its pieces where no door is on record. Pure.

Lengths in mm; the drawing is in units of a quarter of a millimetre of paper. The broken lines of a hung door meet at
its hinge side (drafting convention, common practice, from memory); the words beside the drawing say so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

WIDE = 664
TALLEST = 380
EDGE = 26
UNITS_A_MM = 4
GAP_MM = 3
SMALLEST_TEXT, LARGEST_TEXT = 11, 18

__all__ = ["Front", "elevation_alt", "elevation_svg", "laid_out"]


@dataclass(frozen=True)
class Front:
    """One rectangle of the elevation; without `left_mm` it stands beside the one before it, on the same foot."""

    label: str
    width_mm: int
    height_mm: int
    hung: str = ""
    left_mm: int | None = None
    bottom_mm: int | None = None


@dataclass(frozen=True)
class Placed:
    front: Front
    left_mm: int
    bottom_mm: int


def laid_out(fronts: Sequence[Front]) -> list[Placed]:
    """Every front with a place: its own, or beside the one before it with a shut line of 3 mm."""
    placed: list[Placed] = []
    left_mm, bottom_mm = 0, 0
    for front in fronts:
        left_mm = left_mm if front.left_mm is None else front.left_mm
        bottom_mm = bottom_mm if front.bottom_mm is None else front.bottom_mm
        placed.append(Placed(front, left_mm, bottom_mm))
        left_mm += front.width_mm + GAP_MM
    return placed


def elevation_alt(where: str, fronts: Sequence[Front]) -> str:
    """The drawing in words: for ears, and for the alternative text of the document."""
    parts = [f"{front.label}, {front.width_mm} by {front.height_mm} mm{_hung_words(front.hung)}" for front in fronts]
    return f"Elevation of {where}, from left to right: {'; '.join(parts)}."


def elevation_svg(where: str, fronts: Sequence[Front], *, name: str) -> str:
    """The SVG; `name` makes its ids unique in the document. Everything from the record is escaped."""
    placed = laid_out(fronts)
    wide_mm = max(one.left_mm + one.front.width_mm for one in placed)
    high_mm = max(one.bottom_mm + one.front.height_mm for one in placed)
    scale = min((WIDE - 2 * EDGE) / wide_mm, (TALLEST - 2 * EDGE) / high_mm)
    floor = EDGE + high_mm * scale
    start = (WIDE - wide_mm * scale) / 2
    high = floor + EDGE
    body = "".join(_front(one, scale, start, floor) for one in placed)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {high:.0f}" width="{WIDE / UNITS_A_MM:g}mm" '
        f'height="{high / UNITS_A_MM:.0f}mm" role="img" aria-labelledby="{name}" '
        'font-family="Pack Sans, Source Sans Pro, sans-serif" fill="none" stroke="#20242a" stroke-linejoin="round">'
        f'<title id="{name}">{escape(elevation_alt(where, fronts))}</title>'
        f'<path d="M0 {floor:.1f} H{WIDE}" stroke-width="2.6"/>{body}'
        f"{_sizes(wide_mm, high_mm, scale, start, floor)}</svg>"
    )


def _front(one: Placed, scale: float, start: float, floor: float) -> str:
    wide, high = one.front.width_mm * scale, one.front.height_mm * scale
    left, top = start + one.left_mm * scale, floor - one.bottom_mm * scale - high
    size = max(SMALLEST_TEXT, min(LARGEST_TEXT, wide / max(2, len(one.front.label)) * 1.4))
    swing = _swing(one.front.hung, left, top, wide, high)
    return (
        f'<path d="M{left:.1f} {top:.1f} h{wide:.1f} v{high:.1f} h{-wide:.1f} Z" stroke-width="1.6"/>{swing}'
        f'<text x="{left + wide / 2:.1f}" y="{top + high / 2 + size / 3:.1f}" text-anchor="middle" '
        f'font-size="{size:.0f}" font-weight="600" fill="#20242a" stroke="none">{escape(one.front.label)}</text>'
    )


def _swing(hung: str, left: float, top: float, wide: float, high: float) -> str:
    right, foot, middle = left + wide, top + high, top + high / 2
    ways = {
        "left": f"M{right:.1f} {top:.1f} L{left:.1f} {middle:.1f} L{right:.1f} {foot:.1f}",
        "right": f"M{left:.1f} {top:.1f} L{right:.1f} {middle:.1f} L{left:.1f} {foot:.1f}",
        "top": f"M{left:.1f} {foot:.1f} L{left + wide / 2:.1f} {top:.1f} L{right:.1f} {foot:.1f}",
    }
    if hung not in ways:
        return ""
    return f'<path d="{ways[hung]}" stroke="#8c877a" stroke-width="1" stroke-dasharray="5 4"/>'


def _sizes(wide_mm: int, high_mm: int, scale: float, start: float, floor: float) -> str:
    """Over all: the width under the floor line, the height up the left side."""
    middle = start + wide_mm * scale / 2
    up = floor - high_mm * scale / 2
    return (
        f'<g fill="#4a5058" stroke="none" font-size="15"><text x="{middle:.1f}" y="{floor + 19:.1f}" '
        f'text-anchor="middle">{wide_mm} mm over these fronts</text>'
        f'<text x="{start - 9:.1f}" y="{up:.1f}" text-anchor="middle" '
        f'transform="rotate(-90 {start - 9:.1f} {up:.1f})">{high_mm} mm</text></g>'
    )


def _hung_words(hung: str) -> str:
    words = {"left": ", hinges on the left", "right": ", hinges on the right", "top": ", hinges at the top"}
    return words.get(hung, {"slides": ", slides", "fixed": ", fixed"}.get(hung, ""))
