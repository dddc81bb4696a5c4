"""From rows of vans and past carries to the values `jobs.carrying` reckons with."""

from __future__ import annotations

from jobs.carrying.carry import CarryLog
from jobs.carrying.van import Van as PureVan
from jobs.models import CarryRecord, Van


def pure_van(van: Van) -> PureVan:
    """Raises `MeasureError` on sizes that cannot be."""
    return PureVan(van.name, van.payload_kg, van.length_mm, van.width_mm, van.height_mm)


def pure_log(record: CarryRecord) -> CarryLog:
    return CarryLog(record.minutes, record.trips, record.floors)
