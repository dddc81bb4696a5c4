"""A piece typed, pieces from a table, counts by ticks."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.forms.lengths import LengthField
from jobs.forms.widgets import PlainModelForm
from jobs.models import Commission, Piece


class PieceForm(PlainModelForm):
    width_mm = LengthField("Width, mm")
    height_mm = LengthField("Height, mm")
    depth_mm = LengthField("Depth, mm")
    wrapped_width_mm = LengthField("Wrapped width, mm", required=False, help_text="All three wrapped sizes or none.")
    wrapped_height_mm = LengthField("Wrapped height, mm", required=False)
    wrapped_depth_mm = LengthField("Wrapped depth, mm", required=False)

    class Meta:
        model = Piece
        fields = [
            "name", "room", "track", "width_mm", "height_mm", "depth_mm", "board", "thickness_mm", "area_m2",
            "fittings_kg", "typed_kg", "wrapped_width_mm", "wrapped_height_mm", "wrapped_depth_mm", "finish",
            "fragile", "stands_up", "step", "place", "fitting_order", "method_note",
        ]  # fmt: skip
        help_texts = {
            "area_m2": "All the board in it, in square metres. A flat piece needs none: its own face is taken.",
            "typed_kg": "Off the scales. It wins over board × thickness × density.",
            "stands_up": "Untick for plinths, worktops and loose panels that stay lying.",
            "fitting_order": "It is loaded the other way round.",
            "method_note": "For a heavy piece: printed on the site-day sheet.",
        }

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, rows in (
            ("room", commission.rooms.all()),
            ("finish", commission.finishes.all()),
            ("step", commission.steps.all()),
        ):
            self.fields[name].queryset = rows  # type: ignore[attr-defined]


class CountForm(forms.Form):
    """A tick for each piece that is there."""

    present = forms.TypedMultipleChoiceField(
        label="Pieces that are there", required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, pieces: list[Piece], column: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["present"]
        field.choices = [(piece.pk, str(piece)) for piece in pieces]  # type: ignore[attr-defined]
        field.initial = [piece.pk for piece in pieces if getattr(piece, column) is not None]
        field.error_messages["invalid_choice"] = "A ticked piece is not of this commission: load the page again."
