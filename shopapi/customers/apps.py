from django.apps import AppConfig


class CustomersConfig(AppConfig):
    name = "shopapi.customers"
    label = "customers"
