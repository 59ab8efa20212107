from django.apps import AppConfig


class MachinesConfig(AppConfig):
    name = "shopapi.machines"
    label = "machines"
