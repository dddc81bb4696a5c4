"""The web server. `honcho` (or systemd) gives PORT; everything else has a value that suits a workshop."""

from __future__ import annotations

import os
from typing import Any

bind = f"{os.environ.get('BIND', '127.0.0.1')}:{os.environ.get('PORT', '8000')}"
workers = int(os.environ.get("WEB_WORKERS", "2"))
threads = int(os.environ.get("WEB_THREADS", "4"))
worker_class = "gthread"
# Load once, fork afterwards: both workers share the memory of the sun's tables.
preload_app = True
timeout = 60
# honcho ends what is not gone after five seconds.
graceful_timeout = 4
max_requests = 5000
max_requests_jitter = 500
# No access log: the address of a client's page is a secret.
accesslog = None
# Two of them on one machine would fight over the same socket file in the home folder.
control_socket_disable = True
errorlog = "-"
loglevel = "info"
logconfig_dict = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"mask": {"()": "config.logs.MaskTokens"}},
    "formatters": {"plain": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain", "filters": ["mask"]}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "gunicorn.error": {"handlers": ["console"], "level": "INFO", "propagate": False},
        "gunicorn.access": {"handlers": [], "level": "CRITICAL", "propagate": False},
    },
}


def on_starting(server: Any) -> None:
    from config.preload import preload

    preload()


def when_ready(server: Any) -> None:
    from django.conf import settings
    from django.urls import get_resolver

    # Reading the addresses loads every view, in the parent, before the fork.
    assert get_resolver().url_patterns is not None
    server.log.info("Shutline is ready: %s", settings.PUBLIC_URL)
