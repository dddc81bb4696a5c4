from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from aftercare.models import TravelTime
from jobs.calendar_days import WEEKDAY_NAMES
from jobs.forms.widgets import PlainModelForm, time_field


class OtherTimeForm(forms.Form):
    """The time behind a one-tap button."""

    starts_at = forms.CharField(widget=forms.HiddenInput, max_length=40)

    def clean_starts_at(self) -> dt.datetime:
        try:
            instant = dt.datetime.fromisoformat(self.cleaned_data["starts_at"])
        except ValueError:
            raise forms.ValidationError("This is no time: choose one of those on this page.") from None
        if instant.tzinfo is None:
            raise forms.ValidationError("This time has no zone: choose one of those on this page.")
        return instant.astimezone(dt.UTC)


class ReturnWishForm(forms.Form):
    weekday = forms.TypedChoiceField(
        label="Day of the week",
        choices=[("", "any"), *enumerate(WEEKDAY_NAMES)],
        coerce=int,
        empty_value=None,
        required=False,
        error_messages={"invalid_choice": "Day of the week: choose one from Monday to Sunday, or any."},
    )
    time = time_field("Time of day", required=False, help_text="When they would like us to come. Blank for any.")


class JourneyForm(PlainModelForm):
    class Meta:
        model = TravelTime
        fields = ["here", "there", "minutes"]
        help_texts = {
            "here": "A town, as the last line of an address has it.",
            "minutes": "Door to door, one way, as you have driven it.",
        }

    def __init__(self, *args: Any, towns: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.towns = towns
        for name in ("here", "there"):
            self.fields[name].widget.attrs["list"] = "towns"
        self.fields["minutes"].error_messages["min_value"] = "Minutes: give 0 or more."

    def validate_unique(self) -> None:
        """The same journey typed again is no mistake: the newer minutes take the place of the older."""

    def validate_constraints(self) -> None:
        """As above; a journey within one town is refused by the act itself, with its reason."""
