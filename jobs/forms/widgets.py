"""Fields as every form has them: dates, times and instants by the device's own pickers, in the workshop's zone."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class TimeInput(forms.TimeInput):
    input_type = "time"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%H:%M", **kwargs)


class InstantInput(forms.DateTimeInput):
    input_type = "datetime-local"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M", **kwargs)


def date_field(label: str, *, required: bool = True, help_text: str = "", **kwargs: Any) -> forms.DateField:
    errors = {
        "required": f"{label}: give a day.",
        "invalid": f"{label}: this is no day of the calendar; write it as 2027-03-31 or pick it.",
    }
    return forms.DateField(
        label=label, required=required, help_text=help_text, widget=DateInput(), error_messages=errors, **kwargs
    )


def time_field(label: str, *, required: bool = True, help_text: str = "", **kwargs: Any) -> forms.TimeField:
    errors = {
        "required": f"{label}: give a time.",
        "invalid": f"{label}: this is no time of day; write it as 9:30 or pick it.",
    }
    return forms.TimeField(
        label=label, required=required, help_text=help_text, widget=TimeInput(), error_messages=errors, **kwargs
    )


def instant_field(label: str, *, required: bool = True, help_text: str = "", **kwargs: Any) -> forms.DateTimeField:
    errors = {
        "required": f"{label}: give a day and a time.",
        "invalid": f"{label}: this is no day and time; write it as 2027-03-31 09:30 or pick it.",
    }
    return forms.DateTimeField(
        label=label, required=required, help_text=help_text, widget=InstantInput(), error_messages=errors, **kwargs
    )


class PlainModelForm(forms.ModelForm):
    """A model form with our pickers, and errors that name the field.

    A constraint over several columns speaks beside the field that its `violation_error_code` names.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            label = str(field.label or "")
            field.label = label[:1].upper() + label[1:]
            field.error_messages["required"] = f"{field.label}: this is needed; fill it in."
            if isinstance(field, forms.DateField):
                field.widget = DateInput()
            elif isinstance(field, forms.TimeField):
                field.widget = TimeInput()
            if isinstance(field, (forms.IntegerField, forms.FloatField, forms.DecimalField)):
                field.error_messages["invalid"] = f"{field.label}: give a number, without letters or units."
            elif isinstance(field, forms.DateField):
                field.error_messages["invalid"] = f"{field.label}: this is no day of the calendar."
            elif isinstance(field, forms.TimeField):
                field.error_messages["invalid"] = f"{field.label}: this is no time of day; write it as 9:30."

    def _update_errors(self, errors: ValidationError) -> None:
        for fault in getattr(errors, "error_dict", {}).pop(NON_FIELD_ERRORS, []):
            self.add_error(fault.code if fault.code in self.fields else None, fault)
        super()._update_errors(errors)  # type: ignore[misc]
