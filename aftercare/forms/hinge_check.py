"""The hinge check as typed on a telephone: millimetres with one decimal, ticks, a verdict."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from aftercare.models import DoorCheck, FutureWork, Looked, MayWrite, Parts, Verdict
from aftercare.pack.gaps import MOST_BOW_TENTHS_MM, SIDES, WIDEST_TENTHS_MM, parse_tenths_mm, tenths_words
from jobs.forms.widgets import PlainModelForm, date_field
from jobs.pure_errors import MeasureError

DECIMAL_KEYS = {"inputmode": "decimal", "autocomplete": "off", "size": 6}


class TenthsField(forms.CharField):
    """Tenths of a millimetre, typed as 2.5; blank is None."""

    def __init__(self, *, label: str, most_tenths_mm: int = WIDEST_TENTHS_MM, in_full: str = "") -> None:
        super().__init__(label=label, required=False, max_length=20, widget=forms.TextInput(attrs=DECIMAL_KEYS))
        self.most_tenths_mm = most_tenths_mm
        self.in_full = in_full or label

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_tenths_mm(text, self.in_full, most_tenths_mm=self.most_tenths_mm)
        except MeasureError as fault:
            raise ValidationError(fault.sentence) from fault

    def prepare_value(self, value: Any) -> Any:
        return tenths_words(value) if isinstance(value, int) else value


class RoomFoundForm(forms.Form):
    room_c = forms.DecimalField(
        label="Room temperature, °C",
        required=False,
        max_digits=4,
        decimal_places=1,
        widget=forms.TextInput(attrs=DECIMAL_KEYS),
        error_messages={
            "invalid": "Room temperature: give degrees Celsius, as 19.5.",
            "max_decimal_places": "Room temperature: one decimal is enough, as 19.5.",
            "max_digits": "Room temperature: give degrees Celsius, as 19.5.",
        },
    )
    humidity_percent = forms.IntegerField(
        label="Relative humidity, %",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
        error_messages={"invalid": "Relative humidity: give a whole number of per cent, as 45."},
    )
    fixings = forms.ChoiceField(
        label="Wall fixings", choices=Looked.choices, required=False, widget=forms.RadioSelect
    )
    scribes = forms.ChoiceField(
        label="Scribes and caulk", choices=Looked.choices, required=False, widget=forms.RadioSelect
    )
    notes = forms.CharField(
        label="Notes", required=False, widget=forms.Textarea(attrs={"rows": 3}), help_text="Never a code."
    )


class DoorCheckForm(forms.Form):
    """Field names are those of `DoorCheck`."""

    rubs = forms.BooleanField(label="It rubs", required=False)
    bow_tenths_mm = TenthsField(label="Bow, mm over the height", most_tenths_mm=MOST_BOW_TENTHS_MM, in_full="Bow")
    screws = forms.ChoiceField(label="Screws", choices=Looked.choices, required=False, widget=forms.RadioSelect)
    dampers = forms.ChoiceField(label="Dampers", choices=Parts.choices, required=False, widget=forms.RadioSelect)
    verdict = forms.ChoiceField(
        label="Verdict",
        choices=Verdict.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Verdict: say how the door was left."},
    )
    words = forms.CharField(
        label="What is wrong, or what was done",
        required=False,
        max_length=200,
        help_text="Needed for a snag: its step is called so.",
    )

    def __init__(self, *args: Any, row: DoorCheck, **kwargs: Any) -> None:
        names = [*self.gap_names("before"), *self.gap_names("after"), *self.base_fields]
        initial = {name: getattr(row, name) for name in names} if row.pk else {}
        super().__init__(*args, **{"initial": initial, **kwargs})
        for when in ("before", "after"):
            for side, name in zip(SIDES, self.gap_names(when), strict=True):
                label = side.capitalize()
                self.fields[name] = TenthsField(label=label, in_full=f"{label} gap {when}")

    @staticmethod
    def gap_names(when: str) -> list[str]:
        return [f"{when}_{side}_tenths_mm" for side in SIDES]

    def before(self) -> list[forms.BoundField]:
        return [self[name] for name in self.gap_names("before")]

    def after(self) -> list[forms.BoundField]:
        return [self[name] for name in self.gap_names("after")]

    def looks(self) -> list[forms.BoundField]:
        return [self[name] for name in self.base_fields]


class FinishCheckForm(forms.Form):
    second_visit = forms.BooleanField(
        label="A second return visit is needed",
        required=False,
        help_text="It stands on the board, to arrange, with the snags as its reason.",
    )


class FutureWorkForm(PlainModelForm):
    next_contact_on = date_field(
        "Come back to it on", required=False, help_text="On that day it stands at the foot of the job board."
    )

    class Meta:
        model = FutureWork
        fields = ["what", "room", "timing", "next_contact_on", "may_write"]
        widgets = {"may_write": forms.RadioSelect}
        help_texts = {
            "timing": "In their words: “after the extension”.",
            "may_write": "In the United Kingdom you may write about similar work of your own to somebody who gave "
            "you their address when they ordered, if they could say no then and can say no in every letter. Where "
            "nobody asked, ring instead. This is the usual reading, not advice.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["may_write"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = MayWrite.choices
