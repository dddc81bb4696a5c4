"""Codes, invitations and wall screens: what is typed is never sent back to the page where it is secret."""

from __future__ import annotations

from django import forms

from jobs.models import CodeKind


class CodeForm(forms.Form):
    opens = forms.ChoiceField(label="What it opens", choices=CodeKind.choices)
    code = forms.CharField(
        label="Code",
        max_length=60,
        strip=True,
        # Not filled in again after a mistake elsewhere, and not offered by the browser the next time.
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
        error_messages={"required": "Code: this is needed; type the code as the client gave it."},
    )
    place = forms.CharField(
        label="Where it is",
        max_length=120,
        required=False,
        help_text="Kept sealed like the code: left of the side door.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class NewPasswordForm(forms.Form):
    password = forms.CharField(
        label="New password",
        strip=False,
        help_text="At least 12 signs. Four words in a row are easy to keep and hard to guess.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        error_messages={"required": "New password: this is needed; choose one."},
    )
    again = forms.CharField(
        label="The same again",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        error_messages={"required": "The same again: this is needed, so that a slip is noticed."},
    )

    def clean(self) -> dict[str, str]:
        data = super().clean() or {}
        if data.get("password") and data.get("again") and data["password"] != data["again"]:
            self.add_error("again", "The same again: it differs from the line above; type both once more.")
        return data


class WallScreenForm(forms.Form):
    name = forms.CharField(
        label="Which screen",
        max_length=60,
        help_text="So that you know it in the list: over the bench.",
        error_messages={"required": "Which screen: give it a name, as in “over the bench”."},
    )


class PairingForm(forms.Form):
    code = forms.CharField(
        label="Code",
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
        error_messages={"required": "Code: type the eight signs that “Workshop” shows."},
    )
