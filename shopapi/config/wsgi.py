"""The web application as gunicorn's workers load it."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapi.config.settings")

application = get_wsgi_application()
# Django imports all views with the first request of a process (2 s): somebody would wait for it after each start.
get_resolver().resolve("/livez")
