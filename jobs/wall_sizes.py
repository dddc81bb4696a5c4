"""How large things are drawn on a screen that hangs on a wall. Pure.

Sizes are meant in millimetres, so a screen has to be measured once: a steel rule is laid on a line of so many CSS
pixels. Until then the width of the screen is taken for that of a usual wall screen (GUESSED_WIDTH_MM).
"""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode

# Outside of these it is a slip of the hand: a telephone has about 0.06 mm per CSS pixel, a projector some 2 mm.
LEAST_MM_PER_PX, GREATEST_MM_PER_PX = 0.05, 3.0
LEAST_M, GREATEST_M = 0.5, 8.0
# 16:9 and 43 inches across the corner: 43 × 25.4 × 16 / √(16² + 9²) = 952 mm.
GUESSED_WIDTH_MM = 952
# Capitals of 1/200 of the viewing distance: 15 mm at 3 m (common practice; 16 arc minutes would be 14 mm).
CAPITALS_PER_M_MM = 5.0


@dataclass(frozen=True)
class ScreenSizes:
    """What a screen has been told of itself. `mm_per_px`: of a CSS pixel, None before it is measured."""

    mm_per_px: float | None = None
    viewing_distance_m: float = 3.0
    has_shortcuts: bool = True
    refreshes: bool = True
    stays_awake: bool = False

    @property
    def px_per_mm(self) -> float | None:
        return None if self.mm_per_px is None else 1 / self.mm_per_px

    @property
    def capitals_mm(self) -> float:
        """15 mm at 3 m."""
        return CAPITALS_PER_M_MM * self.viewing_distance_m

    def style_sheet(self) -> str:
        """The custom properties that static/css/wall.css draws with: `--mm` a length, `--capitals-mm` a number."""
        one_mm = f"calc(100vw / {GUESSED_WIDTH_MM})" if self.px_per_mm is None else f"{self.px_per_mm:.4f}px"
        return f":root{{--mm:{one_mm};--capitals-mm:{self.capitals_mm:g}}}\n"

    def as_cookie(self) -> str:
        return urlencode(
            {
                "mm": "" if self.mm_per_px is None else f"{self.mm_per_px:.5f}",
                "m": f"{self.viewing_distance_m:g}",
                "keys": int(self.has_shortcuts),
                "new": int(self.refreshes),
                "awake": int(self.stays_awake),
            }
        )


def mm_per_px(*, rule_mm: float, line_px: float) -> float:
    """From a line of `line_px` CSS pixels on which a rule reads `rule_mm`.

    Raises:
        ValueError: with a sentence, where no screen has such pixels.
    """
    found = rule_mm / line_px if line_px > 0 else 0.0
    if not LEAST_MM_PER_PX <= found <= GREATEST_MM_PER_PX:
        raise ValueError(
            "Length of the line: no screen reads like that. Make the line as long as the rule shows, "
            f"between {rule_mm / GREATEST_MM_PER_PX:.0f} and {rule_mm / LEAST_MM_PER_PX:.0f} px."
        )
    return found


def sizes_from_cookie(words: str) -> ScreenSizes:
    """What `as_cookie` wrote; what cannot be read, or lies outside the bounds, is as if it had not been said."""
    told = dict(parse_qsl(words[:200]))
    pixel = _number(told.get("mm", ""), LEAST_MM_PER_PX, GREATEST_MM_PER_PX)
    return ScreenSizes(
        mm_per_px=pixel,
        viewing_distance_m=_number(told.get("m", ""), LEAST_M, GREATEST_M) or 3.0,
        has_shortcuts=told.get("keys", "1") == "1",
        refreshes=told.get("new", "1") == "1",
        stays_awake=told.get("awake", "0") == "1",
    )


def _number(words: str, least: float, greatest: float) -> float | None:
    try:
        found = float(words)
    except ValueError:
        return None
    return found if least <= found <= greatest else None
