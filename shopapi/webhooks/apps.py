from django.apps import AppConfig


class WebhooksConfig(AppConfig):
    name = "shopapi.webhooks"
    label = "webhooks"
