from django.apps import AppConfig


class DispatchConfig(AppConfig):
    name = "shopapi.dispatch"
    label = "dispatch"
