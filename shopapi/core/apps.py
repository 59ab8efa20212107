from django.apps import AppConfig


class CoreConfig(AppConfig):
    name = "shopapi.core"
    label = "core"
