from __future__ import annotations

from django import forms

from jobs.forms.widgets import PlainModelForm
from jobs.models import Subcontractor

WEEKDAYS = list(enumerate(["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]))


class SubcontractorForm(PlainModelForm):
    weekdays = forms.TypedMultipleChoiceField(
        label="Days they work",
        coerce=int,
        choices=WEEKDAYS,
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = Subcontractor
        fields = ["name", "trade", "email", "phone", "address", "weekdays", "turnaround_days", "notes", "is_active"]
        help_texts = {"turnaround_days": "What they say. What it really took is shown beside it once work is back."}
