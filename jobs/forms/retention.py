from __future__ import annotations

from django import forms

from jobs.forms.widgets import PlainModelForm
from jobs.models import Workshop


class RetentionForm(PlainModelForm):
    class Meta:
        model = Workshop
        fields = ["keep_access_days", "keep_messages_days", "keep_enquiries_days", "keep_record_years"]
        help_texts = {
            "keep_record_years": "The law names no figure; a claim can be brought for about that long. Ask your "
            "adviser.",
        }


class PackWordsForm(PlainModelForm):
    class Meta:
        model = Workshop
        fields = [
            "guarantee_period", "guarantee_covers", "guarantee_excludes", "guarantee_response", "insurer",
            "complaints",
        ]  # fmt: skip
        help_texts = {
            "guarantee_covers": "It comes on top of the rights the law gives, and the pack says so.",
            "guarantee_response": "As “we ring back within two working days”.",
        }


class ForgetForm(forms.Form):
    sure = forms.BooleanField(
        label="I have read what this does, and it cannot be undone",
        error_messages={"required": "Tick that you have read what this does; then press the button again."},
    )
