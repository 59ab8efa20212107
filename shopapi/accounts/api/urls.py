from django.urls import path

from shopapi.accounts.api.factors import (
    AuthenticatorConfirmationView,
    AuthenticatorRemovalView,
    AuthenticatorView,
    FactorsView,
    PasskeyChallengeView,
    PasskeyOptionsView,
    PasskeyRemovalView,
    PasskeySignInView,
    PasskeysView,
    ProofChallengeView,
    ProofView,
    RecoveryCodesView,
)
from shopapi.accounts.api.mailed_links import (
    AddressConfirmationView,
    AddressView,
    ResetPasswordView,
    ResetRequestView,
)
from shopapi.accounts.api.sessions import OtherSessionsView, SessionEndView, SessionsView
from shopapi.accounts.api.views import ApiKeyValueView, InvitationAddressView, PasswordView, SessionView

urlpatterns = [
    path("session", SessionView.as_view(), name="session"),
    path("session/password", PasswordView.as_view(), name="password"),
    path("session/factors", FactorsView.as_view(), name="session_factors"),
    path("session/passkeys", PasskeysView.as_view(), name="session_passkeys"),
    path("session/passkeys/options", PasskeyOptionsView.as_view(), name="session_passkey_options"),
    path("session/passkeys/<uuid:row_id>/remove", PasskeyRemovalView.as_view(), name="session_passkey_removal"),
    path("session/authenticator", AuthenticatorView.as_view(), name="session_authenticator"),
    path("session/authenticator/confirm", AuthenticatorConfirmationView.as_view(), name="session_authenticator_code"),
    path("session/authenticator/remove", AuthenticatorRemovalView.as_view(), name="session_authenticator_removal"),
    path("session/recovery-codes", RecoveryCodesView.as_view(), name="session_recovery_codes"),
    path("session/passkey/options", PasskeyChallengeView.as_view(), name="session_passkey_challenge"),
    path("session/passkey", PasskeySignInView.as_view(), name="session_passkey"),
    path("session/proof/options", ProofChallengeView.as_view(), name="session_proof_options"),
    path("session/proof", ProofView.as_view(), name="session_proof"),
    path("session/sessions", SessionsView.as_view(), name="session_sessions"),
    path("session/sessions/<uuid:row_id>/end", SessionEndView.as_view(), name="session_end"),
    path("session/sessions/end-others", OtherSessionsView.as_view(), name="session_end_others"),
    path("session/reset", ResetRequestView.as_view(), name="session_reset"),
    path("session/reset/password", ResetPasswordView.as_view(), name="session_reset_password"),
    path("session/address", AddressView.as_view(), name="session_address"),
    path("session/address/confirm", AddressConfirmationView.as_view(), name="session_address_confirm"),
    path("api-keys/<uuid:row_id>/value", ApiKeyValueView.as_view(), name="api_keys_value"),
    path("invitations/<uuid:row_id>/address", InvitationAddressView.as_view(), name="invitations_address"),
]
