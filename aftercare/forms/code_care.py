"""Care for codes in what is printed: a door or alarm code must not get into the handover pack by a slip."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from django import forms

# A word for a lock, and within a few words of it 3 to 8 digits that are no size, weight, date or time.
CODE_LIKE = re.compile(
    r"\b(?<!colour )(?<!paint )(?<!product )"
    r"(?:codes?|pin|key ?safe|keypad|alarm|combination|padlock|gate)\b(?:\W+[a-z]+){0,4}?\W+"
    r"(?:\d[\s-]?){3,8}(?![\d.,:]|\s?(?:mm|cm|m|kg|w|v|years?|days?|months?)\b)",
    re.IGNORECASE,
)
CODE_SENTENCE = (
    "this looks like a code for a door or an alarm, and what stands here is printed in the handover pack. Take it "
    "out and keep it under Codes; or, if it is none, tick “None of this is a code”."
)


def looks_like_a_code(text: str) -> bool:
    return CODE_LIKE.search(text) is not None


class CodeCare(forms.BaseForm):
    """Mixed into a form whose fields named in `printed` end up on paper."""

    printed: ClassVar[tuple[str, ...]] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["not_a_code"] = forms.BooleanField(
            label="None of this is a code", required=False, widget=forms.HiddenInput
        )

    def clean(self) -> dict[str, Any] | None:
        found = super().clean()
        data = self.cleaned_data
        ticked = data.pop("not_a_code", False)
        doubtful = [name for name in self.printed if looks_like_a_code(str(data.get(name) or ""))]
        if doubtful:
            self.fields["not_a_code"].widget = forms.CheckboxInput()
        if doubtful and not ticked:
            for name in doubtful:
                self.add_error(name, f"{self.fields[name].label}: {CODE_SENTENCE}")
        return found
