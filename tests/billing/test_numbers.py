"""Numbers without gaps, with as many who issue at the same moment as there are."""

from concurrent.futures import ThreadPoolExecutor
from uuid import UUID

from django.db import connections

from shopapi.billing.models import Invoice
from shopapi.billing.services.issuing import issue_invoice
from shopapi.core.errors import DomainError
from shopapi.core.tenancy import in_shop
from tests.factories import bills
from tests.factories.crews import open_crew
from tests.factories.work import do

AT_ONCE = 8
INVOICES = 24


def test_numbers_have_no_gaps_when_many_issue_at_once(committed_db: None) -> None:
    """Every third is refused for a wrong total after it was begun: a refusal gives no number away."""
    crew = open_crew()
    drafts = [bills.an_invoice(crew.mechanic) for _ in range(INVOICES)]
    args = [bills.issue_of(crew.mechanic, draft) for draft in drafts]
    for one in args[::3]:
        one["total_minor"] += 1

    def issue(at: int) -> UUID | None:
        try:
            return do(crew.mechanic, issue_invoice, **args[at]).id  # type: ignore[no-any-return] # any row
        except DomainError:
            return None
        finally:
            connections.close_all()

    with ThreadPoolExecutor(AT_ONCE) as pool:
        issued = [one for one in pool.map(issue, range(INVOICES)) if one is not None]
    with in_shop(crew.shop_id):
        numbers = [one.number for one in Invoice.objects.exclude(number=None).order_by("number")]
    assert len(issued) == INVOICES - len(args[::3])
    assert numbers == [f"INV-{1001 + at}" for at in range(len(issued))]
