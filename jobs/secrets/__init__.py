"""What is kept under lock: values encrypted with keys of their own, each bound to the row it was written for."""

from __future__ import annotations
