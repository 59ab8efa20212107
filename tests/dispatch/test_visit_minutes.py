"""How long a visit is planned to take: by the work its customer agreed to, never by what nobody has decided."""

from datetime import UTC, date, datetime

import pytest

from shopapi.core.clock import held_at, now
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.queries.planning_input import load_planning_input
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig, a_stop, a_yard

MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TOMORROW = date(2026, 5, 6)
USUAL, AGREED = 50, 90


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def minutes(crew: Crew) -> int:
    with in_shop(crew.shop_id):
        model = load_planning_input(crew.owner, [TOMORROW], from_now=False, now=now()).planning_model
    (stop,) = model.stops
    return stop.minutes


def test_only_agreed_labor_counts(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner, visit_minutes=USUAL)
        a_rig(crew.owner)
        customer = work.a_customer(crew.owner)
        job = work.a_job(crew.owner, customer_id=customer, site_id=work.a_site(crew.owner, customer))
        a_stop(crew.owner, job, kind="visit")
        quote = work.a_draft(crew.owner, job)
        work.do(crew.owner, put_quote_line, quote_id=quote, **work.labor(hours="1.5"))
        work.do(crew.owner, put_quote_line, quote_id=quote, **work.labor(hours="10"))
        assert minutes(crew) == USUAL
        work.do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
        assert minutes(crew) == USUAL
        # The first line taken, the other one not; a draft of more work beside it is nobody's yes either.
        work.a_decision(crew.owner, quote, accept=1)
        assert minutes(crew) == AGREED
        more = work.a_draft(crew.owner, job)
        work.do(crew.owner, put_quote_line, quote_id=more, **work.labor(hours="10"))
        assert minutes(crew) == AGREED
