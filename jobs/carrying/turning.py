"""The flat rectangle in a right-angled corridor, and the rectangle inside a rectangle.

Lengths in mm, angles in radians. The corner formula is C. Moretti's, College Mathematics Journal 33(3),
2002, 196-200; with no width it is the ladder problem, L = (a^(2/3) + b^(2/3))^(3/2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from jobs.pure_errors import MeasureError

_GRID = 64
_ANGLES = tuple(math.pi / 2 * step / _GRID for step in range(_GRID + 1))
_SIN_COS = tuple((math.sin(angle), math.cos(angle)) for angle in _ANGLES)
_GOLDEN = (math.sqrt(5) - 1) / 2


@dataclass(frozen=True, slots=True)
class TightestAngle:
    """The smallest gap left at the inner corner while the rectangle swings, and where that happens.

    `gap_mm` below zero means it does not swing round; the angle is between the long side and corridor a.
    """

    gap_mm: float
    angle_rad: float


def length_at_angle(a_mm: float, b_mm: float, width_mm: float, angle_rad: float) -> float:
    """Longest rectangle of `width_mm` that fits the corner while held at one angle."""
    sin, cos = math.sin(angle_rad), math.cos(angle_rad)
    return (a_mm * cos + b_mm * sin - width_mm) / (sin * cos)


def longest_round_corner(a_mm: float, b_mm: float, width_mm: float) -> float:
    """Longest flat rectangle of `width_mm` that swings from a corridor a wide into one b wide.

    The derivative of `length_at_angle` has the sign of g(t) = b sin^3 t - a cos^3 t + w cos 2t. For w
    below both widths g rises through zero exactly once, so halving the interval finds the one minimum.
    Raises `MeasureError` when the width is not below both corridors.
    """
    if not 0 <= width_mm < min(a_mm, b_mm):
        raise MeasureError(
            "Turn", f"Turn: {width_mm:g} mm wide does not swing between corridors of {a_mm:g} and {b_mm:g} mm."
        )
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        sin, cos = math.sin(middle), math.cos(middle)
        if b_mm * sin**3 - a_mm * cos**3 + width_mm * (cos * cos - sin * sin) < 0:
            low = middle
        else:
            high = middle
    return length_at_angle(a_mm, b_mm, width_mm, (low + high) / 2)


def tightest_swing(a_mm: float, b_mm: float, length_mm: float, width_mm: float) -> TightestAngle:
    """Smallest gap at the inner corner over the swing, with the outer side sliding along both outer walls.

    At angle t the inner corner stands a cos t + b sin t - L sin t cos t from the outer side; the gap is
    that less the width. A gap of zero or more is the same test as L <= `longest_round_corner`.
    """

    def gap(angle_rad: float) -> float:
        sin, cos = math.sin(angle_rad), math.cos(angle_rad)
        return a_mm * cos + b_mm * sin - length_mm * sin * cos - width_mm

    gaps = [a_mm * cos + b_mm * sin - length_mm * sin * cos for sin, cos in _SIN_COS]
    best = min(range(_GRID + 1), key=gaps.__getitem__)
    low, high = _ANGLES[max(best - 1, 0)], _ANGLES[min(best + 1, _GRID)]
    for _ in range(45):
        step = (high - low) * _GOLDEN
        if gap(high - step) < gap(low + step):
            high = low + step
        else:
            low = high - step
    candidates = ((low + high) / 2, 0.0, math.pi / 2)
    angle_rad = min(candidates, key=gap)
    return TightestAngle(gap(angle_rad), angle_rad)


def rectangle_inside(p_mm: float, q_mm: float, a_mm: float, b_mm: float) -> bool:
    """Whether a p x q rectangle goes into an a x b one, tilted if need be.

    Exact criterion: Carver, American Mathematical Monthly 64 (1957), 114-116 (citation from memory).
    """
    p_mm, q_mm = max(p_mm, q_mm), min(p_mm, q_mm)
    a_mm, b_mm = max(a_mm, b_mm), min(a_mm, b_mm)
    if q_mm > b_mm:
        return False
    if p_mm <= a_mm:
        return True
    diagonal2 = p_mm * p_mm + q_mm * q_mm
    root2 = diagonal2 - a_mm * a_mm
    needed_mm = (2 * p_mm * q_mm * a_mm + (p_mm**2 - q_mm**2) * math.sqrt(root2)) / diagonal2
    return needed_mm <= b_mm


def rectangle_clearance_mm(p_mm: float, q_mm: float, a_mm: float, b_mm: float) -> float:
    """The most by which both sides of a x b can shrink and still take p x q; negative: must grow by."""
    high = min(max(a_mm, b_mm) - q_mm, min(a_mm, b_mm) - q_mm)
    low = min(max(a_mm, b_mm) - max(p_mm, q_mm), min(a_mm, b_mm) - min(p_mm, q_mm))
    high = max(high, low)
    if rectangle_inside(p_mm, q_mm, a_mm - high, b_mm - high):
        return high
    for _ in range(50):
        middle = (low + high) / 2
        if rectangle_inside(p_mm, q_mm, a_mm - middle, b_mm - middle):
            low = middle
        else:
            high = middle
    return low
