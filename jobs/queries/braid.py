"""The geometry of the braid: one commission as a cord on a ruler of six weeks. Pure: no Django, no clock.

Units are those of the SVG's viewBox: DAY_WIDTH a calendar day, so that a box is as wide as its days are long. The
cord is one strand while the job is one; it opens into doors (above) and carcasses (below), which close again at the
knot, the latest start of wrapping that keeps the next date. The gap between the later strand's end and the knot is
therefore the slack; where it is missing the strand runs past the knot and has to come back to it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

WEEKS = 6
DAY_WIDTH = 20
WIDTH = WEEKS * 7 * DAY_WIDTH
HEIGHT = 72
MIDDLE, UPPER, LOWER = 36, 13, 59
FORK = 34
KNOT_RADIUS = 11
BOX_HEIGHT = 30
FOOT = 12


@dataclass(frozen=True)
class Stretch:
    """Half-days from the first to the last inclusive; half 0 is the morning.

    `is_away`: not in the workshop; `is_overdue`: away, and should have been back.
    """

    first: dt.date
    last: dt.date
    first_half: int = 0
    last_half: int = 1
    is_away: bool = False
    is_overdue: bool = False

    @property
    def kind(self) -> str:
        if not self.is_away:
            return "here"
        return "overdue" if self.is_overdue else "away"


@dataclass(frozen=True)
class CordFacts:
    """What is known of one commission. Strands are stretches in order of time; `is_tied` once it is wrapped."""

    whole: Stretch | None = None
    doors: tuple[Stretch, ...] = ()
    carcasses: tuple[Stretch, ...] = ()
    bought_in_due: dt.date | None = None
    knot: dt.date | None = None
    knot_half: int = 0
    is_tied: bool = False
    is_short: bool = False
    site: Stretch | None = None
    has_slot: bool = False


@dataclass(frozen=True)
class Line:
    """A path and what it is: `cord` one strand, `here`, `away`, `overdue`, `lead` thin, `short` back to the knot."""

    kind: str
    d: str


@dataclass(frozen=True)
class Box:
    x: float
    width: float
    y: float = MIDDLE - BOX_HEIGHT / 2
    height: float = BOX_HEIGHT
    feet: str = ""


@dataclass(frozen=True)
class Cord:
    """All that is drawn for one commission, back to front; x values are within 0 to WIDTH.

    `backs` are the strands that came too late and lead back to the knot: drawn over the box, which hides nothing.
    """

    lines: tuple[Line, ...] = ()
    backs: tuple[Line, ...] = ()
    knot_x: float | None = None
    is_tied: bool = False
    is_short: bool = False
    parts_x: float | None = None
    box: Box | None = None

    @property
    def is_empty(self) -> bool:
        return not self.lines and self.knot_x is None and self.box is None


@dataclass(frozen=True)
class Week:
    x: int
    monday: dt.date


@dataclass(frozen=True)
class Ruler:
    """Six weeks from the Monday of the week of `today`."""

    today: dt.date

    @property
    def first(self) -> dt.date:
        return self.today - dt.timedelta(days=self.today.weekday())

    @property
    def last(self) -> dt.date:
        return self.first + dt.timedelta(days=7 * WEEKS - 1)

    @property
    def weeks(self) -> tuple[Week, ...]:
        return tuple(Week(7 * DAY_WIDTH * number, self.first + dt.timedelta(weeks=number)) for number in range(WEEKS))

    @property
    def today_x(self) -> float:
        return self.x(self.today) + DAY_WIDTH / 2

    def x(self, day: dt.date, half: int = 0) -> float:
        """Where a half-day begins; outside 0 to WIDTH for days that are not drawn."""
        return (day - self.first).days * DAY_WIDTH + half * DAY_WIDTH / 2

    def ends(self, stretch: Stretch) -> tuple[float, float]:
        return self.x(stretch.first, stretch.first_half), self.x(stretch.last, stretch.last_half) + DAY_WIDTH / 2


def draw(facts: CordFacts, ruler: Ruler) -> Cord:
    """The cord of one commission, cut off at both ends of the ruler."""
    knot_x = None if facts.knot is None else ruler.x(facts.knot, facts.knot_half)
    box = _box(facts, ruler)
    lines = [*_whole(facts, ruler, knot_x)]
    lines += _strand(facts.doors, ruler, UPPER, knot_x, _end_of_whole(facts, ruler))
    lines += _strand(facts.carcasses, ruler, LOWER, knot_x, _end_of_whole(facts, ruler))
    site_x = None if facts.site is None else ruler.x(facts.site.first, facts.site.first_half)
    if knot_x is not None and site_x is not None:
        lines += _level(knot_x, site_x, MIDDLE, "lead")
    parts_x = None if facts.bought_in_due is None else ruler.x(facts.bought_in_due)
    if parts_x is not None and knot_x is not None and knot_x < parts_x <= WIDTH and facts.is_short:
        lines += _level(knot_x, parts_x, MIDDLE, "short")
    lines.sort(key=lambda line: line.kind != "lead")  # thin ones lie under the strands
    seen = knot_x is not None and -KNOT_RADIUS <= knot_x <= WIDTH
    return Cord(
        lines=tuple(line for line in lines if line.kind != "short"),
        backs=tuple(line for line in lines if line.kind == "short" and not facts.is_tied),
        knot_x=max(knot_x, KNOT_RADIUS) if knot_x is not None and seen else None,
        is_tied=facts.is_tied,
        is_short=facts.is_short,
        parts_x=parts_x if parts_x is not None and 0 <= parts_x <= WIDTH else None,
        box=box,
    )


def _end_of_whole(facts: CordFacts, ruler: Ruler) -> float | None:
    return None if facts.whole is None else ruler.ends(facts.whole)[1]


def _whole(facts: CordFacts, ruler: Ruler, knot_x: float | None) -> list[Line]:
    if facts.whole is None:
        return []
    start, end = ruler.ends(facts.whole)
    lines = _level(start, end, MIDDLE, "cord")
    if knot_x is not None and not facts.doors and not facts.carcasses:
        lines += _level(end, knot_x, MIDDLE, "lead")
    return lines


def _level(start: float, end: float, y: float, kind: str) -> list[Line]:
    start, end = max(start, 0), min(end, WIDTH)
    return [Line(kind, f"M{_n(start)} {_n(y)}H{_n(end)}")] if end > start else []


def _strand(
    stretches: Sequence[Stretch], ruler: Ruler, y: float, knot_x: float | None, whole_end: float | None
) -> list[Line]:
    if not stretches:
        return []
    runs = _runs(stretches, ruler)
    lines: list[Line] = []
    first = runs[0][1]
    if whole_end is not None and whole_end < first:
        lines += _level(whole_end, first, MIDDLE, "lead")
    for number, (kind, start, end) in enumerate(runs):
        lines += _fork(kind, start, end, y) if number == 0 and start > 0 else _level(start, end, y, kind)
    if knot_x is not None:
        lines += _home(runs[-1][2], y, knot_x)
    return lines


def _runs(stretches: Sequence[Stretch], ruler: Ruler) -> list[tuple[str, float, float]]:
    """Kind, start and end of each part of a strand. Waits and weekends belong to the part before them."""
    runs: list[tuple[str, float, float]] = []
    for stretch in stretches:
        start, end = ruler.ends(stretch)
        kind = stretch.kind
        if runs:
            start = max(start, runs[-1][1])
            runs[-1] = (runs[-1][0], runs[-1][1], start)
            if runs[-1][0] == kind:
                start = runs.pop()[1]
        runs.append((kind, start, max(start, end)))
    return runs


def _fork(kind: str, start: float, end: float, y: float) -> list[Line]:
    """A strand that leaves the middle: a curve, then level."""
    if start >= WIDTH:
        return []
    reach = min(FORK, max(end - start, DAY_WIDTH / 2))
    curve = (
        f"M{_n(start)} {MIDDLE}"
        f"C{_n(start + reach / 2)} {MIDDLE} {_n(start + reach / 3)} {_n(y)} {_n(start + reach)} {_n(y)}"
    )
    return [Line(kind, curve + (f"H{_n(min(end, WIDTH))}" if end > start + reach else ""))]


def _home(end: float, y: float, knot_x: float) -> list[Line]:
    """From a strand's end to the knot; back to it where the strand ends too late."""
    if knot_x < 0 or end > WIDTH:
        return []
    if end > knot_x:
        return [Line("short", f"M{_n(end)} {_n(y)}L{_n(knot_x)} {MIDDLE}")]
    turn = max(end, knot_x - 2 * KNOT_RADIUS)
    path = f"M{_n(max(end, 0))} {_n(y)}"
    if turn > max(end, 0):
        path += f"H{_n(min(turn, WIDTH))}"
    return [Line("lead", path + (f"L{_n(knot_x)} {MIDDLE}" if knot_x <= WIDTH else ""))]


def _box(facts: CordFacts, ruler: Ruler) -> Box | None:
    if facts.site is None:
        return None
    start, end = ruler.ends(facts.site)
    left, right = max(start, 0), min(end, WIDTH)
    if right - left < DAY_WIDTH / 4:
        return None
    box = Box(left, right - left)
    if not facts.has_slot or start < 0:
        return box
    foot = f"V{_n(box.y + box.height + FOOT)}"
    low = _n(box.y + box.height)
    return replace(box, feet=f"M{_n(left)} {low}{foot}M{_n(left + 7)} {low}{foot}")


def _n(value: float) -> str:
    """A number as short as it can be written: there are sixty rows of them."""
    return f"{value:.1f}".rstrip("0").rstrip(".")
