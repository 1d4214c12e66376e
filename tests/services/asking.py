"""Asks for work once in a process of its own, and prints how many seconds the asking took."""

import os
import sys
import time

import django

os.environ["DJANGO_SETTINGS_MODULE"] = "shared.settings"


def main(key):
    django.setup()
    # What a server has long imported when the first request comes.
    import kombu.transport.redis  # noqa: F401
    from django.db import transaction

    import shared.tasks  # noqa: F401
    from shared import outbox

    started = time.monotonic()
    with transaction.atomic():
        outbox.ask("recount", key=key)
    print(time.monotonic() - started)


if __name__ == "__main__":
    main(sys.argv[1])
