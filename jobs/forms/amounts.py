"""Fields for money and for how long something took."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from jobs.money import pence_of, pounds_of

_HOURS = re.compile(r"(\d{1,2})(?:[.,](\d{1,2}))?\s*(?:h|hours?|hrs?)?", re.ASCII)
_CLOCK = re.compile(r"(\d{1,2})\s*(?::|h|hours?)\s*([0-5]?\d)\s*(?:m|min|minutes?)?", re.ASCII)
_MINUTES = re.compile(r"(\d{1,3})\s*(?:m|min|mins|minutes?)", re.ASCII)


class PenceField(forms.CharField):
    """Pounds as they are typed, pence as they are kept. With `signed` a reduction may be typed as -50."""

    def __init__(self, *, label: str, signed: bool = False, **kwargs: Any) -> None:
        self.signed = signed
        widget = forms.TextInput(attrs={"inputmode": "text" if signed else "decimal"})
        errors = {"required": f"{label}: give an amount in pounds, such as 1250.00."}
        super().__init__(label=label, widget=widget, error_messages=errors, max_length=20, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, int):
            return value
        return f"-{pounds_of(-value)}" if value < 0 else pounds_of(value)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        is_less = self.signed and text.startswith(("-", "−"))
        try:
            pence = pence_of(text[1:] if is_less else text)
        except ValueError as fault:
            raise forms.ValidationError(f"{self.label}: {fault}") from fault
        return -pence if is_less else pence


class MinutesField(forms.CharField):
    """ "1:30", "1h 30", "1.5" (hours) or "90 min": minutes as a whole number."""

    def __init__(self, *, label: str, **kwargs: Any) -> None:
        errors = {"required": f"{label}: give a time, such as 1:30 or 45 min."}
        super().__init__(label=label, error_messages=errors, max_length=20, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value).strip().lower()
        if not text:
            return None
        if found := _CLOCK.fullmatch(text):
            return int(found[1]) * 60 + int(found[2])
        if found := _MINUTES.fullmatch(text):
            return int(found[1])
        if found := _HOURS.fullmatch(text):
            hundredths = int((found[2] or "0").ljust(2, "0"))
            return int(found[1]) * 60 + (hundredths * 60 + 50) // 100
        raise forms.ValidationError(
            f"{self.label}: “{text}” is no length of time; write 1:30, 1.5 (hours) or 45 min."
        )
