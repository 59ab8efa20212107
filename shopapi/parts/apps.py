from django.apps import AppConfig


class PartsConfig(AppConfig):
    name = "shopapi.parts"
    label = "parts"
