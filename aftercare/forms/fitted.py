"""Doors, shelves and the other facts of the handover pack."""

from __future__ import annotations

from typing import Any

from django import forms

from aftercare.domain.fitted import MOST_ALIKE
from aftercare.forms.code_care import CodeCare
from aftercare.models import Door, FittedFacts, Shelf
from jobs.forms.widgets import PlainModelForm, date_field


class DoorForm(PlainModelForm):
    class Meta:
        model = Door
        fields = [
            "label", "room", "piece", "position", "width_mm", "height_mm", "thickness_mm", "board", "typed_kg",
            "hung", "hinges_fitted", "left_mm", "bottom_mm",
        ]  # fmt: skip
        help_texts = {
            "label": "As on the elevation and on the hinge check sheet, such as D1.",
            "thickness_mm": "With the board it gives the weight. Left blank, the weight is not recorded.",
            "typed_kg": "Weighed; it goes before the weight worked out.",
            "left_mm": "Blank: beside the door before it.",
            "bottom_mm": "Blank: on the same line as the door before it.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        commission = self.instance.commission
        for name, rows in (("room", commission.rooms.all()), ("piece", commission.pieces.all())):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows
            field.empty_label = "not said"
        if not commission.pieces.exists():
            del self.fields["piece"]


class NewDoorForm(DoorForm):
    alike = forms.IntegerField(
        label="How many alike, side by side",
        initial=1,
        help_text=f"Up to {MOST_ALIKE}: D1 and two more become D1, D2 and D3.",
        error_messages={
            "required": f"How many alike: give a number from 1 to {MOST_ALIKE}.",
            "invalid": f"How many alike: give a number from 1 to {MOST_ALIKE}.",
        },
    )
    field_order = ["label", "alike"]


class RunDoorsForm(PlainModelForm):
    """What a drawn run does not say of its doors."""

    class Meta:
        model = Door
        fields = ["board", "thickness_mm", "hinges_fitted"]
        help_texts = {
            "thickness_mm": "With the board it gives the weight. Left blank, the weight is not recorded.",
            "hinges_fitted": "On each door; a door that differs can be changed afterwards.",
        }


class ShelfForm(PlainModelForm):
    class Meta:
        model = Shelf
        fields = [
            "place", "room", "span_mm", "depth_mm", "thickness_mm", "board", "data_sheet_n_mm2", "stated_kg",
        ]  # fmt: skip
        help_texts = {
            "place": "As the client would call it: “bays 1 to 3, every shelf”.",
            "span_mm": "Between the supports, clear.",
            "board": "Blank, and with no stated load, it prints “not recorded”.",
            "data_sheet_n_mm2": "E from the board's own data sheet; it goes before our cautious table.",
            "stated_kg": "Only what you have tested or vouch for; printed in place of the calculated load.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["room"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = self.instance.commission.rooms.all()
        field.empty_label = "not said"


class FittedFactsForm(CodeCare, PlainModelForm):
    signed_on = date_field("Signed on", required=False)

    class Meta:
        model = FittedFacts
        exclude = ["commission"]
        help_texts = {
            "wall_fixings": "Kind of fixing and wall, how many, where: this is your evidence that it is fixed.",
            "lights_by": "The electrician and the certificate, where the law asks for one.",
            "pipes": "Measure from a corner or the floor: “90 mm above the floor, behind the plinth of bay 1”.",
            "spare_keys": "Never where a key is kept.",
            "guarantee_period": "Blank: the workshop's own words, under Workshop. So with the lines below.",
            "insurer": "Blank: the workshop's.",
            "complaints": "Blank: the workshop's.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.printed = tuple(name for name in self.fields if name not in ("signed_on", "not_a_code"))  # type: ignore[misc]
        for field in self.fields.values():
            if isinstance(field, forms.CharField) and (field.max_length or 0) >= 200:
                field.widget = forms.Textarea(attrs={"rows": 2, "maxlength": field.max_length})


class IssuePackForm(forms.Form):
    reason = forms.CharField(
        label="What changed",
        max_length=120,
        required=False,
        help_text="Printed in the pack's revision log. The first pack needs none.",
    )
