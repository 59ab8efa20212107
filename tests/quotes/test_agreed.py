"""What was agreed and what is beyond it: the vectors of both twins, and the rule on rows."""

import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.actor import Actor
from shopapi.core.clock import held_at
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.labor.services.corrections import add_entry
from shopapi.quotes.models import Line
from shopapi.quotes.queries.agreed import agreed
from shopapi.quotes.rules import Discount, QuoteLine, ShopPrices
from shopapi.quotes.rules.agreed import AgreedQuote, WorkedTime, agreed_on
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.quotes.test_rules_vectors import line_id

FILE = json.loads((Path(__file__).parents[2] / "fixtures" / "pricing" / "agreed.json").read_text())


def quote_of(at: int, quote: dict[str, Any]) -> AgreedQuote:
    book = FILE["basis"] | ({"tolerance_percent": quote["tolerance"]} if "tolerance" in quote else {})
    lines = [
        {"id": line_id(100 * at + number), "position": number, "rank": "needed", "words": "Work"} | line
        for number, line in enumerate(quote["lines"], 1)
    ]
    accepted = {UUID(line_id(number)) for number in quote["accepted"]}
    read = [parse(QuoteLine, line) for line in lines]
    return AgreedQuote(parse(ShopPrices, book), read, accepted, Discount(), exempt=False)


def work_of(entry: dict[str, Any]) -> WorkedTime:
    return WorkedTime(
        kind=entry["kind"],
        member_id=UUID(entry["member"]),
        line_id=UUID(line_id(entry["line"])) if "line" in entry else None,
        operation=entry.get("operation", ""),
        seconds=entry["seconds"] if "seconds" in entry else int(Decimal(entry["hours"]) * 3600),
    )


@pytest.mark.parametrize("vector", [pytest.param(vector, id=vector["name"]) for vector in FILE["vectors"]])
def test_vectors(vector: dict[str, Any]) -> None:
    found = agreed_on(
        [quote_of(at, quote) for at, quote in enumerate(vector["quotes"])],
        [work_of(work) for work in vector["clocked"]],
        book=parse(ShopPrices, FILE["basis"]),
        successors={UUID(line_id(int(line))): UUID(line_id(by)) for line, by in vector.get("successors", {}).items()},
        parts_over_minor=vector.get("parts_over", 0),
    )
    sums = {"total": found.total_minor, "over": found.over_minor, "allowed": found.allowed_minor}
    assert sums | {"beyond": found.beyond_minor} == vector["expect"]


def test_what_the_rows_give(db: None) -> None:
    crew = open_crew()
    job_id = work.a_job(crew.mechanic)
    quote_id = work.an_offer(crew.mechanic, job_id)
    url = f"jobs/{job_id}/agreed"
    browser = Browser(crew.office)
    nothing = {"job_id": str(job_id), "total_minor": 0, "over_minor": 0, "allowed_minor": 0, "beyond_minor": 0}
    assert browser.get(url).json() == nothing
    # The labor of an hour and a half is accepted, the parts are not: 135.00.
    work.a_decision(crew.mechanic, quote_id, accept=1)
    with in_shop(crew.shop_id):
        line_id = Line.objects.get(quote=quote_id, kind="labor").id
    assert browser.get(url).json() == nothing | {"total_minor": 13500}
    for hours, line, kind in ((1, line_id, "repair"), (2, line_id, "repair"), (1, None, "repair"), (5, None, "rework")):
        clocked(crew.mechanic, job_id, hours, line, kind)
    # Three hours on the line: 1.5 too many; another on none: 2.5 h at 90.00.
    assert browser.get(url).json() == nothing | {"total_minor": 13500, "over_minor": 22500, "beyond_minor": 22500}
    # A clock that runs counts as far as it has run.
    with held_at(NOON):
        work.a_clock(crew.mechanic, job_id, started_at=NOON)
    with held_at(NOON + timedelta(hours=2)), in_shop(crew.shop_id):
        assert agreed(crew.owner, job_id, at=NOON + timedelta(hours=2)).over_minor == 22500 + 18000
    assert Browser(open_crew("Other").owner).get(url).status_code == 404


