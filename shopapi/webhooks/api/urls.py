from django.urls import path

from shopapi.webhooks.api.views import WebhookSecretView

urlpatterns = [
    path("webhooks/<uuid:row_id>/secret", WebhookSecretView.as_view(), name="webhooks_secret"),
]
