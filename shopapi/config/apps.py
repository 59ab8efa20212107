from django.apps import AppConfig
from django.contrib.admin.apps import AdminConfig

# Loaded with the app, so that work enqueued by a web request or a command is sent to our broker.
from shopapi.config.celery import app as celery_app

__all__ = ["DrawbarConfig", "ShopAdminConfig", "celery_app"]


class DrawbarConfig(AppConfig):
    name = "shopapi.config"
    label = "config"


class ShopAdminConfig(AdminConfig):
    """The admin of one shop at a time."""

    default_site = "shopapi.config.admin_site.ShopAdminSite"
