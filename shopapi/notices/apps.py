from django.apps import AppConfig


class NoticesConfig(AppConfig):
    name = "shopapi.notices"
    label = "notices"
