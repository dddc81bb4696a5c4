from __future__ import annotations

import logging
import re

# A client's or calendar's link is a secret of 43 signs, capitals and figures among them; a page's own long names are
# lower-case words or hold a dot.
_TOKEN = re.compile(r"(?<=[/=])(?=[a-z_-]*[A-Z0-9])[A-Za-z0-9_-]{32,}(?![A-Za-z0-9_.-])")


def without_tokens(text: str) -> str:
    """The text with every long secret in an address replaced by three dots."""
    return _TOKEN.sub("...", text)


class MaskTokens(logging.Filter):
    """Keeps the secrets of client links and feeds out of the logs ("Not Found: /c/..."); drops no line."""

    def filter(self, record: logging.LogRecord) -> bool:
        said = record.getMessage()
        masked = without_tokens(said)
        if masked != said:
            record.msg, record.args = masked, ()
        return True
