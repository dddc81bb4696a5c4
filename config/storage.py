"""How static files are gathered for a running workshop."""

from __future__ import annotations

from whitenoise.storage import CompressedManifestStaticFilesStorage


class ModuleStaticFilesStorage(CompressedManifestStaticFilesStorage):
    """Names with a hash of the contents, inside modules that import each other too: a phone then never runs half of
    an old version with half of a new one."""

    support_js_module_import_aggregation = True
