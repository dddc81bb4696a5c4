from __future__ import annotations

import datetime as dt
from functools import cached_property
from zoneinfo import ZoneInfo

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from phonenumber_field.modelfields import PhoneNumberField

from jobs.models.kinds import Nation


def monday_to_friday() -> list[int]:
    return [0, 1, 2, 3, 4]


class Workshop(models.Model):
    """The one workshop this installation serves: where it is, when it works, how it travels."""

    name = models.CharField("name", max_length=120)
    town = models.CharField("town", max_length=120, blank=True)
    email = models.EmailField("e-mail")
    phone = PhoneNumberField("telephone", blank=True)
    nation = models.CharField("nation", max_length=20, choices=Nation.choices, default=Nation.ENGLAND)
    zone = models.CharField("time zone", max_length=60, default="Europe/London")
    latitude_deg = models.FloatField("latitude", null=True, blank=True)
    longitude_deg = models.FloatField("longitude", null=True, blank=True)
    weekdays = models.JSONField("days worked", default=monday_to_friday)  # Monday is 0
    day_starts = models.TimeField("day starts", default=dt.time(8, 0))
    day_ends = models.TimeField("day ends", default=dt.time(17, 0))
    floor_places = models.PositiveSmallIntegerField("floor places", default=4)
    # For “Where it stands”; blank says only how many are there.
    room_at_bench = models.PositiveSmallIntegerField("the bench has room for", null=True, blank=True)
    room_on_rack = models.PositiveSmallIntegerField("the rack has room for", null=True, blank=True)
    hands = models.PositiveSmallIntegerField("pairs of hands", default=1)
    # How many lots a place takes at once before it bunches; counted on the Friday sheet, no limit for the plan.
    sprayer_lots = models.PositiveSmallIntegerField("lots at the sprayer at once", default=3)
    finishing_lots = models.PositiveSmallIntegerField("lots in finishing at once", default=2)
    wrap_lots = models.PositiveSmallIntegerField("lots in the wrap bay at once", default=1)
    has_van = models.BooleanField("own van", default=True)
    travel_speed_kmh = models.PositiveSmallIntegerField(
        "travel speed, km/h", default=45, validators=[MinValueValidator(5), MaxValueValidator(130)]
    )
    return_first_day = models.PositiveSmallIntegerField("return visit from day", default=42)
    return_last_day = models.PositiveSmallIntegerField("return visit to day", default=56)
    return_minutes = models.PositiveSmallIntegerField("return visit takes, minutes", default=90)
    # How long a survey counts as fresh. Our own figure, no source: a workshop sets its own.
    survey_fresh_days = models.PositiveSmallIntegerField(
        "a survey stays fresh for, days", default=60, validators=[MinValueValidator(1), MaxValueValidator(730)]
    )
    return_default_time = models.TimeField("return visit without a light note, at", default=dt.time(10, 0))
    # Printed in every handover pack unless the commission says otherwise; blank prints "not recorded".
    guarantee_period = models.CharField("guarantee: how long", max_length=120, blank=True)
    guarantee_covers = models.CharField("guarantee: what it covers", max_length=300, blank=True)
    guarantee_excludes = models.CharField("guarantee: what it does not cover", max_length=300, blank=True)
    guarantee_response = models.CharField("guarantee: how soon we answer", max_length=160, blank=True)
    insurer = models.CharField("insurer", max_length=160, blank=True)
    complaints = models.CharField("where a complaint goes that we cannot settle", max_length=200, blank=True)
    # How long what is personal is kept. The law names no figures (UK GDPR article 5(1)(e): no longer than needed):
    # these are our own judgement, and a workshop sets its own.
    keep_messages_days = models.PositiveSmallIntegerField(
        "text of messages sent, days", default=365, validators=[MinValueValidator(30), MaxValueValidator(3650)]
    )
    keep_access_days = models.PositiveSmallIntegerField(
        "who lets us in, days after the job", default=30, validators=[MinValueValidator(1), MaxValueValidator(730)]
    )
    keep_enquiries_days = models.PositiveSmallIntegerField(
        "somebody who never ordered, days", default=730, validators=[MinValueValidator(30), MaxValueValidator(3650)]
    )
    keep_record_years = models.PositiveSmallIntegerField(
        "the record of a commission, years after its end",
        default=6,
        validators=[MinValueValidator(1), MaxValueValidator(30)],
    )
    is_demo = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.name

    @cached_property
    def tz(self) -> ZoneInfo:
        return ZoneInfo(self.zone)

    def local(self, instant: dt.datetime) -> dt.datetime:
        return instant.astimezone(self.tz)

    def local_day(self, instant: dt.datetime) -> dt.date:
        return self.local(instant).date()
