"""How static files are gathered for a running workshop."""

from __future__ import annotations

from django.contrib.staticfiles.storage import HashedFilesMixin
from whitenoise.storage import CompressedManifestStaticFilesStorage


class ModuleStaticFilesStorage(CompressedManifestStaticFilesStorage):
    """Names with a hash of the contents, inside our modules that import each other too: a phone then never runs half
    of an old version with half of a new one. Modules of others are left alone: they name what they do not bring."""

    support_js_module_import_aggregation = True
    _js_module_import_aggregation_patterns = (
        "js/site/*.js",
        HashedFilesMixin._js_module_import_aggregation_patterns[1],  # type: ignore[attr-defined]
    )
