"""Data stored while the customer was still called the owner keeps working under the new names."""

from importlib import import_module
from typing import Any

import pytest
from django.db import connection

from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.notices.models import Notice, NoticeTemplate
from shopapi.reminders.models import FollowUp
from shopapi.reminders.rules import follow_up_reason
from tests.factories import work
from tests.factories.crews import Crew, open_crew


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def migrate(name: str) -> None:
    """Run the SQL of a data migration."""
    (operation,) = import_module(name).Migration.operations
    with connection.cursor() as cursor:
        cursor.execute(operation.sql)


def test_words_that_a_shop_wrote_for_a_question_still_name_the_customer(crew: Crew) -> None:
    link = work.a_request(crew.mechanic, work.an_offer(crew.owner, work.a_job(crew.owner)))
    work.a_push_device(crew.mechanic)
    stored: dict[str, Any] = {"shop_id": crew.shop_id, "key": "owner_asked", "channel": "push"}
    with in_shop(crew.shop_id):
        NoticeTemplate.objects.create(id=uuid7(), subject="{owner}, {job}", body="{owner}: {question}", **stored)
        migrate("shopapi.notices.migrations.0003_question_placeholder")
    work.a_question(crew.owner, link)
    with in_shop(crew.shop_id):
        notice = Notice.objects.get(template="owner_asked")
    assert (notice.subject_words, notice.body_words) == ("{customer}, {job}", "{customer}: {question}")
    assert set(notice.values) == {"customer", "job", "question"}


def test_a_subject_that_would_be_too_long_goes_without_the_name(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        NoticeTemplate.objects.create(
            id=uuid7(), shop_id=crew.shop_id, key="owner_asked", channel="push", subject="{owner}" + "." * 113, body="?"
        )
        migrate("shopapi.notices.migrations.0003_question_placeholder")
        assert NoticeTemplate.objects.get().subject == "." * 113


def test_a_follow_up_of_before_still_says_whose_machine_it_is(crew: Crew) -> None:
    row = work.a_follow_up(crew.owner, work.a_job(crew.owner))
    with in_shop(crew.shop_id):
        facts = {"owner": "Winnie Stroud", "machine": "chipper", "on": "2026-05-01"}
        FollowUp.objects.filter(id=row).update(kind="service_due", facts=facts)
        migrate("shopapi.reminders.migrations.0002_customer_fact")
        changed = FollowUp.objects.get(id=row)
    assert follow_up_reason(changed.kind, changed.facts).startswith("chipper of Winnie Stroud was last here")
    assert "owner" not in changed.facts
