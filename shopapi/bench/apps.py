from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "shopapi.bench"
    label = "bench"
