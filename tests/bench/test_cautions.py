"""Cautions read on a job are kept, and never refused."""

from datetime import UTC, datetime

import pytest
from django.db import DatabaseError, transaction

from shopapi.bench.models import CautionSeen
from shopapi.bench.rules.cautions import WorkCaution
from shopapi.bench.services.cautions import acknowledge_caution
from shopapi.core.errors import Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

SEVEN = datetime(2026, 5, 5, 12, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def test_a_caution_is_kept_with_who_read_it_and_when(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    for actor in (crew.mechanic, crew.owner, crew.mechanic):
        do(actor, acknowledge_caution, id=uuid7(), job_id=job, code="springs", seen_at=SEVEN)
    with in_shop(crew.shop_id):
        rows = CautionSeen.objects.filter(job_id=job)
        assert [(row.code, row.seen_at) for row in rows] == [(WorkCaution.SPRINGS, SEVEN)] * 3
        assert {row.member_id for row in rows} == {crew.mechanic.member_id, crew.owner.member_id}
        with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
            rows.update(code="fuel")


def test_a_caution_that_nobody_knows_is_refused_by_its_field(crew: Crew) -> None:
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, acknowledge_caution, id=uuid7(), job_id=work.a_job(crew.mechanic), code="x", seen_at=SEVEN)
    assert [fault.field for fault in refused.value.fields] == ["code"]
