"""Everything both apps store. One file a topic; import the names from here."""

from __future__ import annotations

from jobs.models.access import AccessArrangement
from jobs.models.calendar import Absence, Closure, HelperDay, VanDay
from jobs.models.calendar_copy import CalendarCopy
from jobs.models.client import Client, ClientAway
from jobs.models.client_link import ClientDecision, ClientLink, ClientSession, LinkScope, SlotOffer
from jobs.models.commission import Commission
from jobs.models.consignment import Condition, Consignment, ConsignmentItem, ItemReturn
from jobs.models.contract import CANCELLATION_CAUTION, Contract, Variation, WhereAgreed
from jobs.models.daybook import DaybookLine
from jobs.models.drawing import DrawingVersion
from jobs.models.erasure import Erasure
from jobs.models.feed import Feed
from jobs.models.finish import FinishRecord, SurfaceKind
from jobs.models.gate import GateOverride
from jobs.models.hours import COVERED_BY, LONGEST_MINUTES, HourEntry, HourKind
from jobs.models.keys import ClientKey, KeyReceipt
from jobs.models.kinds import (
    AccessMode,
    Attendance,
    Channel,
    CodeKind,
    MessageState,
    Nation,
    ReplyState,
    Role,
    SendPolicy,
    Skill,
    StepKind,
    Track,
    VisitKind,
    VisitState,
)
from jobs.models.kit import KitKind, KitList, KitListItem, LoadItem
from jobs.models.message import Heartbeat, Message
from jobs.models.parking import ParkingPlan, ParkingRule
from jobs.models.payment import EVENT_STEPS, HELD_KINDS, Holds, PaymentEvent, Receipt, StagePayment
from jobs.models.person import Person
from jobs.models.photograph import Photograph, PhotographPurpose
from jobs.models.piece import Piece, PiecePlace
from jobs.models.plan import PlanState, PlanVersion
from jobs.models.reply import HeldReply
from jobs.models.room import Room
from jobs.models.route import CarryPlan, CarryRecord, FloorKind, PointKind, RoutePlace, Van
from jobs.models.secret import AccessCode, RevealLog
from jobs.models.sign_in import Device, Invitation
from jobs.models.site_act import ActOutcome, SiteAct, SitePhotograph, SitePhotographPart
from jobs.models.snag import VIEWING_RULE, Snag, SnagCause
from jobs.models.step import Step, StepLink, Template, TemplateLink, TemplateStep
from jobs.models.subcontractor import Subcontractor, SubcontractorClosure
from jobs.models.survey import (
    Declaration,
    FeatureKind,
    FeatureWall,
    Reading,
    ReadingKind,
    RoomFeature,
    RunPlan,
    Survey,
    SurveyPurpose,
    WorkSince,
)
from jobs.models.visit import Visit, VisitSlot
from jobs.models.workshop import Workshop

__all__ = [
    "CANCELLATION_CAUTION",
    "COVERED_BY",
    "EVENT_STEPS",
    "HELD_KINDS",
    "LONGEST_MINUTES",
    "VIEWING_RULE",
    "Absence",
    "AccessArrangement",
    "AccessCode",
    "AccessMode",
    "ActOutcome",
    "Attendance",
    "CalendarCopy",
    "CarryPlan",
    "CarryRecord",
    "Channel",
    "Client",
    "ClientAway",
    "ClientDecision",
    "ClientKey",
    "ClientLink",
    "ClientSession",
    "Closure",
    "CodeKind",
    "Commission",
    "Condition",
    "Consignment",
    "ConsignmentItem",
    "Contract",
    "DaybookLine",
    "Declaration",
    "Device",
    "DrawingVersion",
    "Erasure",
    "FeatureKind",
    "FeatureWall",
    "Feed",
    "FinishRecord",
    "FloorKind",
    "GateOverride",
    "Heartbeat",
    "HeldReply",
    "HelperDay",
    "Holds",
    "HourEntry",
    "HourKind",
    "Invitation",
    "ItemReturn",
    "KeyReceipt",
    "KitKind",
    "KitList",
    "KitListItem",
    "LinkScope",
    "LoadItem",
    "Message",
    "MessageState",
    "Nation",
    "ParkingPlan",
    "ParkingRule",
    "PaymentEvent",
    "Person",
    "Photograph",
    "PhotographPurpose",
    "Piece",
    "PiecePlace",
    "PlanState",
    "PlanVersion",
    "PointKind",
    "Reading",
    "ReadingKind",
    "Receipt",
    "ReplyState",
    "RevealLog",
    "Role",
    "Room",
    "RoomFeature",
    "RoutePlace",
    "RunPlan",
    "SendPolicy",
    "SiteAct",
    "SitePhotograph",
    "SitePhotographPart",
    "Skill",
    "SlotOffer",
    "Snag",
    "SnagCause",
    "StagePayment",
    "Step",
    "StepKind",
    "StepLink",
    "Subcontractor",
    "SubcontractorClosure",
    "SurfaceKind",
    "Survey",
    "SurveyPurpose",
    "Template",
    "TemplateLink",
    "TemplateStep",
    "Track",
    "Van",
    "VanDay",
    "Variation",
    "Visit",
    "VisitKind",
    "VisitSlot",
    "VisitState",
    "WhereAgreed",
    "WorkSince",
    "Workshop",
]
