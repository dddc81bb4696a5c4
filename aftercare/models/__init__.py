"""What is stored from handover onwards."""

from __future__ import annotations

from aftercare.models.handover import Handover
from aftercare.models.issued_pack import IssuedPack
from aftercare.models.light_note import LightNote, LightNoteSource
from aftercare.models.return_wish import ReturnWish
from aftercare.models.travel_time import TravelTime

__all__ = ["Handover", "IssuedPack", "LightNote", "LightNoteSource", "ReturnWish", "TravelTime"]
