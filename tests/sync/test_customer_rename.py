"""What was stored or is still sent under former names works on: the customer as “owner”, `testing` as “proving”."""

from importlib import import_module
from typing import Any

import pytest
from django.db import connections

from shopapi.accounts.models import Shop
from shopapi.accounts.services.devices import revoke_device
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue, SyncChange
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Rig
from shopapi.dispatch.services.breakdowns import report_breakdown
from shopapi.documents.rules import Figures
from shopapi.jobs.models import Job
from shopapi.notices.models import Notice, NoticeTemplate
from shopapi.quotes.models import CustomerQuestion
from shopapi.reminders.models import FollowUp
from shopapi.reminders.rules import follow_up_reason
from shopapi.sync.services.issues import settle_issue
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig
from tests.factories.work import do
from tests.sync.data_migrations import apply_again, run_sql_of
from tests.sync.direct_push import held_issue_of, logged, push

OLD_WORDS = {"key": "owner_asked", "channel": "push", "subject": "{owner}, {job}", "body": "{owner}: {question}"}
FIGURES = Figures("en-US", "USD", "America/Chicago")
POLICY, OLD_TABLE = "_of_one_shop", "quotes_ownerquestion"
NEW_WORDS = ("customer_asked", "{customer}, {job}", "{customer}: {question}")


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def words_of(template: NoticeTemplate) -> tuple[str, str, str]:
    return template.key, template.subject, template.body


# What was stored


def test_words_that_a_shop_wrote_for_a_question_still_name_the_customer(crew: Crew) -> None:
    link = work.a_request(crew.mechanic, work.an_offer(crew.owner, work.a_job(crew.owner)))
    work.a_push_device(crew.mechanic)
    with in_shop(crew.shop_id):
        NoticeTemplate.objects.create(id=uuid7(), shop_id=crew.shop_id, **OLD_WORDS)
    run_sql_of("notices.migrations.0003_question_placeholder", "notices.migrations.0004_customer_asked")
    work.a_question(crew.owner, link)
    with in_shop(crew.shop_id):
        assert words_of(NoticeTemplate.objects.get()) == NEW_WORDS
        notice = Notice.objects.get(template="customer_asked")
    assert (notice.subject_words, notice.body_words) == NEW_WORDS[1:]
    assert set(notice.values) == {"customer", "job", "question"}


