"""Lists the workshop keeps, and what has to be in the van for one commission."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import Commission, KitList, KitListItem, LoadItem, Person
from jobs.refusal import Refusal


@transaction.atomic
def save_kit_list(*, kit_list: KitList, now: dt.datetime, actor: Person | None) -> KitList:
    kit_list.name = kit_list.name.strip()
    if KitList.objects.filter(name__iexact=kit_list.name).exclude(pk=kit_list.pk).exists():
        raise Refusal("name", f"There is a list called {kit_list.name} already: give another name.")
    kit_list.save()
    write_line(act="save_kit_list", now=now, actor=actor, kit_list=kit_list.pk)
    return kit_list


@transaction.atomic
def save_kit_list_item(*, item: KitListItem, now: dt.datetime, actor: Person | None) -> KitListItem:
    item.words = item.words.strip()
    if not 1 <= item.count <= 9999:
        raise Refusal("count", "How many: give a number from 1 to 9999.")
    same = KitListItem.objects.filter(kit_list=item.kit_list, words__iexact=item.words).exclude(pk=item.pk)
    if same.exists():
        raise Refusal("words", f"{item.words} is on this list already: change its number there.")
    item.save()
    write_line(act="save_kit_list_item", now=now, actor=actor, kit_list=item.kit_list_id, item=item.pk)
    return item


@transaction.atomic
def remove_kit_list_item(*, item: KitListItem, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_kit_list_item", now=now, actor=actor, kit_list=item.kit_list_id, item=item.pk)
    item.delete()


@transaction.atomic
def take_kit_list(*, commission: Commission, kit_list: KitList, now: dt.datetime, actor: Person | None) -> int:
    """Join a list with what the commission has; what is there already by the same words stays as it is. What the
    workshop keeps is taken to be here; loose parts and spares are counted in. Returns how many lines are new."""
    there = {words.lower() for words in commission.load_items.values_list("words", flat=True)}
    new = [
        LoadItem(
            commission=commission,
            from_item=item,
            words=item.words,
            kind=item.kind,
            needed=item.count,
            in_hand=item.count,
        )
        for item in kit_list.items.all()
        if item.words.lower() not in there
    ]
    LoadItem.objects.bulk_create(new)
    write_line(act="take_kit_list", now=now, actor=actor, commission=commission, kit_list=kit_list.pk, lines=len(new))
    return len(new)


@transaction.atomic
def save_load_item(*, item: LoadItem, now: dt.datetime, actor: Person | None) -> LoadItem:
    item.words = item.words.strip()
    if not 1 <= item.needed <= 9999:
        raise Refusal("needed", "How many are needed: give a number from 1 to 9999.")
    if not 0 <= item.in_hand <= 9999:
        raise Refusal("in_hand", "How many are here: give a number from 0 to 9999.")
    same = LoadItem.objects.filter(commission=item.commission, words__iexact=item.words).exclude(pk=item.pk)
    if same.exists():
        raise Refusal("words", f"{item.words} is on this commission's list already: change its number there.")
    item.save()
    write_line(act="save_load_item", now=now, actor=actor, commission=item.commission, item=item.pk)
    return item


@transaction.atomic
def remove_load_item(*, item: LoadItem, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_load_item", now=now, actor=actor, commission=item.commission, item=item.pk)
    item.delete()


@transaction.atomic
def tick_loaded(*, item: LoadItem, now: dt.datetime, actor: Person | None) -> None:
    """It is in the van. Refused while fewer are here than are needed: the tick would hide the shortage."""
    if item.short:
        raise Refusal(
            "", f"{item.words}: {item.in_hand} of {item.needed} are here. Count again and correct it, then tick."
        )
    if not LoadItem.objects.filter(pk=item.pk, loaded_at__isnull=True).update(loaded_at=now, loaded_by=actor):
        raise Refusal("", f"{item.words} is ticked already; nothing was changed.")
    write_line(act="tick_loaded", now=now, actor=actor, commission=item.commission, item=item.pk)


@transaction.atomic
def untick_loaded(*, item: LoadItem, now: dt.datetime, actor: Person | None) -> None:
    LoadItem.objects.filter(pk=item.pk).update(loaded_at=None, loaded_by=None)
    write_line(act="untick_loaded", now=now, actor=actor, commission=item.commission, item=item.pk)
