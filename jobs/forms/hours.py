from __future__ import annotations

from typing import Any

from django import forms

from jobs.forms.amounts import MinutesField
from jobs.forms.widgets import date_field, instant_field
from jobs.models import HourKind, Person


class StartTimerForm(forms.Form):
    kind = forms.ChoiceField(label="On what", choices=HourKind.choices)
    started_at = instant_field("From", required=False, help_text="Blank: from now.")


class StopTimerForm(forms.Form):
    minutes = MinutesField(label="How long it really took")


class TellHoursForm(forms.Form):
    kind = forms.ChoiceField(label="On what", choices=HourKind.choices)
    minutes = MinutesField(label="How long", help_text="1:30, 1.5 (hours) or 45 min.")
    worked_on = date_field("Day")
    person = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who", empty_label=None)

    def __init__(self, *args: Any, only: Person | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if only is not None:
            self.fields["person"].queryset = Person.objects.filter(pk=only.pk)  # type: ignore[attr-defined]
