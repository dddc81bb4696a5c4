"""Everything both apps store. One file a topic; import the names from here."""

from __future__ import annotations

from jobs.models.access import AccessArrangement
from jobs.models.calendar import Absence, Closure, HelperDay, VanDay
from jobs.models.client import Client, ClientAway
from jobs.models.commission import Commission
from jobs.models.daybook import DaybookLine
from jobs.models.finish import FinishRecord, SurfaceKind
from jobs.models.kinds import (
    AccessMode,
    Attendance,
    Channel,
    MessageState,
    Nation,
    Role,
    SendPolicy,
    StepKind,
    Track,
    VisitKind,
    VisitState,
)
from jobs.models.message import Heartbeat, Message
from jobs.models.person import Person
from jobs.models.room import Room
from jobs.models.step import Step, StepLink, Template, TemplateLink, TemplateStep
from jobs.models.subcontractor import Subcontractor, SubcontractorClosure
from jobs.models.visit import Visit, VisitSlot
from jobs.models.workshop import Workshop

__all__ = [
    "Absence",
    "AccessArrangement",
    "AccessMode",
    "Attendance",
    "Channel",
    "Client",
    "ClientAway",
    "Closure",
    "Commission",
    "DaybookLine",
    "FinishRecord",
    "Heartbeat",
    "HelperDay",
    "Message",
    "MessageState",
    "Nation",
    "Person",
    "Role",
    "Room",
    "SendPolicy",
    "Step",
    "StepKind",
    "StepLink",
    "Subcontractor",
    "SubcontractorClosure",
    "SurfaceKind",
    "Template",
    "TemplateLink",
    "TemplateStep",
    "Track",
    "VanDay",
    "Visit",
    "VisitKind",
    "VisitSlot",
    "VisitState",
    "Workshop",
]
