"""The Celery application. Tasks are found in each app's `tasks` and called by name only."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapi.config.settings")

app = Celery("drawbar")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
