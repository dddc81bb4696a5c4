from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from aftercare.models import LightNoteSource
from aftercare.queries.light_page import far_sentence
from jobs.forms.widgets import date_field, instant_field


class LightNoteForm(forms.Form):
    noted_at = instant_field("When the light was good", help_text="The hour by the clock on the wall, on that day.")
    words = forms.CharField(label="What was good about it", max_length=200, required=False)
    source = forms.ChoiceField(
        choices=LightNoteSource.choices, required=False, widget=forms.HiddenInput, label="Where the hour comes from"
    )

    def clean_source(self) -> str:
        return self.cleaned_data["source"] or LightNoteSource.TYPED


class PhotographForm(forms.Form):
    photograph = forms.FileField(
        label="Photograph",
        help_text="As the camera or phone saved it: pictures sent by a messenger have lost their time.",
        error_messages={
            "required": "Photograph: choose one, or type the time in instead.",
            "empty": "Photograph: this file is empty; choose another, or type the time in instead.",
        },
    )
    is_kept = forms.BooleanField(
        label="Keep the picture too, among the photographs of this room", required=False, initial=True
    )


class DayForm(forms.Form):
    """Which day the light is asked about."""

    day = date_field("The light on another day")

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_day(self) -> dt.date:
        day = self.cleaned_data["day"]
        if words := far_sentence(day, self.today):
            raise forms.ValidationError(words)
        return day
