"""Opening a shop with its owner; its public holidays."""

from django.db import transaction

from shopapi.accounts import queries
from shopapi.accounts.models import Member, Shop, User
from shopapi.accounts.rules import FirstShop, Role, ShopCalendar, public_holidays
from shopapi.accounts.services.throttling import wait_for_turn
from shopapi.accounts.services.users import make_user, refuse_weak_password
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import today
from shopapi.core.errors import Conflict
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop


def make_first_shop(*, data: FirstShop) -> Actor:
    """Open the first shop of an installation with its owner; raises Conflict once there is one."""
    with transaction.atomic():
        # Of two who come first at the same moment, the second finds the shop of the other.
        wait_for_turn("first shop")
        if queries.every_shop():
            raise Conflict("shop_exists")
        return make_shop(data=data)


def make_shop(*, data: FirstShop) -> Actor:
    """Open a shop with its owner, and act as that owner. Raises Invalid `weak_password` or `email_taken`."""
    refuse_weak_password(data.password, User(email=data.email), field="password")
    shop_id, member_id = uuid7(), uuid7()
    with in_shop(shop_id):
        shop = Shop.objects.create(id=shop_id, name=data.shop_name, zone=data.zone, currency=data.currency)
        user = make_user(data.email, data.password)
        Member.objects.create(id=member_id, shop=shop, user=user, name=data.name, role=Role.OWNER)
        actor = queries.actor_of(shop_id, member_id, Role.OWNER, may_see_cost=True)
        record(actor, "shop opened", ("shop", shop_id), name=data.shop_name)
    return actor


def keep_holidays(shop: Shop) -> None:
    """Store the public holidays of this year and the next two by the shop's calendar; writes only a difference."""
    calendar = parse(ShopCalendar, shop.calendar)
    year = today(shop.zone).year
    wanted = sorted(public_holidays(calendar.country, calendar.region, range(year, year + 3)))
    if wanted != shop.holidays:
        shop.holidays = wanted
        shop.save(update_fields=["holidays"])
