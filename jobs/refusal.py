"""The one way a domain function says no."""

from __future__ import annotations


class Refusal(ValueError):
    """An act that cannot be done as asked; nothing was changed.

    `field` names the form field at fault ("" when it is the act as a whole); `sentence` says what is wrong and
    what to do about it, ready to be read by the person who typed it.
    """

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field
        self.sentence = sentence


class AlreadyTrue(Refusal):
    """The act asks for what is so already: nothing to do, and nobody's mistake."""

    def __init__(self, sentence: str) -> None:
        super().__init__("", sentence)
