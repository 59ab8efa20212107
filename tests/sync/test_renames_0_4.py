"""What was stored, queued or is still sent under the names of 0.3.0 works on."""

import pytest

from shopapi.core.clock import now
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Stop
from shopapi.labor.models import TimeEntry
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
