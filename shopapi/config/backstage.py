"""The admin: owners look through the tables of their shop, under the same row-level security as everything else."""

from collections.abc import Callable
from typing import Any

from django.contrib import admin
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from shopapi.accounts import queries
from shopapi.accounts.rules import Permission
from shopapi.core.backstage import Table
from shopapi.core.tenancy import in_shop


class ShopAdminSite(admin.AdminSite):
    site_header = "Drawbar: the owner's back room"
    site_title = "Drawbar"
    index_title = "Tables"

    def has_permission(self, request: HttpRequest) -> bool:
        """Owners only."""
        if not request.user.is_authenticated:
            return False
        actor = queries.actor_for_user(request.user.pk)
        return actor is not None and actor.may(Permission.EDIT_SHOP)

    def register(self, models: Any, admin_class: Any = None, **options: Any) -> None:
        """Only tables of a shop are shown; what Django itself brings along (groups) means nothing here."""
        if admin_class is not None and issubclass(admin_class, Table):
            super().register(models, admin_class, **options)

    def login(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        """Passwords are asked for in the app alone, where guessing is slowed down."""
        return redirect("/")

    def admin_view(self, view: Callable[..., Any], cacheable: bool = False) -> Callable[..., Any]:
        inner = super().admin_view(view, cacheable)

        def within_shop(request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
            actor = queries.actor_for_user(request.user.pk) if request.user.is_authenticated else None
            if actor is None:
                return inner(request, *args, **kwargs)
            with in_shop(actor.shop_id):
                response = inner(request, *args, **kwargs)
                # A page is rendered while its shop is still in sight, not after the transaction has ended.
                return response.render() if hasattr(response, "render") else response

        return within_shop
