from __future__ import annotations

from collections import defaultdict
from typing import Any

from django import forms

from jobs.forms.widgets import PlainModelForm, date_field, instant_field
from jobs.models import Condition, Consignment, ConsignmentItem, Subcontractor
from jobs.queries.consignment_counts import ItemCount


class ConsignmentForm(PlainModelForm):
    class Meta:
        model = Consignment
        fields = ["subcontractor", "product", "colour", "sheen_percent", "sample", "batch", "notes"]
        help_texts = {
            "sample": "The name or number written on the sample both of you have.",
            "notes": "Printed on the note. Never the client’s name or address.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["subcontractor"]
        field.queryset = Subcontractor.objects.filter(is_active=True)  # type: ignore[attr-defined]


class ConsignmentItemForm(PlainModelForm):
    class Meta:
        model = ConsignmentItem
        fields = ["words", "count", "height_mm", "width_mm", "thickness_mm", "faces", "masked_cups"]
        help_texts = {"faces": "2 for a door coated front and back.", "masked_cups": "0 where none are drilled."}


class SendForm(forms.Form):
    sent_at = instant_field("Sent")
    promised_on = date_field("Promised back on", help_text="The day they told you. The plan then says that day.")


class ReceiveForm(forms.Form):
    """Three counts for every line that is still out."""

    at = instant_field("Came back")

    def __init__(self, *args: Any, lines: list[ItemCount], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = [line for line in lines if line.missing]
        for line in self.lines:
            for condition in Condition:
                label = f"{line.item}, {line.missing} out: {str(condition.label).lower()}"
                self.fields[f"{condition.value}_{line.item.pk}"] = forms.IntegerField(
                    label=label,
                    min_value=0,
                    max_value=999,
                    required=False,
                    initial=line.missing if condition == Condition.GOOD else 0,
                    error_messages={
                        "invalid": f"{label}: give a number.",
                        "min_value": f"{label}: give 0 or more.",
                        "max_value": f"{label}: give 999 or fewer.",
                    },
                )

    def counts(self) -> dict[int, dict[str, int]]:
        found: dict[int, dict[str, int]] = defaultdict(dict)
        for line in self.lines:
            for condition in Condition:
                value = self.cleaned_data.get(f"{condition.value}_{line.item.pk}")
                found[line.item.pk][condition.value] = value or 0
        return found


class RedoForm(forms.Form):
    promised_on = date_field("Promised back on", help_text="The new day, for what is made good.")
