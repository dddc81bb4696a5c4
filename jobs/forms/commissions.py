from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from jobs.domain.commissions import PastStep
from jobs.forms.widgets import PlainModelForm, date_field, instant_field
from jobs.models import Client, Commission, Person, Step, StepKind, Template, Workshop


class NewCommissionForm(PlainModelForm):
    """A commission from nothing, or already under way: then each step that is behind it gets its day."""

    template = forms.ModelChoiceField(
        Template.objects.all(), label="Steps to start from", empty_label=None, help_text="They can be changed later."
    )

    class Meta:
        model = Commission
        fields = [
            "client", "what", "nickname", "maker", "opened_on", "site_address", "latitude_deg", "longitude_deg",
        ]  # fmt: skip
        help_texts = {
            "what": "In words the client would use: alcove pair, library wall.",
            "nickname": "A visitor reads this on the wall: a street or a house, no person's name.",
            "site_address": "Leave blank when it is the client's own address.",
            "latitude_deg": "Degrees, north of the equator positive, for travel and for the light: 52.48.",
            "longitude_deg": "Degrees, east of Greenwich positive: -1.9.",
        }

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["client"].queryset = Client.objects.all()  # type: ignore[attr-defined]
        self.fields["maker"].queryset = Person.objects.filter(is_active=True)  # type: ignore[attr-defined]
        self.fields["opened_on"].initial = today
        self.order_fields([*self.Meta.fields, "template"])


class PastForm(forms.Form):
    """What is already behind a commission: for each step the day it was finished, or the day it began."""

    def __init__(self, *args: Any, workshop: Workshop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.workshop = workshop
        for kind in StepKind:
            if kind in (StepKind.REDO, StepKind.OTHER, StepKind.HANDOVER, StepKind.RETURN_VISIT):
                continue
            self.fields[f"{kind.value}_began"] = date_field(f"{kind.label}: began on", required=False)
            self.fields[f"{kind.value}_done"] = date_field(f"{kind.label}: finished on", required=False)

    def past(self) -> dict[str, PastStep]:
        """The steps given, at the start and end of the workshop's day."""
        found = {}
        for kind in StepKind:
            began = self.cleaned_data.get(f"{kind.value}_began")
            done = self.cleaned_data.get(f"{kind.value}_done")
            first = began or done
            if first:
                found[kind.value] = PastStep(
                    started_at=self._at(first, self.workshop.day_starts),
                    finished_at=self._at(done, self.workshop.day_ends) if done else None,
                )
        return found

    def _at(self, day: dt.date, time: dt.time) -> dt.datetime:
        return dt.datetime.combine(day, time, self.workshop.tz)


class CommissionForm(PlainModelForm):
    class Meta:
        model = Commission
        fields = [
            "client", "what", "nickname", "maker", "site_address", "latitude_deg", "longitude_deg",
            "return_first_day", "return_last_day",
        ]  # fmt: skip
        help_texts = NewCommissionForm.Meta.help_texts | {
            "return_first_day": "Counted from handover. Blank takes the workshop's own range."
        }


class HoldForm(forms.Form):
    hold_reason = forms.CharField(
        label="Why it waits",
        max_length=200,
        error_messages={"required": "Say why it waits, so the board can say it."},
    )


class GatedForm(forms.Form):
    """Asks for a reason where a gate holds the step, and only there."""

    override_reason = forms.CharField(
        label="Why it is begun all the same",
        max_length=200,
        required=False,
        help_text="Kept with the step, with your name. Better: see to what holds it, and leave this blank.",
    )

    def __init__(self, *args: Any, held_by: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        reason = self.fields.pop("override_reason")
        if held_by:
            self.fields["override_reason"] = reason  # after the time, where the eye ends

    def reason(self) -> str:
        return self.cleaned_data.get("override_reason", "")


class FinishStepForm(GatedForm):
    finished_at = instant_field("Finished at")
    actual_hours = forms.DecimalField(
        label="Actual hours",
        required=False,
        min_value=0,
        max_value=2000,
        decimal_places=2,
        help_text="All hours that went into it, everybody's together.",
        error_messages={
            "invalid": "Actual hours: give a number such as 3.5.",
            "min_value": "Actual hours: give a number from 0 to 2000.",
            "max_value": "Actual hours: give a number from 0 to 2000.",
        },
    )


class StartStepForm(GatedForm):
    started_at = instant_field("Started at")


class StepForm(PlainModelForm):
    class Meta:
        model = Step
        fields = [
            "name", "kind", "track", "allowance_hours", "lead_days", "subcontractor", "hands", "needs_helper",
            "needs_van", "needs_floor", "needs_client", "needs_access", "earliest_on", "latest_on", "promised_on",
        ]  # fmt: skip
        help_texts = {
            "allowance_hours": "The hours priced for it.",
            "subcontractor": "Blank where we do it ourselves.",
            "lead_days": "For what others do: their own working days. Leave 0 for our own work.",
            "promised_on": "A date the client was told.",
        }


class NewStepForm(StepForm):
    after = forms.ModelMultipleChoiceField(
        Step.objects.none(), label="Comes after", required=False, widget=forms.CheckboxSelectMultiple
    )
    before = forms.ModelMultipleChoiceField(
        Step.objects.none(), label="Comes before", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("after", "before"):
            self.fields[name].queryset = commission.steps.all()  # type: ignore[attr-defined]
