"""What was stored, queued or is still sent under the names of 0.3.0 works on."""

import pytest
from celery import current_app
from django.db import connections

from shopapi.accounts.models import Shop
from shopapi.core.clock import now
from shopapi.core.errors import unpack
from shopapi.core.models import AuditEvent, Issue, Outbox
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Stop
from shopapi.labor.models import TimeEntry
from shopapi.quotes.models import Quote
from shopapi.sync.models import LoggedCommand
from shopapi.sync.services.issues import settle_issue
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_stop
from tests.factories.work import do
from tests.sync.data_migrations import apply_again, run_sql_of
from tests.sync.direct_push import logged, push


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


# Anomalies, and what a customer was notified of


def test_renamed_columns_keep_their_values(crew: Crew) -> None:
    entry = work.a_clock(crew.mechanic, work.a_job(crew.owner))
    stop = a_stop(crew.owner)
    with in_shop(crew.shop_id):
        TimeEntry.objects.filter(id=entry).update(anomaly="in_future", state="disputed")
        Stop.objects.filter(id=stop).update(notified_at=now())
        notified_at = Stop.objects.get(id=stop).notified_at
    apply_again("labor", "0004_clocks", "0005_anomaly", "ALTER TABLE labor_timeentry RENAME anomaly TO doubt")
    apply_again(
        "dispatch",
        "0008_choices",
        "0009_anomaly_and_notified",
        "ALTER TABLE dispatch_handover RENAME meter_anomaly TO meter_doubt",
        *(f"ALTER TABLE dispatch_stop RENAME notified_{part} TO told_{part}" for part in ("from", "to", "at")),
    )
    with in_shop(crew.shop_id):
        assert TimeEntry.objects.get(id=entry).anomaly == "in_future"
        assert Stop.objects.get(id=stop).notified_at == notified_at


def test_what_was_kept_for_review_is_known_by_the_new_code(crew: Crew) -> None:
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    (said,) = push(crew.mechanic, ("decide_quote", work.decision_on(crew.owner, quote) | {"digest": "0" * 64}))
    assert (said.status, said.code, said.message) == ("held", "needs_review", "needs_review")
    with in_shop(crew.shop_id):
        row = LoggedCommand.objects.filter(id=said.id)
        row.update(code="doubted", words=(row.get().words or "").replace("needs_review", "doubted"))
        ours = Issue.objects.get().ours
        Issue.objects.update(ours={key: ours[key] for key in ours if key != "anomaly"} | {"doubt": "shown_differs"})
        details = {"doubt": "shown_differs", "at": "2026-05-04"}
        row_of = {"subject_kind": "quote", "subject_id": quote}
        AuditEvent.objects.create(shop_id=crew.shop_id, event="quote decided", details=details, **row_of)
    run_sql_of("sync.migrations.0006_anomalies")
    assert (logged(crew.mechanic, said.id).code, logged(crew.mechanic, said.id).took_effect) == ("needs_review", True)
    with in_shop(crew.shop_id):
        issue = Issue.objects.get()
        written = AuditEvent.objects.filter(event="quote decided").order_by("at", "id")
        assert written[1].details == {"anomaly": "shown_differs", "at": "2026-05-04"}
    assert issue.ours == ours
    do(crew.owner, settle_issue, id=issue.id, choice="theirs")


# PDFs, and the size of the shop's sheets


def test_renamed_columns_of_a_quote_keep_their_values_and_their_check(crew: Crew) -> None:
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    with in_shop(crew.shop_id):
        Quote.objects.filter(id=quote).update(pdf_state="failed", pdf_reason="Disk full")
        Shop.objects.update(paper_size="a4")
    apply_again(
        "accounts",
        "0015_skipped_steps",
        "0016_paper_size",
        "ALTER TABLE accounts_shop RENAME paper_size TO paper",
    )
    apply_again(
        "quotes",
        "0014_confirmed_prices",
        "0015_pdf",
        "ALTER TABLE quotes_quote RENAME pdf_state TO paper_state",
        "ALTER TABLE quotes_quote RENAME pdf_reason TO paper_reason",
        "ALTER TABLE quotes_quote RENAME pdf_id TO paper_id",
        "ALTER TABLE quotes_quote RENAME CONSTRAINT quotes_quote_pdf_id_same_shop TO quotes_quote_paper_id_same_shop",
    )
    with in_shop(crew.shop_id):
        found = Quote.objects.get(id=quote)
        assert (found.pdf_state, found.pdf_reason, found.pdf) == ("failed", "Disk full", None)
        assert Shop.objects.get().paper_size == "a4"
    with connections["owner"].cursor() as cursor:
        cursor.execute(
            "SELECT conname FROM pg_constraint WHERE conrelid = 'quotes_quote'::regclass AND conname LIKE '%paper%'"
            " UNION SELECT indexname FROM pg_indexes WHERE tablename = 'quotes_quote' AND indexname LIKE '%paper%'"
        )
        assert cursor.fetchall() == []


