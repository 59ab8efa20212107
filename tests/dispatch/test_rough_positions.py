"""Stops of which only about is known where they are: their times, and those behind them, are as much less sure."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest

from shopapi.core.clock import held_at
from shopapi.core.rendering import with_words
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import edit_site
from shopapi.dispatch.models import Run, Stop
from shopapi.dispatch.rules.schemas.run import CautionRow
from shopapi.dispatch.services.run_metrics import recompute_run_metrics
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard

MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TOMORROW = date(2026, 5, 6)
TEN_KM = 10_000


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_visit(crew: Crew, lat: str) -> tuple[UUID, UUID]:
    customer = work.a_customer(crew.owner)
    site = work.a_site(crew.owner, customer, lat=lat, lon="-98.44")
    return site, a_stop(crew.owner, work.a_job(crew.owner, customer_id=customer, site_id=site), kind="visit")


def figured(crew: Crew, run_id: UUID) -> tuple[list[tuple[timedelta, timedelta]], list[CautionRow]]:
    """How much earlier and later than planned each stop may be reached, and the cautions about positions."""
    with in_shop(crew.shop_id):
        recompute_run_metrics(actor=crew.owner, run_id=run_id)
        stops = list(Stop.objects.filter(run_id=run_id).order_by("position"))
        cautions = [with_words(parse(CautionRow, one)) for one in Run.objects.get(id=run_id).cautions]
    spans = []
    for stop in stops:
        assert stop.arrives_from is not None
        assert stop.arrives_at is not None
        assert stop.arrives_to is not None
        spans.append((stop.arrives_at - stop.arrives_from, stop.arrives_to - stop.arrives_at))
    return spans, [one for one in cautions if one.code == "position_rough"]


def test_the_interval_is_as_much_wider_at_the_stop_and_behind_it(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        rig = a_rig(crew.owner)
        (_, first), (site, rough), (_, last) = (a_visit(crew, lat) for lat in ("40.4", "40.8", "41.2"))
        run_id = a_run(crew.owner, rig, first, rough, last, day=TOMORROW)
        sure, cautions = figured(crew, run_id)
        assert cautions == []
        base = {"position_source": "", "position_within_m": None}
        said = {"position_source": "postal_code", "position_within_m": TEN_KM}
        position = {"lat": "40.8", "lon": "-98.44"}
        work.do(crew.owner, edit_site, id=site, base={**base, **position}, set={**said, **position})
        unsure, (caution,) = figured(crew, run_id)
    assert unsure[0] == sure[0]
    for wide, narrow in zip(unsure[1:], sure[1:], strict=True):
        # Ten kilometres are some twenty minutes of driving; not all of it adds to an interval that has room already.
        assert wide[0] - narrow[0] >= timedelta(minutes=2)
        assert wide[1] - narrow[1] >= timedelta(minutes=2)
    assert caution.stop_id == rough
    assert "only known within 7 mi" in caution.words


def test_a_position_of_the_phone_is_sure_enough(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        rig = a_rig(crew.owner)
        site, stop = a_visit(crew, "40.8")
        run_id = a_run(crew.owner, rig, stop, day=TOMORROW)
        before = figured(crew, run_id)
        base = {"position_source": "", "position_within_m": None}
        work.do(crew.owner, edit_site, id=site, base=base, set={"position_source": "here", "position_within_m": 20})
        assert figured(crew, run_id) == before
