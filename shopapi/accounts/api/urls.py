from django.urls import path

from shopapi.accounts.api.views import ApiKeyValueView, InvitationAddressView, PasswordView, SessionView

urlpatterns = [
    path("session", SessionView.as_view(), name="session"),
    path("session/password", PasswordView.as_view(), name="password"),
    path("api-keys/<uuid:row_id>/value", ApiKeyValueView.as_view(), name="api_keys_value"),
    path("invitations/<uuid:row_id>/address", InvitationAddressView.as_view(), name="invitations_address"),
]
