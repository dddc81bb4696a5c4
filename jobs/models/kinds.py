"""The trade's words as choices. Values are stored; labels are what screens say."""

from __future__ import annotations

from django.db import models


class Nation(models.TextChoices):
    ENGLAND = "england", "England"
    WALES = "wales", "Wales"
    SCOTLAND = "scotland", "Scotland"
    NORTHERN_IRELAND = "northern_ireland", "Northern Ireland"


class Role(models.TextChoices):
    MAKER = "maker", "Maker"
    HELPER = "helper", "Helper"
    OFFICE = "office", "Office"


class Track(models.TextChoices):
    WHOLE = "whole", "Whole job"
    DOORS = "doors", "Doors"
    CARCASSES = "carcasses", "Carcasses"
    BOUGHT_IN = "bought_in", "Bought-in parts"


class StepKind(models.TextChoices):
    SURVEY = "survey", "Survey"
    DRAWING = "drawing", "Drawing"
    APPROVAL = "approval", "Drawing approved"
    DEPOSIT = "deposit", "Deposit received"
    DOORS = "doors", "Doors made"
    SPRAYER_OUT = "sprayer_out", "Doors to the sprayer"
    SPRAYER_BACK = "sprayer_back", "Doors back from the sprayer"
    INSPECT = "inspect", "Doors inspected"
    MATERIALS = "materials", "Materials in"
    CARCASSES = "carcasses", "Carcasses made"
    FINISH = "finish", "Carcasses finished"
    DRY_FIT = "dry_fit", "Dry fit"
    BOUGHT_IN = "bought_in", "Bought-in parts in"
    WRAP = "wrap", "Wrap"
    LOAD = "load", "Load"
    DELIVER = "deliver", "Deliver and carry in"
    FIT = "fit", "Fit"
    SNAGS = "snags", "Snags"
    HANDOVER = "handover", "Handover"
    RETURN_VISIT = "return_visit", "Return visit"
    REDO = "redo", "Make good"
    OTHER = "other", "Other"


class Skill(models.TextChoices):
    """What not everybody of a workshop can do. The steps that ask for each are in jobs/queries/planning_input.py."""

    DESK = "desk", "Survey and drawing"
    BENCH = "bench", "Bench work"
    FINISHING = "finishing", "Finishing"
    SITE = "site", "Fitting on site"


class VisitKind(models.TextChoices):
    SURVEY = "survey", "Survey"
    DELIVERY = "delivery", "Delivery"
    FITTING = "fitting", "Fitting"
    RETURN = "return", "Return visit"
    OTHER = "other", "Visit"


class VisitState(models.TextChoices):
    ARRANGED = "arranged", "Arranged"
    TO_ARRANGE = "to_arrange", "To arrange"
    CANCELLED = "cancelled", "Cancelled"
    DONE = "done", "Done"


class Attendance(models.TextChoices):
    """What the client's own calendar answered (RFC 5545 PARTSTAT)."""

    NEEDS_ACTION = "NEEDS-ACTION", "No answer yet"
    ACCEPTED = "ACCEPTED", "Accepted"
    TENTATIVE = "TENTATIVE", "Perhaps"
    DECLINED = "DECLINED", "Declined"


class AccessMode(models.TextChoices):
    LET_IN = "let_in", "Let in only: we stay on afterwards"
    IN_AND_OUT = "in_and_out", "In and out: we leave when the slot ends"


class MessageState(models.TextChoices):
    WAITING = "waiting", "Waiting"
    SENDING = "sending", "Sending"
    SENT = "sent", "Sent"
    FAILED = "failed", "Failed"
    UNKNOWN = "unknown", "Unknown: may have been sent"
    WITHDRAWN = "withdrawn", "Withdrawn"


class Channel(models.TextChoices):
    MAIL = "mail", "Mail"
    CALL = "call", "Call to make"


class ReplyState(models.TextChoices):
    """What became of a mail that may answer an invitation."""

    TAKEN = "taken", "Taken by itself"
    OPEN = "open", "Waits for a person"
    KEPT = "kept", "Kept: changed nothing"
    ACCEPTED = "accepted", "Taken by a person"
    DISMISSED = "dismissed", "Put aside by a person"


class SendPolicy(models.TextChoices):
    """What to do when a crash leaves us not knowing whether a mail went."""

    AT_LEAST_ONCE = "at_least_once", "Send again"
    AT_MOST_ONCE = "at_most_once", "Do not send again: show a person"


class CodeKind(models.TextChoices):
    KEY_SAFE = "key_safe", "Key safe"
    ALARM = "alarm", "Alarm"
    GATE = "gate", "Gate"
    DOOR = "door", "Door or lobby"
    OTHER = "other", "Something else"
