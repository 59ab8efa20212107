"""Base class of views that act in a shop."""

from collections.abc import Mapping
from typing import Any, ClassVar

from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapi.core.actor import Actor
from shopapi.core.parameters import refuse_doubled
from shopapi.core.schema import seen_with
from shopapi.core.tenancy import see_shop


class ShopView(APIView):
    """Base of every view that acts in a shop: it needs a sign-in, and its transaction sees that shop alone.

    `needs` names the permission of each method; a method without one does not exist.
    """

    needs: ClassVar[Mapping[str, str]] = {}
    # The media types that it answers, for `Accept`.
    answers: ClassVar[tuple[str, ...]] = ("application/json",)
    # Set once the request is authenticated; an earlier response holds no data of a shop.
    seen_by: Actor | None = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        actor = self.seen_by = self.actor
        refuse_doubled(request.query_params)
        needed = self.needs.get("GET" if request.method == "HEAD" else request.method or "")
        if needed is None:
            raise exceptions.MethodNotAllowed(request.method or "")
        see_shop(actor.shop_id)
        actor.require(needed)

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        """Hide the fields that the actor may not see, in every response, errors included."""
        if isinstance(response, Response) and self.seen_by is not None:
            response.data = seen_with(self.seen_by.permissions, response.data)
        return super().finalize_response(request, response, *args, **kwargs)

    @property
    def actor(self) -> Actor:
        """Who is acting; raises NotAuthenticated when nobody is signed in."""
        actor = self.request.auth
        if not isinstance(actor, Actor):
            raise exceptions.NotAuthenticated
        return actor
