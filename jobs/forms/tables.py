"""A table coming in: a CSV file, or its lines pasted."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.csv_in import LARGEST_BYTES


class TableForm(forms.Form):
    """A CSV file, or its lines; the lines carry what was looked at over to the taking in."""

    table_file = forms.FileField(label="The CSV file", required=False, allow_empty_file=True)
    table_text = forms.CharField(
        label="Or its lines, pasted",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "autocomplete": "off"}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        upload = cleaned.get("table_file")
        if upload is None and not cleaned.get("table_text") and not self.errors:
            raise forms.ValidationError("Choose a file, or paste its lines into the field below.")
        if upload is not None and upload.size > LARGEST_BYTES:
            self.add_error("table_file", f"This is larger than {LARGEST_BYTES // 1_000_000} MB: send it in parts.")
        return cleaned

    def table_bytes(self) -> bytes:
        """The bytes of the file, else of what was pasted. Call once: it reads the upload."""
        upload = self.cleaned_data.get("table_file")
        return upload.read() if upload is not None else self.cleaned_data["table_text"].encode()
