"""Lengths as people type them, turned into whole millimetres or into a question."""

from __future__ import annotations

import re
from decimal import Decimal

from jobs.pure_errors import MeasureError

LONGEST_MM = 30_000  # no room, corridor or van of this trade is longer; a larger figure is a slip
LONGEST_TEXT = 20
SHORT_FIGURE = 100  # with a decimal point and below this it can be metres

_NUMBER = re.compile(r"(?P<sign>[-+]?)(?P<digits>[0-9]+(?:[.,][0-9]+)?)\s*(?P<unit>mm|cm|m)?", re.ASCII)
_MM_PER_UNIT = {"cm": Decimal(10), "m": Decimal(1000)}


def parse_length_mm(text: str, field: str, *, minimum_mm: int = 1, maximum_mm: int = LONGEST_MM) -> int:
    """Return whole millimetres from "2400" or "2400 mm".

    Anything with a decimal point or another unit is asked about and never guessed: 2.4 can be 2400 mm
    or 2.4 mm. `minimum_mm` may be 0 where "none there" is a sensible answer (a room without skirting).
    Raises `MeasureError` naming `field` and the remedy.
    """
    typed = text.strip()
    if not typed:
        raise MeasureError(field, f"{field}: nothing was typed. Type it in whole millimetres, such as 2400.")
    match = _NUMBER.fullmatch(typed.lower()) if len(typed) <= LONGEST_TEXT else None
    if match is None:
        raise MeasureError(
            field, f"{field}: “{typed[:LONGEST_TEXT]}” is not a length. Type whole millimetres, such as 2400."
        )
    if match["sign"]:
        raise MeasureError(field, f"{field}: {typed} has a sign. Type it without one, such as 2400.")
    number = Decimal(match["digits"].replace(",", "."))
    if match["unit"] in _MM_PER_UNIT:
        raise _other_unit(typed, number * _MM_PER_UNIT[match["unit"]], field)
    # 2.0 is as much a question as 2.4; 600.0, as spreadsheets write it, can only be 600.
    is_short = "." in match["digits"] and number < SHORT_FIGURE
    if number != number.to_integral_value() or "," in match["digits"] or is_short:
        raise _two_readings(typed, number, match["digits"], field)
    return check_length_mm(int(number), field, minimum_mm=minimum_mm, maximum_mm=maximum_mm)


def check_length_mm(length_mm: int, field: str, *, minimum_mm: int = 1, maximum_mm: int = LONGEST_MM) -> int:
    """Return `length_mm` if it is a whole number within the two limits; raises `MeasureError` otherwise."""
    if isinstance(length_mm, bool) or not isinstance(length_mm, int):
        raise MeasureError(field, f"{field}: {length_mm!r} is not whole millimetres. Type it such as 2400.")
    if length_mm < minimum_mm and 0 < length_mm <= maximum_mm // 1000:
        raise MeasureError(
            field,
            f"{field}: {length_mm} mm is less than the {minimum_mm} mm expected. "
            f"Is it {length_mm * 1000} mm ({length_mm} m) or really {length_mm} mm? Type {length_mm * 1000} "
            "for the first; measure again for the second.",
        )
    if length_mm < minimum_mm:
        raise MeasureError(field, f"{field}: {length_mm} mm is too small. Type {minimum_mm} or more.")
    if length_mm > maximum_mm:
        raise MeasureError(
            field,
            f"{field}: {length_mm} mm is more than the {maximum_mm} mm allowed. "
            "Type it again in whole millimetres; look for a digit too many.",
        )
    return length_mm


def check_weight_kg(weight_kg: float, field: str, *, maximum_kg: float = 5000) -> float:
    """Return `weight_kg` if it is above zero and no more than the limit; raises `MeasureError` otherwise."""
    if isinstance(weight_kg, bool) or not 0 < weight_kg <= maximum_kg:
        raise MeasureError(
            field, f"{field}: {weight_kg} kg cannot be right. Type kilograms above 0 and up to {maximum_kg:g}."
        )
    return float(weight_kg)


def _other_unit(typed: str, in_mm: Decimal, field: str) -> MeasureError:
    shown = f"{in_mm.normalize():f}"
    return MeasureError(
        field, f"{field}: “{typed}” is {shown} mm. Lengths here are whole millimetres: type {shown} if so."
    )


def _two_readings(typed: str, number: Decimal, digits: str, field: str) -> MeasureError:
    """Name both readings: metres typed for millimetres, or a fraction of a millimetre."""
    as_metres = (number * 1000).to_integral_value()
    if "," in digits and len(digits.split(",")[1]) == 3:
        remedy = f"Is it {as_metres} mm or {number.normalize():f} mm? Type {as_metres} if the first is meant."
    elif number < SHORT_FIGURE:
        remedy = (
            f"Is it {as_metres} mm ({number.normalize():f} m) or {number.normalize():f} mm? "
            f"Type {as_metres} or {int(number)}, in whole millimetres."
        )
    else:
        remedy = f"Is it {int(number)} mm or {int(number) + 1} mm? Type one of them: lengths are whole."
    return MeasureError(field, f"{field}: “{typed}” can be read in two ways. {remedy}")
