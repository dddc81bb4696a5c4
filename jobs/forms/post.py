"""Uploading an answer, and making a calendar address."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.models import Client, Person

ANSWER_LIMIT_BYTES = 1_000_000


class AnswerForm(forms.Form):
    file = forms.FileField(
        label="The mail or calendar file",
        help_text="Saved from a mail program: a file that ends in .eml or .ics, at most 1 MB.",
        error_messages={
            "required": "The mail or calendar file: choose one.",
            "empty": "The mail or calendar file: this one is empty; save it again.",
        },
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > ANSWER_LIMIT_BYTES:
            raise forms.ValidationError(
                "The mail or calendar file: it is larger than 1 MB; save the calendar file of the mail alone."
            )
        return file


class FeedForm(forms.Form):
    """Exactly one of the two; the domain says so."""

    person = forms.ModelChoiceField(
        Person.objects.filter(is_active=True), label="For one of us", required=False, empty_label="nobody of us"
    )
    client = forms.ModelChoiceField(
        Client.objects.all(), label="Or for a client", required=False, empty_label="no client"
    )
