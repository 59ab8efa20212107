from django.apps import AppConfig


class RemindersConfig(AppConfig):
    name = "shopapi.reminders"
    label = "reminders"
