"""The task that makes a quote's PDF: what is logged, and what stays to be done."""

import logging
from typing import Any

import pytest

from shopapi.accounts.models import Shop
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.documents.services import render_pdf
from shopapi.quotes.models import Quote
from shopapi.quotes.services import quote_pdf
from shopapi.quotes.tasks import make_pdf
from tests.factories import work
from tests.factories.crews import open_crew


def test_change_while_the_pdf_is_made_is_no_error(
    committed_db: None, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    crew = open_crew()
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    with in_shop(crew.shop_id):
        row = Outbox.objects.get(task="quotes.make_pdf", args__quote_id=str(quote_id))

    def render_and_change(*args: Any, **named: Any) -> bytes:
        Shop.objects.filter(id=crew.shop_id).update(phone="208 555 0100")
        return render_pdf(*args, **named)

    with monkeypatch.context() as patched, caplog.at_level(logging.INFO):
        patched.setattr(quote_pdf, "render_pdf", render_and_change)
        assert make_pdf.apply((str(crew.shop_id), str(row.id))).state == "FAILURE"
    of_celery = [record for record in caplog.records if record.name == "celery.app.trace"]
    assert [record.levelname for record in of_celery] == ["INFO"]
    assert "pdf_outdated" in of_celery[0].getMessage()
    assert of_celery[0].exc_info is None
    with in_shop(crew.shop_id):
        row.refresh_from_db()
        assert (row.done_at, row.attempts) == (None, 1)
    assert make_pdf.apply((str(crew.shop_id), str(row.id))).state == "SUCCESS"
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote_id).pdf_state == "ready"
