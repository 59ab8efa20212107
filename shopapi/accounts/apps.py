from django.apps import AppConfig


class AccountsConfig(AppConfig):
    name = "shopapi.accounts"
    label = "accounts"
