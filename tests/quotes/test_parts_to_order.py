"""The report of parts to order: the last day for each, by the accepted work that follows it and the lead time."""

from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID

import pytest

from shopapi.core.clock import held_at
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.parts.models import PartNeed
from shopapi.quotes.queries.need_by import hours_after_parts, parts_to_order
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew

# A Tuesday.
MORNING = datetime(2026, 5, 5, 15, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_job_with_works(crew: Crew, supplier: UUID, promised_on: date) -> UUID:
    """Ten hours of oil and tune-up that need no part, seven hours of deck work that need a belt; all accepted."""
    job = work.a_job(crew.owner)
    quote = work.a_draft(crew.owner, job)
    deck = uuid7()
    work.do(crew.owner, put_quote_line, quote_id=quote, **work.labor(hours="10", words="Oil and tune-up"))
    work.do(crew.owner, put_quote_line, quote_id=quote, **work.labor(id=deck, position=1, hours="7", words="Deck"))
    belt = work.part(position=2, words="Deck belt", belongs_to_id=deck)
    work.do(crew.owner, put_quote_line, quote_id=quote, **belt)
    work.do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    work.a_decision(crew.owner, quote)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(promised_on=promised_on)
        PartNeed.objects.filter(job=job).update(supplier=supplier)
    return job


def test_hours_that_do_not_need_the_part_are_done_before(crew: Crew) -> None:
    with held_at(MORNING):
        supplier = work.a_supplier(crew.owner, lead_days=3)
        job = a_job_with_works(crew, supplier, date(2026, 5, 22))
        alone = work.a_part_need(crew.mechanic, job, description="Spark plug")
        with in_shop(crew.shop_id):
            hours = hours_after_parts(crew.owner, PartNeed.objects.filter(job=job))
            (belt,) = (hours[need.id] for need in PartNeed.objects.filter(job=job).exclude(id=alone))
            # Of a part of no work nobody can tell, so all of the job is taken to follow it.
            assert (belt, hours[alone]) == (Decimal(7), Decimal(17))
            report = parts_to_order(crew.owner)
        found = {row.description: (row.lead_days, row.order_by, row.order_today) for row in report.parts}
        # Seven hours are two business days: Friday the 22nd less five is Friday the 15th.
        assert found == {"Deck belt": (3, date(2026, 5, 15), False), "Spark plug": (None, None, False)}


def test_the_most_urgent_come_first_and_those_of_today_say_so(crew: Crew) -> None:
    with held_at(MORNING):
        supplier = work.a_supplier(crew.owner, lead_days=3)
        for day in (22, 12, 29):
            a_job_with_works(crew, supplier, date(2026, 5, day))
        rows = Browser(crew.mechanic).get("reports/parts-to-order").json()["parts"]
        assert [(row["order_by"], row["order_today"]) for row in rows] == [
            ("2026-05-05", True),
            ("2026-05-15", False),
            ("2026-05-22", False),
        ]
