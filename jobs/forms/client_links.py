from __future__ import annotations

from typing import Any

from django import forms
from django.utils.timezone import localtime

from jobs.domain.links import LINK_LASTS_DAYS, LONGEST_DAYS
from jobs.forms.widgets import instant_field
from jobs.models import Commission, LinkScope, Person, Step, Visit, VisitKind, VisitState
from jobs.words import short_day, time_in_words


class LinkForm(forms.Form):
    scope = forms.ChoiceField(
        label="What it opens",
        choices=LinkScope.choices,
        initial=LinkScope.DECIDE,
        widget=forms.RadioSelect,
        help_text="Deciding means approving a drawing, picking a time, saying who opens. Give it to one person only.",
        error_messages={"required": "What it opens: choose one of the two."},
    )
    days = forms.IntegerField(
        label="Good for, days",
        initial=LINK_LASTS_DAYS,
        min_value=1,
        max_value=LONGEST_DAYS,
        error_messages={
            "required": "Good for: give a number of days.",
            "invalid": "Good for: give a number of days, without letters.",
            "min_value": "Good for: at least one day.",
            "max_value": f"Good for: at most {LONGEST_DAYS} days; a new link can be sent at any time.",
        },
    )


class VisitChoice(forms.ModelChoiceField):
    """Two visits of one kind are told apart by their day."""

    def label_from_instance(self, visit: Visit) -> str:
        if visit.starts_at is None:
            return f"{visit}, to arrange"
        start = localtime(visit.starts_at)
        return f"{visit}, {short_day(start.date())}, {time_in_words(start.time())}"


class OfferForm(forms.Form):
    kind = forms.ChoiceField(label="What for", choices=[c for c in VisitKind.choices if c[0] != VisitKind.RETURN])
    person = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who goes", empty_label=None)
    starts_at = instant_field("Starts", help_text="By the quarter hour.")
    ends_at = instant_field("Ends")
    visit = VisitChoice(
        Visit.objects.none(),
        label="In place of which visit",
        required=False,
        empty_label="None: picking books a new visit",
    )
    step = forms.ModelChoiceField(Step.objects.none(), label="For which step", required=False)
    reason = forms.CharField(
        label="Why this time is a good one",
        required=False,
        max_length=160,
        help_text="The client reads this. Name nobody and no other job.",
    )

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        standing = commission.visits.filter(state__in=[VisitState.ARRANGED, VisitState.TO_ARRANGE])
        self.fields["visit"].queryset = standing.exclude(kind=VisitKind.RETURN)  # type: ignore[attr-defined]
        self.fields["step"].queryset = commission.steps.filter(finished_at__isnull=True)  # type: ignore[attr-defined]