def test_a_subject_that_would_be_too_long_goes_without_the_name(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        fields = {**OLD_WORDS, "subject": "{owner}" + "." * 113}
        NoticeTemplate.objects.create(id=uuid7(), shop_id=crew.shop_id, **fields)
    run_sql_of("notices.migrations.0003_question_placeholder")
    with in_shop(crew.shop_id):
        assert NoticeTemplate.objects.get().subject == "." * 113


def test_a_follow_up_of_before_still_says_whose_machine_it_is(crew: Crew) -> None:
    row = work.a_follow_up(crew.owner, work.a_job(crew.owner))
    with in_shop(crew.shop_id):
        facts = {"owner": "Winnie Stroud", "machine": "chipper", "on": "2026-05-01"}
        FollowUp.objects.filter(id=row).update(kind="service_due", facts=facts)
    run_sql_of("reminders.migrations.0002_customer_fact")
    with in_shop(crew.shop_id):
        changed = FollowUp.objects.get(id=row)
    assert follow_up_reason(changed.kind, changed.facts, FIGURES).startswith("chipper of Winnie Stroud: last here")
    assert "owner" not in changed.facts


def test_a_shop_that_asks_its_customers_goes_on_asking(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        shop = Shop.objects.get()
        shop.follow_ups = {**shop.follow_ups, "ask_owner": True}
        del shop.follow_ups["ask_customer"]
        shop.save()
    run_sql_of("accounts.migrations.0014_ask_customer")
    with in_shop(crew.shop_id):
        days = Shop.objects.get().follow_ups
    assert (days["ask_customer"], "ask_owner" in days) == (True, False)


def test_a_job_in_the_stage_of_before_is_in_testing_and_has_not_moved(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="proving")
        moved = {"shop_id": crew.shop_id, "event": "job moved", "subject_kind": "job", "subject_id": job}
        AuditEvent.objects.create(**moved, details={"before": "repair", "after": "proving"})
        AuditEvent.objects.create(**moved, details={"before": "proving", "after": "ready"})
        before = Job.objects.get(id=job)
        seq = SyncChange.objects.get(row_id=job).seq
    run_sql_of("jobs.migrations.0004_testing")
    with in_shop(crew.shop_id):
        after = Job.objects.get(id=job)
        assert (after.stage, after.changed_at) == ("testing", before.changed_at)
        assert SyncChange.objects.get(row_id=job).seq > seq
        details = [event.details for event in AuditEvent.objects.filter(event="job moved").order_by("at", "id")]
    assert details == [{"before": "repair", "after": "testing"}, {"before": "testing", "after": "ready"}]
    do(crew.owner, import_module("shopapi.jobs.services").move_job, id=job, stage="ready")


def test_questions_of_before_are_a_kind_of_their_own_name(crew: Crew) -> None:
    """The migration, run on a table as it was: its name, its policy and its feed."""
    link = work.a_request(crew.mechanic, work.an_offer(crew.owner, work.a_job(crew.owner)))
    question = work.a_question(crew.owner, link)
    apply_again(
        "quotes",
        "0009_books_of_shops",
        "0010_customer_question",
        f"ALTER TABLE quotes_customerquestion RENAME TO {OLD_TABLE}",
        f"ALTER POLICY quotes_customerquestion{POLICY} ON {OLD_TABLE} RENAME TO {OLD_TABLE}{POLICY}",
        f"ALTER INDEX quotes_customerquestion_pkey RENAME TO {OLD_TABLE}_pkey",
        "UPDATE core_syncchange SET kind = 'owner_question' WHERE kind = 'customer_question'",
    )
    with in_shop(crew.shop_id):
        noted = set(SyncChange.objects.filter(row_id=question).values_list("kind", "dead"))
        assert noted == {("owner_question", True), ("customer_question", False)}
        assert CustomerQuestion.objects.get().id == question
    with connections["owner"].cursor() as cursor:
        cursor.execute(
            "SELECT conname FROM pg_constraint WHERE conname LIKE 'quotes_ownerquestion%'"
            " UNION SELECT indexname FROM pg_indexes WHERE indexname LIKE 'quotes_ownerquestion%'"
            " UNION SELECT policyname FROM pg_policies WHERE policyname LIKE 'quotes_ownerquestion%'"
        )
        assert cursor.fetchall() == []


# What phones still send


def test_commands_run_under_their_former_names(crew: Crew) -> None:
    link = work.a_request(crew.mechanic, work.an_offer(crew.owner, work.a_job(crew.owner)))
    question, rig = work.a_question(crew.owner, link), a_rig(crew.owner)
    do(crew.owner, report_breakdown, id=rig, at=now(), note="Belt")
    said = push(crew.mechanic, ("mend_rig", {"id": rig}), ("answer_owner_question", {"id": question}))
    assert [one.status for one in said] == ["applied", "applied"]
    with in_shop(crew.shop_id):
        assert Rig.objects.get(id=rig).out_at is None
        assert CustomerQuestion.objects.get(id=question).answered_at is not None
    # The log keeps what was sent: the same command sent again is known by it.
    assert logged(crew.mechanic, said[0].id).name == "mend_rig"


def test_arguments_of_before_are_read(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    with in_shop(crew.shop_id):
        days = Shop.objects.get().follow_ups
    seen = {key: value for key, value in days.items() if key != "ask_customer"}
    said = push(
        crew.owner,
        ("move_job", {"id": job, "stage": "repair"}),
        ("move_job", {"id": job, "stage": "proving"}),
        ("put_notice_template", {"id": uuid7(), **OLD_WORDS}),
        (
            "edit_shop",
            {
                "id": crew.shop_id,
                "base": {"follow_ups": {**seen, "ask_owner": False}},
                "set": {"follow_ups": {**seen, "ask_owner": True}},
            },
        ),
    )
    assert [one.status for one in said] == ["applied"] * 4
    with in_shop(crew.shop_id):
        assert Job.objects.get(id=job).stage == "testing"
        assert words_of(NoticeTemplate.objects.get()) == NEW_WORDS
        assert Shop.objects.get().follow_ups == {**days, "ask_customer": True}


@pytest.mark.parametrize(
    ("subject", "stored"),
    [
        ("{owner}" + "." * 110, "{customer}" + "." * 110),
        # With the longer placeholder it would be 121 letters: it goes without the name, as what was stored did.
        ("{owner}" + "." * 111, "." * 111),
        ("{owner}" + "." * 113, "." * 113),
    ],
)
def test_a_long_subject_that_names_the_customer_as_before_is_taken(crew: Crew, subject: str, stored: str) -> None:
    (said,) = push(crew.owner, ("put_notice_template", {"id": uuid7(), **OLD_WORDS, "subject": subject}))
    assert said.status == "applied"
    with in_shop(crew.shop_id):
        assert NoticeTemplate.objects.get().subject == stored


def test_words_of_before_that_are_no_text_are_refused_as_such(crew: Crew) -> None:
    (said,) = push(crew.owner, ("put_notice_template", {"id": uuid7(), **OLD_WORDS, "body": None}))
    assert (said.status, [fault.field for fault in said.fields]) == ("rejected", ["body"])


def test_what_is_held_under_a_former_name_is_shown_by_its_new_one_and_can_be_put_in_place(crew: Crew) -> None:
    rig = a_rig(crew.owner)
    do(crew.owner, report_breakdown, id=rig, at=now(), note="Belt")
    do(crew.owner, revoke_device, id=crew.mechanic.device_id)
    (said,) = push(crew.mechanic, ("mend_rig", {"id": rig}))
    issue = held_issue_of(crew.owner, said.id)
    assert (said.status, issue.name) == ("held", "repair_rig")
    do(crew.owner, settle_issue, id=issue.id, choice="ours")
    with in_shop(crew.shop_id):
        assert Rig.objects.get(id=rig).out_at is None


def test_issues_of_before_are_shown_by_the_new_names(crew: Crew) -> None:
    held: dict[str, Any] = {"shop_id": crew.shop_id, "kind": "held", "entity_kind": "command", "words": "Held."}
    with in_shop(crew.shop_id):
        Issue.objects.create(**held, name="mend_rig", ours={"id": "r"})
        Issue.objects.create(**held, name="move_job", ours={"id": "j", "stage": "proving"})
        Issue.objects.create(**held, name="put_notice_template", ours=OLD_WORDS)
        Issue.objects.create(**held, name="edit_shop", ours={"set": {"follow_ups": {"ask_owner": True}}})
    run_sql_of("sync.migrations.0005_renamed_commands")
    with in_shop(crew.shop_id):
        shown = [(issue.name, issue.ours) for issue in Issue.objects.order_by("name")]
    template = dict(zip(("key", "subject", "body"), NEW_WORDS, strict=True)) | {"channel": "push"}
    assert shown == [
        ("edit_shop", {"set": {"follow_ups": {"ask_customer": True}}}),
        ("move_job", {"id": "j", "stage": "testing"}),
        ("put_notice_template", template),
        ("repair_rig", {"id": "r"}),
    ]
