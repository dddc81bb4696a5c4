"""What a phone or a form sends, read into acts. Shape only: whether an act can be done is for the domain."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from typing import Any, TypeGuard
from urllib.parse import parse_qsl
from uuid import UUID

from django.utils.dateparse import parse_datetime

from jobs.domain.site_acts import SentAct
from jobs.models import Commission
from jobs.refusal import Refusal
from jobs.registries import site_acts

LARGEST_BYTES = 256 * 1024
MOST_ACTS = 50
MOST_FIELDS = 40
LONGEST_VALUE = 2000
# Fields of a form that are not part of the act.
NOT_PAYLOAD = {"csrfmiddlewaretoken", "key", "act", "picture"}


def read_acts(body: bytes, *, person_pk: int) -> list[SentAct]:
    """All acts of a request, or Refusal whose field is the key of the act at fault ("" for the whole)."""
    if len(body) > LARGEST_BYTES:
        raise Refusal("", "Too much at once: 256 kB is the most. Send fewer acts at a time.")
    try:
        told = json.loads(body)
    except (ValueError, RecursionError) as fault:
        raise Refusal("", "This cannot be read as JSON.") from fault
    if not isinstance(told, dict) or not isinstance(told.get("acts"), list):
        raise Refusal("", "An object with a list of acts is wanted.")
    if told.get("person") != person_pk:
        raise Refusal("", "These acts were kept for somebody else: that person has to sign in to send them.")
    device = told.get("device")
    if not isinstance(device, str) or not 1 <= len(device) <= 36:
        raise Refusal("", "The device has no name, or one that is too long.")
    if not 1 <= len(told["acts"]) <= MOST_ACTS:
        raise Refusal("", f"From 1 to {MOST_ACTS} acts at a time.")
    numbers = {one.get("commission") for one in told["acts"] if isinstance(one, dict)}
    known = {
        one.number: one
        for one in Commission.objects.filter(number__in=[n for n in numbers if _is_number(n)]).select_related(
            "client"
        )
    }
    return [_act(one, known, device) for one in told["acts"]]


def _is_number(value: object) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value < 2**31


def _act(one: Any, known: Mapping[int, Commission], device: str) -> SentAct:
    if not isinstance(one, dict):
        raise Refusal("", "Every act is an object.")
    key = read_key(one.get("key"))
    field = str(key)
    commission = known.get(number) if _is_number(number := one.get("commission")) else None
    if commission is None:
        raise Refusal(field, "There is no commission with this number any more.")
    kind = one.get("kind")
    if not isinstance(kind, str) or site_acts.get(kind) is None:
        raise Refusal(field, "This program knows no act of this kind: load the page again.")
    return SentAct(key, kind, commission, _payload(one.get("payload"), field), _instant(one, field), device)


def read_key(value: object) -> UUID:
    try:
        return UUID(value) if isinstance(value, str) else UUID("")
    except ValueError as fault:
        raise Refusal("", "The key of an act is a UUID.") from fault


def _payload(value: object, field: str) -> dict[str, str]:
    if not isinstance(value, dict) or len(value) > MOST_FIELDS:
        raise Refusal(field, f"What an act says is an object of at most {MOST_FIELDS} entries.")
    if not all(isinstance(one, str) and len(one) <= LONGEST_VALUE for one in value.values()):
        raise Refusal(field, f"Every entry is text of at most {LONGEST_VALUE} letters.")
    if any("\x00" in one for one in value.values()):
        raise Refusal(field, "Text holds letters, not control signs.")
    return value


def _instant(one: Mapping[str, Any], field: str) -> dt.datetime:
    told = one.get("happened_at")
    try:
        at = parse_datetime(told) if isinstance(told, str) and len(told) < 40 else None
        if at is not None and at.tzinfo is not None:
            return at.astimezone(dt.UTC)
    except (ValueError, OverflowError):
        pass
    raise Refusal(field, "When it happened: an instant with its zone, as 2027-03-10T10:42:00Z.")


def read_form(
    data: Mapping[str, Any], commission: Commission, now: dt.datetime, *, photograph: UUID | None = None
) -> SentAct:
    """The act of a form that was sent without scripts. Its button or a hidden field says `act`, such as
    tick_piece?piece=12&present=1; the other fields come on top."""
    kind, _, query = str(data.get("act", "")).partition("?")
    if site_acts.get(kind) is None:
        raise Refusal("", "This program knows no act of this kind: load the page again.")
    payload = dict(parse_qsl(query)) | {name: str(data[name]) for name in data if name not in NOT_PAYLOAD}
    if photograph is not None:
        payload["photograph"] = str(photograph)
    return SentAct(read_key(data.get("key")), kind, commission, _payload(payload, ""), now)
