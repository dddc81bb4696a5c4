"""The worker with the slow imports done before it forks: `python -m config.worker`.

It is `manage.py qcluster` otherwise, which works as well and only starts its first task later.
"""

from __future__ import annotations

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from django.core.management import execute_from_command_line

    from config.preload import preload

    preload()
    execute_from_command_line(["manage.py", "qcluster", *sys.argv[1:]])


if __name__ == "__main__":
    main()
