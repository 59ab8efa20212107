"""The Celery application. Tasks are found in each app's `tasks` and called by name only."""

import os
from typing import Any

from celery import Celery
from celery.signals import setup_logging

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapi.config.settings")

app = Celery("drawbar")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@setup_logging.connect
def keep_logging(**_: Any) -> None:
    """Leave the logs as Django's settings have them: Celery would add handlers with lines of its own form."""
