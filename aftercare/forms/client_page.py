from __future__ import annotations

from collections.abc import Collection

from django import forms

from aftercare.domain.permissions import WORDINGS
from aftercare.models import PhotographUse


class PermissionsForm(forms.Form):
    """One box a use, none ticked beforehand; what stands allowed already is not asked again."""

    uses = forms.MultipleChoiceField(
        label="What we may do",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "What we may do: tick what you allow. Want to allow nothing? Then leave this page.",
            "invalid_choice": "What we may do: tick only what is listed here.",
        },
    )
    given_by = forms.CharField(
        label="Your name",
        max_length=5000,  # the domain says how long it may be, in a sentence of its own
        error_messages={"required": "Your name: write the name of the person who allows this."},
    )

    def __init__(self, data: object = None, *, standing: Collection[str] = (), **kwargs: object) -> None:
        super().__init__(data, **kwargs)  # type: ignore[arg-type]
        choices = [(use, WORDINGS[use]) for use in PhotographUse.values if use not in standing]
        self.fields["uses"].choices = choices  # type: ignore[attr-defined]
