"""A client's keys in our care: a coded tag, a receipt for every hand they pass through."""

from __future__ import annotations

import datetime as dt
import re

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import ClientKey, Commission, KeyReceipt, Person
from jobs.refusal import Refusal

TAG = re.compile(r"[A-Z]{1,3}-?\d{1,4}", re.ASCII)
TAG_SENTENCE = (
    "Code on the tag: one to three letters and a number, such as K-27. Never a name, a street or a house number: "
    "a lost tag must not say which door it opens."
)


@transaction.atomic
def take_keys(
    *,
    commission: Commission,
    tag: str,
    count: int,
    received_from: str,
    holder: Person,
    at: dt.datetime,
    now: dt.datetime,
    actor: Person | None,
) -> ClientKey:
    """Keys come into our care; the first receipt is written."""
    tag = tag.strip().upper()
    if not TAG.fullmatch(tag) or _says_where(tag, commission):
        raise Refusal("tag", TAG_SENTENCE)
    if not 1 <= count <= 50:
        raise Refusal("count", "How many keys: give a number from 1 to 50.")
    if at > now:
        raise Refusal("at", "Received: that lies in the future; give a time up to now.")
    if not received_from.strip():
        raise Refusal("received_from", "Received from: write who handed them over.")
    if ClientKey.objects.filter(tag=tag, returned_at__isnull=True).exists():
        raise Refusal("tag", f"{tag} hangs on keys that are still with us: take another tag.")
    key = ClientKey.objects.create(
        commission=commission,
        tag=tag,
        count=count,
        received_at=at,
        received_from=received_from.strip(),
        holder=holder,
    )
    KeyReceipt.objects.create(key=key, at=at, given_by=received_from.strip(), taken_by=holder.name)
    write_line(act="take_keys", now=now, actor=actor, commission=commission, key=key.pk, holder=holder.pk)
    return key


def _says_where(tag: str, commission: Commission) -> bool:
    """Whether the tag is the house number and the first letters of the street, the commission's number, or so."""
    digits = re.sub(r"\D", "", tag)
    return digits == str(commission.number) or digits in re.findall(r"\d+", commission.address)


@transaction.atomic
def hand_on_keys(*, key: ClientKey, holder: Person, now: dt.datetime, actor: Person | None) -> None:
    """From one of us to another."""
    if key.returned_at is not None:
        raise Refusal("", f"The keys on {key} have gone home; there is nothing to hand on.")
    if holder.pk == key.holder_id:
        raise Refusal("holder", f"{holder} holds them already: choose who takes them.")
    KeyReceipt.objects.create(key=key, at=now, given_by=key.holder.name, taken_by=holder.name)
    key.holder = holder
    key.save(update_fields=["holder"])
    write_line(act="hand_on_keys", now=now, actor=actor, commission=key.commission, key=key.pk, holder=holder.pk)


@transaction.atomic
def give_back_keys(
    *, key: ClientKey, returned_to: str, at: dt.datetime, now: dt.datetime, actor: Person | None
) -> None:
    """The keys go home; the last receipt is written."""
    if not returned_to.strip():
        raise Refusal("returned_to", "Given back to: write who took them.")
    if at > now or at < key.received_at:
        raise Refusal("at", "Given back: give a time after they were received and up to now.")
    done = ClientKey.objects.filter(pk=key.pk, returned_at__isnull=True).update(
        returned_at=at, returned_to=returned_to.strip()
    )
    if not done:
        raise Refusal("", f"The keys on {key} have been given back already; nothing was changed.")
    KeyReceipt.objects.create(key=key, at=at, given_by=key.holder.name, taken_by=returned_to.strip())
    key.refresh_from_db()
    write_line(act="give_back_keys", now=now, actor=actor, commission=key.commission, key=key.pk)
