"""What handover, light, hinge check and pack know of a client, taken away when the client is forgotten."""

from __future__ import annotations

import datetime as dt

from aftercare.models import DoorCheck, FittedFacts, FutureWork, Handover, HingeCheck, LightNote, Permission


def forget_aftercare(client_id: int, now: dt.datetime) -> None:
    """For the registry of erasers. Packs lose their file with the other files; revision, hash and pages stay.

    Gaps, doors, shelves and hours of good light stay: they say nothing of a person once the rest is gone.
    """
    Handover.objects.filter(commission__client_id=client_id).update(
        know_first="", know_second="", know_third="", agreed="", existing_marks=""
    )
    LightNote.objects.filter(room__commission__client_id=client_id).update(words="")
    HingeCheck.objects.filter(visit__commission__client_id=client_id).update(notes="")
    DoorCheck.objects.filter(door__commission__client_id=client_id).update(words="")
    FittedFacts.objects.filter(commission__client_id=client_id).update(
        signed_by="", spare_keys="", pipes="", cables="", stopcocks="", studs=""
    )
    FutureWork.objects.filter(commission__client_id=client_id).delete()
    Permission.objects.filter(commission__client_id=client_id).delete()
