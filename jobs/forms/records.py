"""Clients, rooms, access, finishes, visits: one form each."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.forms.widgets import PlainModelForm, date_field, instant_field
from jobs.models import (
    AccessArrangement,
    Client,
    FinishRecord,
    Person,
    Room,
    Skill,
    Step,
    VisitKind,
    Workshop,
)
from jobs.models.room import BEARING_SENTENCE, LENGTH_SENTENCE, SILL_SENTENCE


class ClientForm(PlainModelForm):
    class Meta:
        model = Client
        fields = ["name", "email", "phone", "address", "postcode", "may_be_asked_for_review", "notes"]
        help_texts = {
            "email": "Invites and the handover pack go here. Without it, each message becomes a call to make.",
            "may_be_asked_for_review": "Only where the client said so. They are asked once, after the return visit.",
            "notes": "Never a key or alarm code.",
        }


class DayRangeForm(forms.Form):
    first_day = date_field("First day")
    last_day = date_field("Last day")


class ReasonedDayRangeForm(DayRangeForm):
    reason = forms.CharField(label="Reason", max_length=120, required=False)


class AbsenceForm(ReasonedDayRangeForm):
    person = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who", empty_label=None)


class RoomForm(PlainModelForm):
    class Meta:
        model = Room
        fields = [
            "name", "storey", "window_facing_deg", "furniture_facing_deg", "window_width_mm", "window_height_mm",
            "window_sill_mm", "obstruction_deg",
        ]  # fmt: skip
        help_texts = {
            "window_facing_deg": "Stand inside and look straight out: north 0, east 90, south 180, west 270.",
            "furniture_facing_deg": "The way you look with your back against the shut doors.",
            "window_sill_mm": "With the height of the window it says how far the sun reaches across the floor.",
            "obstruction_deg": "Roofs or trees opposite, seen from the window: 0 is an open view.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("window_facing_deg", "furniture_facing_deg"):
            self.fields[name].error_messages["min_value"] = BEARING_SENTENCE
        for name in ("window_width_mm", "window_height_mm"):
            self.fields[name].error_messages["min_value"] = LENGTH_SENTENCE
        self.fields["window_sill_mm"].error_messages["min_value"] = SILL_SENTENCE


class FinishForm(PlainModelForm):
    class Meta:
        model = FinishRecord
        fields = [
            "surface", "kind", "product", "colour", "sheen_percent", "batch", "applied_on", "applied_by", "sample",
            "touch_up", "tin_place", "full_cure_days",
        ]  # fmt: skip
        help_texts = {"full_cure_days": "From the coating maker's own sheet; leave blank if you do not have it."}


class AccessForm(PlainModelForm):
    class Meta:
        model = AccessArrangement
        fields = [
            "opener_name", "opener_phone", "opener_email", "slot_starts", "slot_ends", "mode", "fallback_name",
            "fallback_phone", "parking", "notes",
        ]  # fmt: skip
        help_texts = {"notes": "Never a key or alarm code, nor where a key is kept."}


class VisitForm(forms.Form):
    kind = forms.ChoiceField(label="What for", choices=[c for c in VisitKind.choices if c[0] != VisitKind.RETURN])
    person = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who goes", empty_label=None)
    starts_at = instant_field("Starts", help_text="By the quarter hour.")
    ends_at = instant_field("Ends")
    step = forms.ModelChoiceField(Step.objects.none(), label="For which step", required=False)


class MoveVisitForm(forms.Form):
    person = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who goes", empty_label=None)
    starts_at = instant_field("Starts", help_text="By the quarter hour.")
    ends_at = instant_field("Ends")


class WorkshopForm(PlainModelForm):
    weekdays = forms.TypedMultipleChoiceField(
        label="Days worked",
        coerce=int,
        choices=list(enumerate(["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"])),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Days worked: tick at least one day."},
    )

    class Meta:
        model = Workshop
        fields = [
            "name", "town", "email", "phone", "nation", "zone", "latitude_deg", "longitude_deg", "weekdays",
            "day_starts", "day_ends", "hands", "floor_places", "room_at_bench", "room_on_rack", "sprayer_lots",
            "finishing_lots", "wrap_lots", "has_van", "travel_speed_kmh", "return_first_day",
            "return_last_day", "return_minutes", "return_default_time", "survey_fresh_days",
        ]  # fmt: skip
        help_texts = {
            "sprayer_lots": "Before it bunches: more are counted and hatched on the Friday sheet.",
            "travel_speed_kmh": "Over the straight line times 1.3: common practice, no source.",
            "return_minutes": "In quarter hours.",
            "room_at_bench": "In commissions, for “Where it stands”; left blank, only the count is shown there.",
            "survey_fresh_days": "An older one holds cutting back until the room is measured again. Our own figure.",
        }


class PersonForm(PlainModelForm):
    skills = forms.MultipleChoiceField(
        label="What they do",
        choices=Skill.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Leave all blank for somebody who does everything. The plan gives work only to those who do it.",
    )

    class Meta:
        model = Person
        fields = ["name", "role", "email", "phone", "skills", "may_see_codes", "is_active"]
        help_texts = {
            "email": "Only needed for somebody who signs in.",
            "role": "A maker sees everything. The office sees no codes and changes no settings. A helper sees the "
            "board and their site days: no money, no contacts.",
            "may_see_codes": "A maker may anyway; a helper then sees the codes of the jobs they go to.",
        }
