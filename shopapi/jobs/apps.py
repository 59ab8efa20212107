from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "shopapi.jobs"
    label = "jobs"
