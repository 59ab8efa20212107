from django.apps import AppConfig


class QuotesConfig(AppConfig):
    name = "shopapi.quotes"
    label = "quotes"
