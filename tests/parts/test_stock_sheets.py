"""Count sheets and labels: what they list, that their code is read by another reader, PDF/UA."""

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
from shopapi.core.errors import Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.parts.models import StockSheet
from shopapi.parts.services.catalog import add_catalog_part
from shopapi.parts.services.stock import add_stock_place, count_stock
from shopapi.parts.services.stock_sheets import make_stock_sheet, page_of, print_stock_sheet
from tests.browser.qr_decoder import decode_qr
from tests.dispatch.test_printout_pdf import _dark
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew

MORNING = datetime(2026, 5, 4, 8, tzinfo=UTC)


@pytest.fixture
def crew(db: None, settings: Settings, tmp_path: Any) -> Crew:
    settings.DATA_DIR = tmp_path
    return open_crew()


def a_part(crew: Crew, number: str, **more: object) -> UUID:
    return work.made(crew.owner, add_catalog_part, id=uuid7(), number=number, description=f"Part {number}", **more)


def counted(crew: Crew, place: UUID, part: UUID, level: str) -> None:
    names = {"catalog_part_id": part, "place_id": place}
    work.made(crew.owner, count_stock, id=uuid7(), counted=level, counted_at=MORNING, **names)


def text_of(crew: Crew, sheet: UUID) -> str:
    """The text of a sheet, made as a worker makes it and read over REST; its PDF is accessible."""
    with in_shop(crew.shop_id):
        make_stock_sheet(actor=system_actor(crew.shop_id), sheet_id=sheet)
    answer = Browser(crew.mechanic).get(f"stock-sheets/{sheet}/pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    # Outside check: page-validation's PDF/UA-1 profile.
    assert page.validate_pdf_bytes(answer.content, profile=page.ValidationProfile.PDF_UA_1).is_compliant
    return re.sub(r"\s+", " ", " ".join(one.extract_text() for one in PdfReader(BytesIO(answer.content)).pages))


@pytest.mark.parametrize("paper_size", ["letter", "a4"])
def test_a_count_sheet_lists_what_is_at_its_place_by_bin(crew: Crew, paper_size: str) -> None:
    place = work.made(crew.owner, add_stock_place, id=uuid7(), name="Truck 2", kind="truck")
    first, second, gone = a_part(crew, "HV-2", bin="B 1"), a_part(crew, "HV-1", bin="A 7"), a_part(crew, "HV-3")
    for part, level in ((first, "3"), (second, "1.5"), (gone, "0")):
        counted(crew, place, part, level)
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(paper_size=paper_size)
    text = text_of(crew, work.made(crew.mechanic, print_stock_sheet, id=uuid7(), kind="count", place_id=place))
    assert text.startswith("Count of Truck 2")
    assert text.index("HV-1") < text.index("HV-2")
    assert "1.5" in text
    assert "HV-3" not in text
    blind = {"kind": "count", "place_id": place, "shows_levels": False}
    assert "1.5" not in text_of(crew, work.made(crew.mechanic, print_stock_sheet, id=uuid7(), **blind))


def test_a_place_where_nothing_was_counted_gets_the_whole_catalog(crew: Crew) -> None:
    place = work.made(crew.owner, add_stock_place, id=uuid7(), name="Shelf A")
    a_part(crew, "HV-1"), a_part(crew, "HV-2", archived=True)
    text = text_of(crew, work.made(crew.mechanic, print_stock_sheet, id=uuid7(), kind="count", place_id=place))
    assert "HV-1" in text
    assert "HV-2" not in text


def test_the_code_of_a_label_opens_the_part(crew: Crew) -> None:
    """Read by our own reader of ISO/IEC 18004 symbols, which knows nothing of the library that draws them."""
    part = a_part(crew, "HV-1204", bin="C 12")
    sheet = work.made(crew.mechanic, print_stock_sheet, id=uuid7(), kind="labels", catalog_part_ids=[part])
    with in_shop(crew.shop_id):
        made = page_of(crew.owner, StockSheet.objects.get(id=sheet), shop_of(crew.owner))
    assert decode_qr(_dark(made.parts[0].svg)) == f"http://localhost:8000/catalog/{part}"
    text = text_of(crew, sheet)
    for words in ("Label of 1 part", "HV-1204", "Part HV-1204", "C 12"):
        assert words in text


def test_a_sheet_of_nothing_is_refused(crew: Crew) -> None:
    for kind in ("count", "labels"):
        with pytest.raises(Invalid) as refused:
            work.made(crew.mechanic, print_stock_sheet, id=uuid7(), kind=kind)
        assert [(fault.field, fault.code) for fault in refused.value.fields] == [("place_id", "sheet_of_nothing")]
