from django.apps import AppConfig
from django.contrib.admin import apps as admin


class DrawbarConfig(AppConfig):
    name = "shopapi.config"
    label = "config"


class ShopAdminConfig(admin.AdminConfig):
    """The admin of one shop at a time."""

    default = False
    default_site = "shopapi.config.backstage.ShopAdminSite"
