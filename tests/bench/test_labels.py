"""Labels of bags and safety tags: what they say, how many fit on a page, that their code is read by another reader."""

import re
from datetime import UTC, datetime
from io import BytesIO
from typing import Any
from uuid import UUID

import page
import pytest
from pypdf import PdfReader
from pytest_django import Settings

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of, system_actor
from shopapi.bench.models import LabelSheet
from shopapi.bench.rules.labels import MAX_BAG, bag_labels
from shopapi.bench.services.labels import make_labels, page_of, print_labels
from shopapi.bench.services.removal import record_removal
from shopapi.core.errors import Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import SafetyItem
from tests.browser.qr_decoder import decode_qr
from tests.dispatch.test_printout_pdf import _dark
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew


@pytest.fixture
def crew(db: None, settings: Settings, tmp_path: Any) -> Crew:
    settings.DATA_DIR = tmp_path
    return open_crew()


def asked(crew: Crew, job: UUID, **more: object) -> UUID:
    return work.made(crew.mechanic, print_labels, id=uuid7(), job_id=job, **more)


def printed(crew: Crew, sheet: UUID) -> bytes:
    """The PDF of a sheet, made as a worker makes it and read over REST."""
    with in_shop(crew.shop_id):
        make_labels(actor=system_actor(crew.shop_id), sheet_id=sheet)
    answer = Browser(crew.mechanic).get(f"label-sheets/{sheet}/pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return bytes(answer.content)


def pages_of(pdf: bytes) -> list[str]:
    return [re.sub(r"\s+", " ", one.extract_text()) for one in PdfReader(BytesIO(pdf)).pages]


@pytest.mark.parametrize("paper_size", ["letter", "a4"])
def test_ten_bags_stand_on_a_page_of_either_size(crew: Crew, paper_size: str) -> None:
    job = work.a_job(crew.owner)
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(paper_size=paper_size)
    pdf = printed(crew, asked(crew, job, kind="bags", first=3, count=12))
    pages = pages_of(pdf)
    numbers = [[int(number) for number in re.findall(r"Bag (\d+)", text)] for text in pages]
    assert numbers == [list(range(3, 13)), [13, 14]]
    assert pages[0].startswith("Bags 3 to 14 of ")
    assert pages[0].count("Hartvale GT 22") == 10
    # Outside check: page-validation's PDF/UA-1 profile.
    assert page.validate_pdf_bytes(pdf, profile=page.ValidationProfile.PDF_UA_1).is_compliant


def test_the_code_opens_the_bench_of_the_job(crew: Crew) -> None:
    """Read by our own reader of ISO/IEC 18004 symbols, which knows nothing of the library that draws them."""
    job = work.a_job(crew.owner)
    sheet = asked(crew, job, kind="bags")
    with in_shop(crew.shop_id):
        made = page_of(LabelSheet.objects.get(id=sheet), shop_of(crew.owner))
    assert decode_qr(_dark(made.svg)) == f"http://localhost:8000/jobs/{job}/bench"
    assert [bag.number for bag in made.bags] == list(range(1, 13))


def test_a_label_says_what_was_put_into_its_bag(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    step = {"job_id": job, "taken_at": datetime(2026, 5, 5, 9, tzinfo=UTC)}
    for position, (what, bag) in enumerate((("Blower housing", 2), ("Deck belt", None), ("Ignition coil", 2))):
        work.made(crew.mechanic, record_removal, id=uuid7(), what=what, bag=bag, position=position, **step)
    sheet = asked(crew, job, kind="bags", first=2, count=2)
    with in_shop(crew.shop_id):
        made = page_of(LabelSheet.objects.get(id=sheet), shop_of(crew.owner))
    assert [bag.lines for bag in made.bags] == [("Blower housing", "Ignition coil"), ()]


def test_a_full_bag_says_how_much_more_is_in_it() -> None:
    held = [(1, f"Part {number}") for number in range(1, 7)] + [(2, "Belt")]
    one, two, three = bag_labels(1, 3, held)
    assert one.lines == ("Part 1", "Part 2", "Part 3", "and 3 more")
    assert (two.lines, three.lines) == (("Belt",), ())
    # Bags are numbered up to a limit.
    assert [bag.number for bag in bag_labels(MAX_BAG, 5, [])] == [MAX_BAG]


def test_a_tag_names_the_device_and_the_protection_that_is_lost(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    work.a_safety_item(crew.owner, job, condition="bypassed", interim="Blades removed")
    work.a_safety_item(crew.owner, job, device="Chute door", condition="missing", protection_lost="Stones fly out")
    (text,) = pages_of(printed(crew, asked(crew, job, kind="safety")))
    assert text.startswith("Safety tags of ")
    assert text.count("WARNING") == 2
    for words in ("Seat switch: bypassed", "The engine runs on.", "Until it is repaired: Blades removed"):
        assert words in text
    for words in ("Chute door: missing", "Stones fly out", "manufacturer’s manual", "Hartvale GT 22"):
        assert words in text
    # Nothing is left to warn of once a device works.
    with in_shop(crew.shop_id):
        SafetyItem.objects.filter(job=job).update(repaired=True)
    (text,) = pages_of(printed(crew, asked(crew, job, kind="safety")))
    assert "WARNING" not in text


def test_no_safety_device_to_warn_of_is_said(crew: Crew) -> None:
    (text,) = pages_of(printed(crew, asked(crew, work.a_job(crew.owner), kind="safety")))
    assert "No safety device of this job is noted" in text


@pytest.mark.parametrize(
    ("field", "value"), [("count", 0), ("count", 61), ("first", 0), ("first", 10_000), ("kind", "x")]
)
def test_impossible_sheets_are_refused(crew: Crew, field: str, value: object) -> None:
    with pytest.raises(Invalid):
        asked(crew, work.a_job(crew.owner), **{"kind": "bags", field: value})


def test_labels_of_an_unknown_job_are_refused_and_none_is_read_before_it_is_made(crew: Crew) -> None:
    with pytest.raises(NotFound):
        asked(crew, uuid7(), kind="bags")
    sheet = asked(crew, work.a_job(crew.owner), kind="bags")
    assert Browser(crew.mechanic).get(f"label-sheets/{sheet}/pdf").status_code == 409
    assert Browser(open_crew("other").owner).get(f"label-sheets/{sheet}/pdf").status_code == 404
