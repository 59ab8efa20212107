"""What was tested is on the hand-back sheet, in English and Spanish, read from the PDF by pypdf."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from pytest_django import Settings

from shopapi.bench.queries.run_tests import release_summary_of
from shopapi.bench.rules.run_test_texts import TEXTS
from shopapi.bench.rules.run_tests import RunTestKind
from shopapi.bench.services.run_tests import record_run_test
from shopapi.core.clock import held_at
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.jobs.models import Job
from tests.dispatch.test_hand_sheet import pdf_of
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_stop
from tests.factories.work import INK, do

SEVEN = datetime(2026, 5, 5, 12, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def record(crew: Crew, job: UUID, kind: str, outcome: str, **more: Any) -> None:
    at = {"tested_at": SEVEN, **more}
    do(crew.mechanic, record_run_test, id=uuid7(), job_id=job, kind=kind, outcome=outcome, **at)


def a_tested_job(crew: Crew) -> UUID:
    with in_shop(crew.shop_id):
        job = Job.objects.get(stops=a_stop(crew.owner)).id
    record(crew, job, "leaks", "passed")
    record(crew, job, "charge_voltage", "passed", value="14.20", unit="V")
    record(crew, job, "idle_speed", "not_done", words="No tachometer")
    record(crew, job, "interlock", "passed", item="start_pto_on", expected="no_crank", seen="no_crank")
    record(crew, job, "interlock", "failed", item="rise_pto_on", expected="stops", seen="keeps_running")
    record(crew, job, "starts", "passed", tries=12, good=12)
    record(crew, job, "other", "passed", item="Chute lever")
    # After the hand-over: not on its sheet.
    record(crew, job, "brake_hold", "passed", tested_at=SEVEN + timedelta(hours=1))
    return job


@pytest.mark.parametrize(
    ("language", "expected"),
    [
        (
            "en",
            [
                "Tested leaks charging voltage 14.2 V",
                "12 of 12 good (a fault in 1 of 5 starts would have been missed 7% of the time) Chute lever",
                "safety switches, 1 of 8 as expected",
                "Tests not passed safety switches, 1 of 8 not as expected",
                "Not tested idle speed: No tachometer governed speed brake holds blade stopping time",
                "safety switches, 6 of 8 states",
            ],
        ),
        (
            "es",
            [
                "Probado fugas voltaje de carga 14.2 V arranques contados, 12 de 12 bien (una falla en 1 de cada 5",
                "Pruebas no aprobadas interruptores de seguridad, 1 de 8 no como se espera",
                "No probado marcha mínima: No tachometer",
            ],
        ),
    ],
)
def test_the_hand_back_sheet_says_what_was_tested(
    crew: Crew, settings: Settings, tmp_path: Any, language: str, expected: list[str]
) -> None:
    settings.DATA_DIR = tmp_path
    with held_at(SEVEN):
        job = a_tested_job(crew)
        signed = {"at": SEVEN, "signer_name": "Winnie Stroud", "language": language}
        over = do(
            crew.mechanic, hand_over, id=uuid7(), stop_id=a_stop(crew.owner, job, kind="return"), **signed,
            signature={"id": uuid7(), "strokes": INK, "width": 300, "height": 150},
        ).id  # fmt: skip
        _, text = pdf_of(crew, over)
    for words in expected:
        assert words in text


def test_nothing_is_said_where_nothing_was_recorded(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    with in_shop(crew.shop_id):
        assert release_summary_of(Job.objects.get(id=job), at=SEVEN) is None


def test_every_kind_has_words_in_each_language() -> None:
    for texts in TEXTS.values():
        assert {key for key in texts.by_key if key.startswith("kind_")} == {f"kind_{kind}" for kind in RunTestKind}
    assert TEXTS["en"].by_key.keys() == TEXTS["es"].by_key.keys()
