from django.apps import AppConfig


class SyncConfig(AppConfig):
    name = "shopapi.sync"
    label = "sync"
