"""What this package raises on bad input."""

from __future__ import annotations


class LightError(ValueError):
    """Bad input: `field` names what is wrong, `sentence` says it and how to mend it."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field
        self.sentence = sentence
