from django.urls import path

from shopapi.accounts.api.mailed_links import (
    AddressConfirmationView,
    AddressView,
    ResetPasswordView,
    ResetRequestView,
)
from shopapi.accounts.api.views import ApiKeyValueView, InvitationAddressView, PasswordView, SessionView

urlpatterns = [
    path("session", SessionView.as_view(), name="session"),
    path("session/password", PasswordView.as_view(), name="password"),
    path("session/reset", ResetRequestView.as_view(), name="session_reset"),
    path("session/reset/password", ResetPasswordView.as_view(), name="session_reset_password"),
    path("session/address", AddressView.as_view(), name="session_address"),
    path("session/address/confirm", AddressConfirmationView.as_view(), name="session_address_confirm"),
    path("api-keys/<uuid:row_id>/value", ApiKeyValueView.as_view(), name="api_keys_value"),
    path("invitations/<uuid:row_id>/address", InvitationAddressView.as_view(), name="invitations_address"),
]
