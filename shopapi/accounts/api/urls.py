from django.urls import path

from shopapi.accounts.api.views import FirstShopView, InvitationAddressView, PasswordView, SessionView

urlpatterns = [
    path("session", SessionView.as_view(), name="session"),
    path("session/password", PasswordView.as_view(), name="password"),
    path("shops", FirstShopView.as_view(), name="first_shop"),
    path("invitations/<uuid:row_id>/address", InvitationAddressView.as_view(), name="invitations_address"),
]
