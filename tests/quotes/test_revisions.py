"""A revision replaces a signed quote when it is decided, and not before."""

from collections.abc import Callable
from datetime import timedelta
from importlib import import_module
from types import SimpleNamespace
from uuid import UUID

import pytest
from django.apps import apps
from django.db import connection

from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.queries.stop_facts import agreed_hours
from shopapi.quotes.models import Line, Quote
from shopapi.quotes.queries import pending_revisions_on
from shopapi.quotes.queries.agreed import agreed
from shopapi.quotes.queries.progress import _lines
from shopapi.quotes.rules.states import QuoteState, Revision, pending_revisions
from shopapi.quotes.services.drafts import lapse_quotes, withdraw_quote
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def states(crew: Crew, job: UUID) -> list[str]:
    with in_shop(crew.shop_id):
        return list(Quote.objects.filter(job=job).order_by("revision").values_list("state", flat=True))


def counted_hours(crew: Crew, job: UUID) -> tuple[int, float, int]:
    """The hours that a report and a plan count for a job, and what its customer has agreed to."""
    with in_shop(crew.shop_id):
        reported = sum(line.seconds or 0 for line in _lines(crew.owner, {job}).get(job, []))
        return reported, float(agreed_hours([job])[job]), agreed(crew.owner, job, at=now()).total_minor


def withdraw(crew: Crew, quote: UUID) -> None:
    do(crew.owner, withdraw_quote, id=quote)


def lapse(crew: Crew, quote: UUID) -> None:
    with in_shop(crew.shop_id):
        assert lapse_quotes(actor=crew.owner, today=work.today() + timedelta(days=31)) == 1


@pytest.mark.parametrize(("end", "state"), [(withdraw, "withdrawn"), (lapse, "lapsed")])
def test_a_signed_quote_stands_beside_a_revision_that_nobody_decided(
    crew: Crew, end: Callable[[Crew, UUID], None], state: str
) -> None:
    job = work.a_job(crew.owner)
    first = work.an_offer(crew.owner, job)
    work.a_decision(crew.owner, first, accept=1)
    before = counted_hours(crew, job)
    second = work.an_offer(crew.owner, job, replaces_id=first)
    assert states(crew, job) == ["decided", "offered"]
    assert counted_hours(crew, job) == before == (5400, 1.5, 13_500)
    with in_shop(crew.shop_id):
        line = Line.objects.get(quote=first, kind="labor").id
    work.a_clock(crew.mechanic, job, line_id=line)
    end(crew, second)
    assert states(crew, job) == ["decided", state]
    assert counted_hours(crew, job) == before


def test_the_decision_of_a_revision_replaces_the_signed_quote_over_undecided_ones(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    first = work.an_offer(crew.owner, job)
    work.a_decision(crew.owner, first)
    second = work.an_offer(crew.owner, job, replaces_id=first)
    third = work.an_offer(crew.owner, job, replaces_id=second)
    assert states(crew, job) == ["decided", "replaced", "offered"]
    with in_shop(crew.shop_id):
        assert pending_revisions_on([job]) == {second, third}
    work.a_decision(crew.owner, third, accept=0)
    assert states(crew, job) == ["replaced", "replaced", "decided"]
    with in_shop(crew.shop_id):
        assert pending_revisions_on([job]) == set()


@pytest.mark.parametrize(
    ("chain", "pending"),
    [
        (["decided"], []),
        (["offered", "draft"], []),
        (["replaced", "offered"], []),
        (["decided", "draft"], [1]),
        (["decided", "withdrawn"], [1]),
        (["decided", "replaced", "lapsed"], [1, 2]),
        (["replaced", "decided", "offered"], [2]),
    ],
)
def test_which_revisions_wait(chain: list[QuoteState], pending: list[int]) -> None:
    ids = [uuid7() for _ in chain]
    rows = [Revision(ids[at], ids[at - 1] if at else None, state) for at, state in enumerate(chain)]
    assert pending_revisions(rows) == {ids[at] for at in pending}


def test_a_signed_quote_that_an_undecided_revision_replaced_earlier_stands_again(crew: Crew) -> None:
    lost, followed = work.a_job(crew.owner), work.a_job(crew.owner)
    for job in (lost, followed):
        first = work.an_offer(crew.owner, job)
        work.a_decision(crew.owner, first)
        second = work.an_offer(crew.owner, job, replaces_id=first)
        if job == followed:
            work.a_decision(crew.owner, second)
        else:
            withdraw(crew, second)
            with in_shop(crew.shop_id):
                Quote.objects.filter(id=first).update(state="replaced")
    module = import_module("shopapi.quotes.migrations.0011_decided_quotes_stand")
    with in_shop(crew.shop_id):
        module.restore_decided(apps, SimpleNamespace(connection=connection))
    assert states(crew, lost) == ["decided", "withdrawn"]
    assert states(crew, followed) == ["replaced", "decided"]
