"""The four kinds of calendar day, each with its form and the act behind it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django import forms

from jobs.domain import calendar as domain
from jobs.forms.records import AbsenceForm, ReasonedDayRangeForm
from jobs.forms.widgets import date_field
from jobs.models import Person


class HelperDayForm(forms.Form):
    person = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who helps", empty_label=None)
    day = date_field("Day")


class VanDayForm(forms.Form):
    day = date_field("Day")
    available = forms.TypedChoiceField(
        label="The van",
        coerce=lambda text: text == "yes",
        choices=[("yes", "is there: hired, or back"), ("no", "is not there")],
    )


@dataclass(frozen=True)
class EntryForm:
    title: str
    submit: str
    form: type[forms.Form]
    act: Callable[..., object]


ENTRY_FORMS = {
    "closure": EntryForm("Close the workshop", "Note the closure", ReasonedDayRangeForm, domain.close_workshop),
    "absence": EntryForm("Somebody is away", "Note the absence", AbsenceForm, domain.note_absence),
    "helperday": EntryForm("Book a helper", "Book the day", HelperDayForm, domain.book_helper),
    "vanday": EntryForm("Van day", "Note the van day", VanDayForm, domain.note_van_day),
}