def test_a_yes_holds_until_the_revision_of_it_is_decided_too(db: None) -> None:
    crew = open_crew()
    job_id = work.a_job(crew.mechanic)
    first = work.an_offer(crew.mechanic, job_id)
    work.a_decision(crew.mechanic, first, accept=1)
    url = f"jobs/{job_id}/agreed"
    browser = Browser(crew.office)
    assert browser.get(url).json()["total_minor"] == 13500
    second = work.an_offer(crew.mechanic, job_id, replaces_id=first)
    third = work.an_offer(crew.mechanic, job_id, replaces_id=second)
    # Two revisions are offered, nobody has said anything to either.
    assert browser.get(url).json()["total_minor"] == 13500
    work.a_decision(crew.mechanic, third, accept=0)
    assert browser.get(url).json()["total_minor"] == 0


def test_time_on_the_replaced_quote_counts_for_the_line_of_its_revision(db: None) -> None:
    crew = open_crew()
    job_id = work.a_job(crew.mechanic)
    first = work.an_offer(crew.mechanic, job_id)
    work.a_decision(crew.mechanic, first, accept=1)
    clocked(crew.mechanic, job_id, 1, labor_of(crew, first), "repair")
    url = f"jobs/{job_id}/agreed"
    browser = Browser(crew.office)
    assert browser.get(url).json()["over_minor"] == 0
    # Three hours where an hour and a half was, then two: two revisions, both signed. 2 h at 90.00.
    for hours in ("3", "2"):
        revision = work.a_draft(crew.mechanic, job_id, replaces_id=first)
        work.do(crew.mechanic, put_quote_line, quote_id=revision, **work.labor(hours=hours))
        work.do(crew.mechanic, offer_quote, **work.offer_of(crew.mechanic, revision))
        assert browser.get(url).json()["over_minor"] == 0
        work.a_decision(crew.mechanic, revision)
        first = revision
    found = browser.get(url).json()
    assert (found["total_minor"], found["over_minor"]) == (18000, 0)
    # Two hours more on the new line: 1 + 2 = 3 h on 2 h, 1 h at 90.00.
    clocked(crew.mechanic, job_id, 2, labor_of(crew, first), "repair")
    assert browser.get(url).json()["over_minor"] == 9000
    # The next revision takes that labor out: all 3 h have no line, 270.00.
    last = work.a_draft(crew.mechanic, job_id, replaces_id=first)
    work.do(crew.mechanic, put_quote_line, quote_id=last, **work.labor(words="Grease the deck"))
    work.do(crew.mechanic, offer_quote, **work.offer_of(crew.mechanic, last))
    work.a_decision(crew.mechanic, last)
    assert browser.get(url).json()["over_minor"] == 27000


def labor_of(crew: Crew, quote_id: UUID) -> UUID:
    with in_shop(crew.shop_id):
        return Line.objects.get(quote=quote_id, kind="labor").id


NOON = datetime(2026, 4, 1, 12, tzinfo=UTC)


def clocked(actor: Actor, job_id: UUID, hours: int, line_id: UUID | None, kind: str) -> None:
    """Time of days gone by, one entry a day."""
    with in_shop(actor.shop_id):
        day = NOON - timedelta(days=10 + TimeEntry.objects.count())
    more = {"cause": "torque"} if kind == "rework" else {}
    span = {"started_at": day, "ended_at": day + timedelta(hours=hours)}
    args = {
        "id": uuid7(),
        "kind": kind,
        "job_id": job_id,
        "line_id": line_id,
        "reason": "Noted afterwards",
        **span,
        **more,
    }
    work.do(actor, add_entry, **args)
