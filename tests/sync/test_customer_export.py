"""Everything that is kept on a customer is written to one file, and nothing of another customer or of costs."""

import json
import random
import stat
import zipfile
from pathlib import Path
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command

from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.resources import all_resources
from shopapi.core.tenancy import in_shop
from shopapi.documents.services.storage import keep_document
from shopapi.quotes.models import Quote
from shopapi.sync.services.customer_export import DATA
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.sync.simulated_phone import SimulatedPhone
from tests.sync.test_erasure import MARK, in_process, known_customer

OWNER = "owner@bench.example"


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def exported(customer_id: object, file: Path) -> tuple[dict[str, list[dict[str, object]]], zipfile.ZipFile]:
    call_command("export_customer", OWNER, str(customer_id), str(file))
    archive = zipfile.ZipFile(file)
    rows: dict[str, list[dict[str, object]]] = json.loads(archive.read(DATA))["rows"]
    return rows, archive


def test_every_row_that_names_the_customer_is_in_the_file(crew: Crew, tmp_path: Path) -> None:
    phone = SimulatedPhone(in_process(crew), random.Random(1))  # noqa: S311
    customer_id, job_id, _drawn = known_customer(phone)
    work.a_message(crew.owner, UUID(job_id), body=f"Dear {MARK}, on our way.")
    neighbour = work.a_customer(crew.owner, name="Nora Next", notes="Beside the barn")
    work.a_job(crew.owner, customer_id=neighbour)
    rows, _ = exported(customer_id, tmp_path / "all.zip")

    named: dict[str, set[str]] = {}
    with in_shop(crew.shop_id):
        for resource in all_resources():
            for row in resource.rows(crew.owner):
                shown = resource.show(crew.owner, row).model_dump_json()
                if MARK in shown:
                    named.setdefault(resource.kind, set()).add(str(row.pk))
    # A price book or an issue of somebody else may not be missed by luck: these kinds do name the customer.
    assert {"customer", "site", "machine", "job", "complaint", "quote", "notice", "audit_event"} <= named.keys()
    for kind, ids in named.items():
        assert ids <= {str(row["id"]) for row in rows.get(kind, [])}, kind
    assert "Nora Next" not in json.dumps(rows)
    assert str(neighbour) not in json.dumps(rows)


def test_costs_of_the_shop_are_not_in_the_file(crew: Crew, tmp_path: Path) -> None:
    customer = work.a_customer(crew.owner)
    work.an_offer(crew.owner, work.a_job(crew.owner, customer_id=customer))
    rows, _ = exported(customer, tmp_path / "all.zip")
    assert rows["quote_line"]
    assert {line.get("cost_minor") for line in rows["quote_line"]} == {None}


def test_files_of_the_customer_are_in_it_and_those_that_cannot_be_read_are_named(crew: Crew, tmp_path: Path) -> None:
    customer = work.a_customer(crew.owner)
    job = work.a_job(crew.owner, customer_id=customer)
    quote = work.an_offer(crew.owner, job)
    picture = work.a_picture(crew.owner, work.a_finding(crew.owner, job))
    with in_shop(crew.shop_id):
        pdf = keep_document(actor=crew.owner, content=b"%PDF-1.7 of this test", media_type="application/pdf")
        Quote.objects.filter(id=quote).update(pdf=pdf, pdf_state="ready")
    rows, archive = exported(customer, tmp_path / "all.zip")
    assert archive.read(f"files/quote-{quote}.pdf") == b"%PDF-1.7 of this test"
    assert [row["id"] for row in rows["attachment"]] == [str(picture)]
    assert json.loads(archive.read(DATA))["missing"] == [
        {"file": f"files/attachment-{picture}.jpg", "reason": "no_picture_yet"}
    ]
    assert stat.S_IMODE((tmp_path / "all.zip").stat().st_mode) == 0o600
    with in_shop(crew.shop_id):
        assert AuditEvent.objects.filter(event="customer exported", subject_id=customer).count() == 1


def test_who_may_not_and_what_is_not_there_leave_no_file(crew: Crew, tmp_path: Path) -> None:
    customer, file = str(work.a_customer(crew.owner)), tmp_path / "all.zip"
    for email, of, said in (
        ("mechanic@bench.example", customer, "role"),
        ("nobody@bench.example", customer, "Nobody signs in as"),
        (OWNER, str(uuid7()), "customer"),
    ):
        with pytest.raises(CommandError, match=said):
            call_command("export_customer", email, of, str(file))
        assert not file.exists()
    file.write_text("kept")
    with pytest.raises(CommandError, match="exists"):
        call_command("export_customer", OWNER, customer, str(file))
    assert file.read_text() == "kept"
    with pytest.raises(CommandError, match="can't be written"):
        call_command("export_customer", OWNER, customer, str(tmp_path / "none" / "all.zip"))
