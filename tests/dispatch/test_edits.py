"""Edits of fields that hold a list of schemas: a stop's windows, a rig's breaks."""

from typing import Any

import pytest

from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Rig, Stop
from shopapi.dispatch.services.rigs import edit_rig
from shopapi.dispatch.services.stops import edit_stop
from tests.factories import rigs
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None, settings: Any) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


def test_the_windows_of_a_stop_are_edited(crew: Crew) -> None:
    stop = rigs.a_stop(crew.owner)
    windows = [{"opens": "2026-12-01T15:00:00Z", "closes": "2026-12-01T17:30:00Z"}]
    do(crew.owner, edit_stop, id=stop, base={"windows": []}, set={"windows": windows})
    with in_shop(crew.shop_id):
        assert Stop.objects.get(id=stop).windows == windows


def test_the_breaks_of_a_rig_are_edited(crew: Crew) -> None:
    rig = rigs.a_rig(crew.owner)
    breaks = [{"opens": "11:30", "closes": "12:30", "minutes": 30}]
    do(crew.owner, edit_rig, id=rig, base={"breaks": []}, set={"breaks": breaks})
    with in_shop(crew.shop_id):
        assert Rig.objects.get(id=rig).breaks == breaks
