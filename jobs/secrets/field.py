from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from django.core.exceptions import FieldError
from django.db import models

from jobs.secrets.sealing import seal, unseal


@dataclass(frozen=True, slots=True)
class Sealed:
    """A sealed value as it lies in the database. A template, a log or a traceback sees the word "sealed"."""

    token: str = field(repr=False)

    @classmethod
    def of(cls, text: str, *, row: str) -> Sealed:
        return cls(seal(text, row=row))

    def open(self, *, row: str) -> str:
        return unseal(self.token, row=row)

    def __str__(self) -> str:
        return "sealed"


if TYPE_CHECKING:
    _Field = models.Field[Sealed | None, Sealed | None]
else:
    _Field = models.Field


class SealedField(_Field):
    """A column of `Sealed` values: plain text is refused, and nothing can be looked up by it."""

    def get_internal_type(self) -> str:
        return "TextField"

    def from_db_value(self, value: str | None, expression: Any, connection: Any) -> Sealed | None:
        return Sealed(value) if value else None

    def to_python(self, value: Any) -> Sealed | None:
        return value if isinstance(value, Sealed) else None

    def get_prep_value(self, value: Any) -> str:
        if value is None or value == "":
            return ""
        if not isinstance(value, Sealed):
            raise TypeError(f"{self.name} takes a sealed value only: Sealed.of(text, row=...)")
        return value.token

    def get_lookup(self, lookup_name: str) -> Any:
        raise FieldError(f"{self.name} is sealed; nothing can be looked up by it")
