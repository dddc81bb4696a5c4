from __future__ import annotations

from typing import Any

from django import forms

from jobs.forms.widgets import PlainModelForm
from jobs.models import Template, TemplateStep


class TemplateStepForm(PlainModelForm):
    class Meta:
        model = TemplateStep
        fields = [
            "name", "kind", "track", "allowance_hours", "lead_days", "hands", "needs_helper", "needs_van",
            "needs_floor", "needs_client", "needs_access",
        ]  # fmt: skip
        help_texts = {
            "allowance_hours": "The hours usually priced for it.",
            "lead_days": "For what others do: their own working days. Leave 0 for our own work.",
        }


class NewTemplateStepForm(TemplateStepForm):
    after = forms.ModelChoiceField(
        TemplateStep.objects.none(),
        label="Comes after",
        required=False,
        empty_label="Nothing: it comes first",
        help_text="What came after that step then comes after this one.",
    )

    def __init__(self, *args: Any, template: Template, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["after"].queryset = template.steps.all()  # type: ignore[attr-defined]


class TemplateNameForm(forms.Form):
    name = forms.CharField(
        label="Name", max_length=80, error_messages={"required": "Name: this is needed; fill it in."}
    )
