"""One part of a photograph, read from its address and its bytes."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from django.utils.dateparse import parse_datetime

from jobs.domain.site_photographs import Part
from jobs.models import Commission
from jobs.refusal import Refusal


def read_part(query: Mapping[str, str], data: bytes, *, key: UUID, offset_bytes: int) -> Part:
    """Raises Refusal for what is missing or no number."""
    commission = Commission.objects.filter(number=_number(query, "commission")).first()
    if commission is None:
        raise Refusal("commission", "There is no commission with this number any more.")
    told = query.get("taken_at", "")
    try:
        taken_at = parse_datetime(told)
    except ValueError:
        taken_at = None
    if taken_at is not None and taken_at.tzinfo is None:
        taken_at = None
    return Part(key, commission, query.get("purpose", ""), _number(query, "size"), offset_bytes, data, taken_at)


def _number(query: Mapping[str, str], name: str) -> int:
    told = query.get(name, "")
    if not (told.isascii() and told.isdigit() and len(told) < 10):
        raise Refusal(name, f"The address names no {name}: a whole number is wanted.")
    return int(told)
