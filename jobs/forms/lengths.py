"""Fields for millimetres: whole figures, and a question where something else was typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.carrying.lengths import LONGEST_MM, parse_length_mm
from jobs.pure_errors import MeasureError


class LengthField(forms.CharField):
    """Whole millimetres as an int, None where blank. The label without its ", mm" names it in a mistake."""

    def __init__(self, label: str, *, minimum_mm: int = 1, maximum_mm: int = LONGEST_MM, **kwargs: Any) -> None:
        self.words = label.removesuffix(", mm")
        self.minimum_mm, self.maximum_mm = minimum_mm, maximum_mm
        widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "mm"})
        errors = {"required": f"{self.words}: this is needed; type it in whole millimetres, such as 2400."}
        super().__init__(label=label, widget=widget, error_messages=errors, **kwargs)

    def to_python(self, value: Any) -> int | None:  # type: ignore[override]
        typed = str(value or "").strip()
        if not typed:
            return None
        try:
            return parse_length_mm(typed, self.words, minimum_mm=self.minimum_mm, maximum_mm=self.maximum_mm)
        except MeasureError as fault:
            raise ValidationError(fault.sentence) from fault


class LeanField(LengthField):
    """Millimetres that may go either way: how far a wall leans or a floor falls."""

    def __init__(self, label: str, **kwargs: Any) -> None:
        super().__init__(label, minimum_mm=0, maximum_mm=300, **kwargs)
        self.widget.attrs["inputmode"] = "text"  # a numeric pad of a telephone has no minus

    def to_python(self, value: Any) -> int | None:  # type: ignore[override]
        typed = str(value or "").strip().replace("−", "-")
        away = typed.startswith("-")
        size_mm = super().to_python(typed.removeprefix("-"))
        return -size_mm if away and size_mm is not None else size_mm
