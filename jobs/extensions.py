"""What the jobs app puts into its own registries; called once from `JobsConfig.ready()`."""

from __future__ import annotations


def register() -> None: ...
