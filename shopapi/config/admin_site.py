"""Django's admin, read-only: an owner sees the tables of their shop, under row-level security."""

from collections.abc import Callable
from typing import Any, TypeVar, cast

from django.contrib import admin
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect

from shopapi.accounts.api.authentication import actor_behind
from shopapi.accounts.rules import Permission
from shopapi.core.admin_base import ReadOnlyModelAdmin, admin_of
from shopapi.core.resources import all_resources
from shopapi.core.tenancy import in_shop

View = TypeVar("View", bound=Callable[..., HttpResponseBase])


class ShopAdminSite(admin.AdminSite):
    site_header = "Drawbar: the shop's data"
    site_title = "Drawbar"
    index_title = "Tables"

    def has_permission(self, request: HttpRequest) -> bool:
        """Owners only."""
        actor = actor_behind(request.user, request.session)
        return actor is not None and actor.may(Permission.EDIT_SHOP)

    def register(
        self, model_or_iterable: Any, admin_class: "type[admin.ModelAdmin[Any]] | None" = None, **options: Any
    ) -> None:
        """Register only tables of a shop, not those of Django itself (groups)."""
        if admin_class is not None and issubclass(admin_class, ReadOnlyModelAdmin):
            super().register(model_or_iterable, admin_class, **options)

    def get_urls(self) -> list[Any]:
        """The URLs, with the resources' pages registered first: only web processes need them."""
        for resource in all_resources():
            if not self.is_registered(resource.model):
                self.register(resource.model, admin_of(resource))
        return super().get_urls()

    def login(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        """Redirect sign-in, sign-out and password change to the app, where guesses are throttled and changes logged."""
        return redirect("/")

    # What Django would put at logout/, password_change/ and password_change/done/.
    logout = password_change = password_change_done = login  # type: ignore[assignment] # a view takes the place of Django's methods

    def admin_view(self, view: View, cacheable: bool = False) -> View:
        inner = super().admin_view(view, cacheable)

        def within_shop(request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
            actor = actor_behind(request.user, request.session)
            if actor is None:
                return inner(request, *args, **kwargs)
            with in_shop(actor.shop_id):
                response = inner(request, *args, **kwargs)
                # Rendered inside the transaction: afterwards row-level security hides the shop.
                return response.render() if hasattr(response, "render") else response

        return cast(View, within_shop)
