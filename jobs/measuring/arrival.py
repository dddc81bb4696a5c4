"""Measured on arrival against surveyed: what differs, and what it does to the infills."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from jobs.measuring.readings import ProudThing, RoomReadings
from jobs.measuring.run import Placing, Run, place_run
from jobs.pure_errors import MeasureError

TAPE_ACCURACY_MM = 2  # a tape; a laser is about 1 mm. Common practice, no source


@dataclass(frozen=True, slots=True)
class Difference:
    """One reading then and now. `matters` is False within what a tape can tell apart."""

    name: str
    surveyed_mm: int
    measured_mm: int
    matters: bool

    @property
    def change_mm(self) -> int:
        return self.measured_mm - self.surveyed_mm


@dataclass(frozen=True, slots=True)
class Arrival:
    """Differences, readings not taken again, and the run then and now (None without a width each time)."""

    differences: tuple[Difference, ...]
    not_taken_again: tuple[str, ...]
    before: Placing | None
    after: Placing | None
    verdict: Literal["as_surveyed", "changed", "does_not_fit"]
    sentences: tuple[str, ...]


def compare_arrival(
    surveyed: RoomReadings,
    measured: RoomReadings,
    *,
    run: Run | None = None,
    position_mm: int | None = None,
    proud: Sequence[ProudThing] = (),
) -> Arrival:
    """Compare reading by reading; with a run, both infills then and now on the smallest width.

    With no `position_mm` the run is centred then and now. The width on the day is the smallest of the new
    readings and of those surveyed ones that were not taken again. Raises `MeasureError` when the two
    have no reading in common, since nothing could be said.
    """
    now_mm = {reading.name: reading.value_mm for reading in measured.sizes}
    differences = tuple(
        Difference(
            reading.name,
            reading.value_mm,
            now_mm[reading.name],
            abs(now_mm[reading.name] - reading.value_mm) > TAPE_ACCURACY_MM,
        )
        for reading in surveyed.sizes
        if reading.name in now_mm
    )
    if not differences:
        raise MeasureError(
            "Readings on arrival", "Readings on arrival: none is at a surveyed place. Measure at least one of those."
        )
    not_again = tuple(reading.name for reading in surveyed.sizes if reading.name not in now_mm)
    before, after = None, None
    if run is not None and surveyed.values_mm("width"):
        before = place_run(min(surveyed.values_mm("width")), run, position_mm, proud)
        after = place_run(_width_now_mm(surveyed, measured), run, position_mm, proud)
    verdict = _verdict(differences, run, surveyed, measured, after)
    sentences = _sentences(differences, not_again, before, after)
    sentences += _too_small(run, surveyed, measured)
    return Arrival(differences, not_again, before, after, verdict, tuple(sentences))


def _width_now_mm(surveyed: RoomReadings, measured: RoomReadings) -> int:
    again = {reading.name for reading in measured.sizes}
    kept = [r.value_mm for r in surveyed.sizes if r.direction == "width" and r.name not in again]
    return min([*measured.values_mm("width"), *kept])


def _verdict(
    differences: Sequence[Difference],
    run: Run | None,
    surveyed: RoomReadings,
    measured: RoomReadings,
    after: Placing | None,
) -> Literal["as_surveyed", "changed", "does_not_fit"]:
    if (after is not None and not after.fits) or _too_small(run, surveyed, measured):
        return "does_not_fit"
    return "changed" if any(difference.matters for difference in differences) else "as_surveyed"


def _too_small(run: Run | None, surveyed: RoomReadings, measured: RoomReadings) -> list[str]:
    """A run deeper than the depth measured now; heights are the drawing's business."""
    depths = measured.values_mm("depth")
    if run is None or not depths or min(depths) >= run.depth_mm:
        return []
    return [f"The run is {run.depth_mm} mm deep, the opening is now {min(depths)} mm at its smallest."]


def _sentences(
    differences: Sequence[Difference], not_again: Sequence[str], before: Placing | None, after: Placing | None
) -> list[str]:
    sentences = [
        f"{d.name}: surveyed {d.surveyed_mm}, now {d.measured_mm} mm, {abs(d.change_mm)} mm "
        f"{'larger' if d.change_mm > 0 else 'smaller'}."
        for d in differences
        if d.matters
    ]
    if not sentences:
        count = "The reading agrees" if len(differences) == 1 else f"All {len(differences)} readings agree"
        sentences.append(f"{count} within {TAPE_ACCURACY_MM} mm, a tape's accuracy.")
    if not_again:
        sentences.append(f"Not measured again: {'; '.join(not_again)}.")
    if before is not None and after is not None:
        sentences.append(
            f"Infill left {before.left_mm} mm planned, {after.left_mm} now; right {before.right_mm} mm planned, "
            f"{after.right_mm} now. {after.sentence}"
        )
    return sentences
