"""The one exception of the pure packages that measure, weigh and route."""

from __future__ import annotations


class MeasureError(ValueError):
    """A figure that cannot be used: `field` is its name on screen, `sentence` names it and the remedy."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field
        self.sentence = sentence
