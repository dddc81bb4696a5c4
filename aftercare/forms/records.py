from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from aftercare.forms.code_care import CodeCare
from aftercare.models import Handover
from jobs.forms.widgets import PlainModelForm, instant_field


class LightNoteForm(forms.Form):
    noted_at = instant_field("When the light was good", help_text="The hour by the clock on the wall, on that day.")
    words = forms.CharField(label="What was good about it", max_length=200, required=False)


class HandoverForm(CodeCare, PlainModelForm):
    printed = ("know_first", "know_second", "know_third", "agreed", "existing_marks")
    handed_over_at = instant_field("Handed over at")

    class Meta:
        model = Handover
        fields = [
            "handed_over_at", "know_first", "know_second", "know_third", "agreed", "existing_marks",
        ]  # fmt: skip
        help_texts = {
            "know_first": "Three things to know stand on page one of the handover pack.",
            "agreed": "Snags, extras, who does what by when. Printed in the pack.",
            "existing_marks": "Marks on walls and floors that were there before we came.",
        }

    def __init__(self, *args: Any, now: dt.datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["handed_over_at"].initial = now
