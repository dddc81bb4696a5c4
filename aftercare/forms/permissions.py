from __future__ import annotations

from typing import Any

from django import forms

from aftercare.domain.permissions import WORDINGS
from aftercare.models import PermissionWay


class AskPermissionForm(forms.Form):
    """Permissions given on the spot. Only uses that do not stand allowed are offered, none of them ticked."""

    uses = forms.MultipleChoiceField(
        label="What they allow, in the words they were read",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "What they allow: tick at least one, or leave without keeping: no means no."},
    )
    given_by = forms.CharField(
        label="Who allowed it",
        max_length=120,
        error_messages={"required": "Who allowed it: write the name of the person who said yes."},
    )
    way = forms.ChoiceField(
        label="How",
        widget=forms.RadioSelect,
        choices=[(way.value, way.label) for way in (PermissionWay.TOLD, PermissionWay.WRITTEN)],
        error_messages={"required": "How: say whether they told us or wrote it."},
    )

    def __init__(self, *args: Any, standing: set[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["uses"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(use, words) for use, words in WORDINGS.items() if use not in standing]
