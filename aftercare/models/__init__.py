"""What is stored from handover onwards."""

from __future__ import annotations

from aftercare.models.door import Door, Hung
from aftercare.models.fitted_facts import FittedFacts
from aftercare.models.future_work import FutureWork, MayWrite
from aftercare.models.handover import Handover
from aftercare.models.hinge_check import DoorCheck, HingeCheck, Looked, Parts, Verdict
from aftercare.models.issued_pack import IssuedPack
from aftercare.models.light_note import LightNote, LightNoteSource
from aftercare.models.permission import Permission, PermissionWay, PhotographUse
from aftercare.models.return_wish import ReturnWish
from aftercare.models.shelf import Shelf
from aftercare.models.travel_time import TravelTime

__all__ = [
    "Door",
    "DoorCheck",
    "FittedFacts",
    "FutureWork",
    "Handover",
    "HingeCheck",
    "Hung",
    "IssuedPack",
    "LightNote",
    "LightNoteSource",
    "Looked",
    "MayWrite",
    "Parts",
    "Permission",
    "PermissionWay",
    "PhotographUse",
    "ReturnWish",
    "Shelf",
    "TravelTime",
    "Verdict",
]
