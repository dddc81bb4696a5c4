"""What the aftercare app adds to the registries of jobs; called once from `AftercareConfig.ready()`."""

from __future__ import annotations


def register() -> None: ...
