"""When the light of a note comes back, and what comes nearest to it among the days on offer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta, tzinfo

from aftercare.light.errors import LightError
from aftercare.light.match import photo_windows
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, LightNote, PhotoWindow

# Three degrees is six widths of the sun; the light of a room does not show it (our own choice, no source).
MATCH_WITHIN_DEG = 3.0
_YEAR_DAYS = 366


@dataclass(frozen=True)
class MatchSearch:
    """`nearest` is the best window from `earliest` to `latest`; `first_match` the first day of the year that
    begins at `earliest` on which the sun stands within `within_deg` of the note's height at its bearing."""

    earliest: date
    latest: date
    nearest: PhotoWindow | None
    first_match: PhotoWindow | None

    @property
    def matched(self) -> bool:
        """True where one of the days on offer has the note's light."""
        return self.first_match is not None and self.first_match.day <= self.latest


def find_match(
    place: Place,
    notes: Sequence[LightNote],
    earliest: date,
    latest: date,
    zone: tzinfo,
    aspect: Aspect | None = None,
    within_deg: float = MATCH_WITHIN_DEG,
) -> MatchSearch:
    """Search a year from `earliest`, or until `latest` if that is longer. Without notes a day that keeps the
    general rule counts as a match. Raises LightError("latest") for days in the wrong order."""
    if latest < earliest:
        raise LightError("latest", "The last day is before the first: put the two days in order.")
    count = max(_YEAR_DAYS, (latest - earliest).days + 1)
    answers = photo_windows(place, notes, [earliest + timedelta(n) for n in range(count)], zone, aspect)
    windows = [answer for answer in answers if isinstance(answer, PhotoWindow)]
    on_offer = [window for window in windows if window.day <= latest]
    return MatchSearch(
        earliest=earliest,
        latest=latest,
        nearest=min(on_offer, key=lambda window: (-window.score, _apart_deg(window), window.day), default=None),
        first_match=next((window for window in windows if _apart_deg(window) <= within_deg), None),
    )


def _apart_deg(window: PhotoWindow) -> float:
    return abs(window.height_difference_deg or 0.0)
