from django.apps import AppConfig


class BillingConfig(AppConfig):
    name = "shopapi.billing"
    label = "billing"
