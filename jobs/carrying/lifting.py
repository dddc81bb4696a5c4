"""How many lifters a piece asks for by the published guideline filter. A filter, never a permission."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from jobs.carrying.lengths import check_weight_kg
from jobs.pure_errors import MeasureError

Column = Literal["men", "women"]
Reach = Literal["close", "arms_length"]
Zone = Literal["above_shoulder", "elbow_to_shoulder", "knuckle_to_elbow", "mid_leg_to_knuckle", "below_mid_leg"]
Verdict = Literal["one", "team", "not_by_hand", "not_recorded"]

SOURCE = (
    "Health and Safety Executive lifting and lowering filter (L23 appendix 1, INDG143 rev 4) and the L23 team "
    "rule; seen in secondary sources, not in the leaflet itself"
)
CAUTION = "A filter, not a limit and not a permission: assess the lift, follow local rules and licensed practice."
STAIRS_CAUTION = (
    "On stairs most of the load falls on the person below, so the team factor does not hold there: assess it."
)
DISTANCE_CAUTION = "The filter holds for a load held against the body, up to about 10 m without a rest."
NOT_BY_HAND = "do not carry by hand: split it or use a lifting aid"
CARRY_WITHOUT_REST_M = 10

# Kilograms by hand zone: (men close, men arm's length, women close, women arm's length).
FILTER_KG: dict[Zone, tuple[int, int, int, int]] = {
    "above_shoulder": (10, 5, 7, 3),
    "elbow_to_shoulder": (20, 10, 13, 7),
    "knuckle_to_elbow": (25, 15, 16, 10),
    "mid_leg_to_knuckle": (20, 10, 13, 7),
    "below_mid_leg": (10, 5, 7, 3),
}
# Share of the sum of what each could lift alone. No factor is published for four; more rarely works.
TEAM_FACTOR = {1: Fraction(1), 2: Fraction(2, 3), 3: Fraction(1, 2)}
LARGEST_TEAM = max(TEAM_FACTOR)


@dataclass(frozen=True, slots=True)
class Posture:
    """How the piece is held: whose figures, every hand zone the lift crosses, and the reach."""

    column: Column = "men"
    zones: tuple[Zone, ...] = ("knuckle_to_elbow",)
    reach: Reach = "close"


USUAL_POSTURE = Posture()


@dataclass(frozen=True, slots=True)
class Lift:
    """Lifters a piece needs (None: not by hand, or not known) with the words to print beside it."""

    weight_kg: float | None
    lifters: int | None
    verdict: Verdict
    sentence: str
    cautions: tuple[str, ...]
    source: str = SOURCE


def filter_kg(posture: Posture) -> int:
    """One person's filter figure in kg: the smallest of the hand zones crossed."""
    if not posture.zones:
        raise MeasureError("Hand zone", "Hand zone: none was chosen. Choose every zone the lift crosses.")
    offset = {"men": 0, "women": 2}.get(posture.column)
    if offset is None or posture.reach not in ("close", "arms_length"):
        raise MeasureError("Lifter", "Lifter: choose men or women, and close or at arm's length.")
    unknown = [zone for zone in posture.zones if zone not in FILTER_KG]
    if unknown:
        raise MeasureError("Hand zone", f"Hand zone: “{unknown[0]}” is not known. Use {', '.join(FILTER_KG)}.")
    return min(FILTER_KG[zone][offset + (posture.reach == "arms_length")] for zone in posture.zones)


def team_filter_kg(each_kg: Sequence[float]) -> float:
    """Filter figure of a team from what each could lift alone: 2/3 of the sum for two, 1/2 for three."""
    if len(each_kg) not in TEAM_FACTOR:
        raise MeasureError(
            "Lifters", f"Lifters: there is a figure for teams of 1 to {LARGEST_TEAM}, not for {len(each_kg)}."
        )
    factor = TEAM_FACTOR[len(each_kg)]
    return math.fsum(each_kg) * factor.numerator / factor.denominator


def lifters_for(
    weight_kg: float | None, *, posture: Posture = USUAL_POSTURE, on_stairs: bool = False, carry_m: float = 0
) -> Lift:
    """The smallest team whose filter figure is not below `weight_kg`.

    Above a team of three the answer is "not by hand". `on_stairs` and `carry_m` (metres carried without
    a rest) add cautions; they never make the figure kinder. Raises `MeasureError` on an absurd weight.
    """
    cautions = _cautions(on_stairs, carry_m)
    if weight_kg is None:
        words = "weight not recorded: give its boards or put it on scales before anybody lifts it"
        return Lift(None, None, "not_recorded", words, cautions)
    check_weight_kg(weight_kg, "Weight")
    each_kg = filter_kg(posture)
    for lifters in TEAM_FACTOR:
        team_kg = team_filter_kg([each_kg] * lifters)
        if weight_kg <= team_kg:
            return _within(weight_kg, lifters, team_kg, each_kg, cautions)
    words = f"{weight_kg:.1f} kg is above the filter for {LARGEST_TEAM} lifters ({team_kg:.1f} kg): {NOT_BY_HAND}"
    return Lift(weight_kg, None, "not_by_hand", words, cautions)


def _within(weight_kg: float, lifters: int, team_kg: float, each_kg: int, cautions: tuple[str, ...]) -> Lift:
    if lifters == 1:
        words = f"{weight_kg:.1f} kg: one lifter (filter {each_kg} kg)"
        return Lift(weight_kg, 1, "one", words, cautions)
    if STAIRS_CAUTION in cautions:
        lower = f"The lower lifter may hold nearly all {weight_kg:.1f} kg, above one person's {each_kg} kg."
        cautions = (*cautions, lower)
    words = f"{weight_kg:.1f} kg: {lifters} lifters (filter {team_kg:.1f} kg for {lifters} x {each_kg} kg)"
    return Lift(weight_kg, lifters, "team", words, cautions)


def _cautions(on_stairs: bool, carry_m: float) -> tuple[str, ...]:
    cautions = [CAUTION]
    if on_stairs:
        cautions.append(STAIRS_CAUTION)
    if carry_m > CARRY_WITHOUT_REST_M:
        cautions.append(DISTANCE_CAUTION)
    return tuple(cautions)
