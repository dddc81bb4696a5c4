"""What is stored from handover onwards."""

from __future__ import annotations

from aftercare.models.handover import Handover
from aftercare.models.issued_pack import IssuedPack
from aftercare.models.light_note import LightNote, LightNoteSource
from aftercare.models.permission import Permission, PermissionWay, PhotographUse

__all__ = ["Handover", "IssuedPack", "LightNote", "LightNoteSource", "Permission", "PermissionWay", "PhotographUse"]
