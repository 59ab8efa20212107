"""The steps of the first set-up that a shop skips."""

from importlib import import_module

import pytest
from django.db import connections

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import SET_UP_STEPS
from shopapi.core.actor import Actor
from shopapi.core.errors import Forbidden, Invalid
from shopapi.core.tenancy import in_shop
from shopapi.quotes.services.shop import edit_shop
from tests.factories import work
from tests.factories.crews import open_crew
from tests.factories.work import do


def skipped(actor: Actor) -> list[str]:
    with in_shop(actor.shop_id):
        return list(Shop.objects.get().skipped_steps)


def skip(actor: Actor, *steps: object) -> None:
    do(actor, edit_shop, id=actor.shop_id, base={"skipped_steps": []}, set={"skipped_steps": list(steps)})


def test_the_owner_skips_steps_of_the_set_up(db: None) -> None:
    crew = open_crew()
    assert skipped(crew.owner) == []
    with pytest.raises(Forbidden):
        skip(crew.mechanic, "yard")
    with pytest.raises(Invalid):
        skip(crew.owner, "rest")
    with pytest.raises(Invalid):
        skip(crew.owner, *["yard"] * (len(SET_UP_STEPS) + 1))
    skip(crew.owner, "yard", "people")
    assert skipped(crew.owner) == ["yard", "people"]


def test_a_shop_that_has_worked_before_is_not_led_through_it(committed_db: None) -> None:
    at_work, empty = open_crew("First"), open_crew("Second")
    work.a_job(at_work.owner)
    module = import_module("shopapi.accounts.migrations.0015_skipped_steps")
    with connections["owner"].cursor() as cursor:
        cursor.execute(module.SKIP_ALL)
    assert (skipped(at_work.owner), skipped(empty.owner)) == (list(SET_UP_STEPS), [])
