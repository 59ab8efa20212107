from django.apps import AppConfig


class LaborConfig(AppConfig):
    name = "shopapi.labor"
    label = "labor"