def test_stored_reasons_events_and_issues_have_the_names_of_pdfs(crew: Crew) -> None:
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    stored = {
        '{"code": "paper_failed"}': "pdf_failed",
        '{"code": "paper_not_kept", "context": {"strerror": "No space"}}': "pdf_not_stored",
        "The paper_failed of an older server": "",
    }
    held = {"shop_id": crew.shop_id, "kind": "held", "entity_kind": "command", "words": "Held."}
    of_shop = {"subject_kind": "quote", "subject_id": quote}
    for reason, code in stored.items():
        with in_shop(crew.shop_id):
            Quote.objects.filter(id=quote).update(pdf_reason=reason)
        run_sql_of("sync.migrations.0007_pdf_names")
        with in_shop(crew.shop_id):
            assert unpack(Quote.objects.get(id=quote).pdf_reason or "").code == code
    with in_shop(crew.shop_id):
        AuditEvent.objects.create(shop_id=crew.shop_id, event="paper made", **of_shop)
        Issue.objects.create(**held, name="remake_paper", ours={"id": "q"})
        note = 'in "paper": "a4"'
        Issue.objects.create(**held, name="edit_shop", ours={"paper": "a4", "name": note}, theirs={"paper": "letter"})
    run_sql_of("sync.migrations.0007_pdf_names")
    with in_shop(crew.shop_id):
        assert AuditEvent.objects.filter(event="PDF made", subject_id=quote).count() == 1
        shown = [(issue.name, issue.ours, issue.theirs) for issue in Issue.objects.order_by("name")]
    assert shown == [
        ("edit_shop", {"paper_size": "a4", "name": note}, {"paper_size": "letter"}),
        ("remake_pdf", {"id": "q"}, {}),
    ]


def test_commands_of_0_3_run_under_their_former_names(crew: Crew) -> None:
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    edit = {"id": crew.shop_id, "base": {"paper": "letter"}, "set": {"paper": "a4"}}
    said = push(crew.owner, ("edit_shop", edit), v=2)
    said += push(crew.owner, ("remake_paper", {"id": quote}))
    assert [one.status for one in said] == ["applied", "applied"]
    with in_shop(crew.shop_id):
        assert Shop.objects.get().paper_size == "a4"
        assert Quote.objects.get(id=quote).pdf_state == "waiting"
    assert logged(crew.owner, said[1].id).name == "remake_paper"
    # As 0.2.0 sent it.
    (older,) = push(crew.owner, ("edit_shop", {**edit, "base": {"paper": "a4"}, "set": {"paper": "letter"}}))
    assert older.status == "applied"
    with in_shop(crew.shop_id):
        assert Shop.objects.get().paper_size == "letter"


@pytest.mark.parametrize("migrated", [True, False])
def test_a_pdf_promised_before_the_update_is_made(crew: Crew, *, migrated: bool) -> None:
    """A wake-up under the former name arrives too, from a web process that still runs the version before."""
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    with in_shop(crew.shop_id):
        Outbox.objects.filter(task="quotes.make_pdf").update(task="quotes.make_paper")
    if migrated:
        run_sql_of("sync.migrations.0007_pdf_names")
    with in_shop(crew.shop_id):
        row = Outbox.objects.get(args__quote_id=str(quote))
    assert row.task == ("quotes.make_pdf" if migrated else "quotes.make_paper")
    current_app.loader.import_default_modules()
    current_app.tasks[row.task](str(crew.shop_id), str(row.id))
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote).pdf_state == "ready"
        assert Outbox.objects.get(id=row.id).done_at is not None
