"""What a client types on their page: few fields, plain words, errors that say what to do."""

from __future__ import annotations

import datetime as dt

from django import forms

from jobs.forms.widgets import PlainModelForm, date_field
from jobs.models import AccessArrangement, Commission

PARKING_LIMIT = 5000


class ClientDeclarationForm(forms.Form):
    answer = forms.ChoiceField(
        label="The room",
        choices=[("same", "Nothing has changed since you measured"), ("changed", "Something has changed")],
        widget=forms.RadioSelect,
        error_messages={"required": "The room: choose one of the two."},
    )
    what_changed = forms.CharField(
        label="What has changed",
        required=False,
        max_length=5000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Only if something has. A few words are enough, such as “new floor”.",
    )


class ClientAwayForm(forms.Form):
    first_day = date_field("First day away")
    last_day = date_field("Last day away")


class ClientAccessForm(PlainModelForm):
    class Meta:
        model = AccessArrangement
        fields = [
            "opener_name", "opener_phone", "opener_email", "slot_starts", "slot_ends", "fallback_name",
            "fallback_phone", "parking",
        ]  # fmt: skip
        labels = {
            "opener_name": "Who opens the door",
            "opener_phone": "Their telephone",
            "opener_email": "Their e-mail",
            "slot_starts": "We can come from",
            "slot_ends": "We must be done by",
            "fallback_name": "If nobody opens, whom may we ask",
            "fallback_phone": "Their telephone number",
            "parking": "Where can we park the van",
        }
        widgets = {"parking": forms.Textarea(attrs={"rows": 3})}

    def clean_parking(self) -> str:
        parking: str = self.cleaned_data["parking"]
        if len(parking) > PARKING_LIMIT:
            raise forms.ValidationError(f"Where can we park the van: write at most {PARKING_LIMIT} signs.")
        return parking


def first_access(commission: Commission) -> AccessArrangement:
    """The arrangement for the whole commission, or a new one with the usual hours of a day. One query."""
    found = AccessArrangement.objects.filter(commission=commission, visit__isnull=True).first()
    return found or AccessArrangement(commission=commission, slot_starts=dt.time(8), slot_ends=dt.time(17))


class ClientApproveForm(forms.Form):
    name = forms.CharField(
        label="Your name",
        max_length=5000,  # the domain says how long it may be, in a sentence of its own
        help_text="We keep your name and the day with this very drawing.",
        error_messages={"required": "Your name: write the name of the person who approves."},
    )
