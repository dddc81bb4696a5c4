"""The fonts of a document, taken from packages: a bare machine has none, and system fonts would change its bytes."""

from __future__ import annotations

from pathlib import Path

import font_source_sans_pro
import font_source_serif_pro

from jobs.documents.fetcher import Resource

_SANS: dict[str, str] = font_source_sans_pro.font_files_ttf
_SERIF: dict[str, str] = font_source_serif_pro.font_files_ttf

# The `app:` names used by the style sheets in templates/pdf.
FONT_FILES: dict[str, Path] = {
    "font-sans": Path(_SANS["SourceSansPro"]),
    "font-sans-italic": Path(_SANS["SourceSansProIt"]),
    "font-sans-bold": Path(_SANS["SourceSansProSemibold"]),
    "font-serif": Path(_SERIF["SourceSerifPro"]),
    "font-serif-bold": Path(_SERIF["SourceSerifProSemibold"]),
}


def fonts() -> dict[str, Resource]:
    return {name: Resource(path.read_bytes(), "font/ttf") for name, path in FONT_FILES.items()}
