"""A customer who reads Spanish: the page behind a link, the PDF, messages; and what stays as it was signed."""

import re
from io import BytesIO
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from pypdf import PdfReader

from shopapi.accounts.models import Shop
from shopapi.core.errors import Conflict
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import edit_customer
from shopapi.documents.services import render_pdf
from shopapi.jobs.models import Job
from shopapi.jobs.services import move_job
from shopapi.notices import queries as notices
from shopapi.notices.models import Notice
from shopapi.notices.services.preferences import put_notice_template
from shopapi.quotes import queries
from shopapi.quotes.models import Line, Quote
from shopapi.quotes.rules import json_digest
from shopapi.quotes.services.drafts import lapse_quotes, offer_quote, put_quote_line
from shopapi.quotes.services.quote_pdf import page_of
from tests.english_left import english_in
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do
from tests.quotes.pdf_case import case


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def reads(crew: Crew, customer_id: UUID, language: str, *, seen: str = "en") -> None:
    do(crew.owner, edit_customer, id=customer_id, base={"language": seen}, set={"language": language})


def offered(crew: Crew) -> tuple[UUID, UUID, str]:
    """A customer who reads Spanish, a quote of two lines in Spanish, and the path of its page."""
    job = work.a_job(crew.mechanic)
    with in_shop(crew.shop_id):
        customer_id = Job.objects.get(id=job).customer_id
    reads(crew, customer_id, "es")
    finding = work.a_finding(crew.mechanic, job, words="Escobillas gastadas", consequence="No va a arrancar.")
    quote = work.a_draft(crew.mechanic, job, kind="added")
    do(crew.mechanic, put_quote_line, quote_id=quote, finding_id=finding, **work.labor(words="Cambiar las escobillas"))
    do(crew.office, put_quote_line, quote_id=quote, **work.part(words="Escobillas"))
    do(crew.mechanic, offer_quote, **work.offer_of(crew.mechanic, quote, language="es"))
    return customer_id, quote, work.path_of(crew.mechanic, work.a_request(crew.mechanic, quote))


def choices(crew: Crew, quote: UUID, *said: str) -> dict[str, str]:
    with in_shop(crew.shop_id):
        ids = Line.objects.filter(quote=quote).order_by("position").values_list("id", flat=True)
        return {f"line-{line}": word for line, word in zip(ids, said, strict=False)}


def test_every_page_behind_the_link_is_in_spanish_whatever_the_browser_wants(crew: Crew) -> None:
    _, quote, path = offered(crew)
    phone = Client(headers={"Accept-Language": "en-US,en;q=0.9"})
    said = choices(crew, quote, "yes", "no")
    pages: list[Any] = [
        phone.get(path),
        phone.post(path, {"step": "check", **choices(crew, quote, "yes")}),
        phone.post(path, {"step": "check", **said}),
        phone.post(path, {"step": "decide", "name": " ", **said}),
        phone.post(path, {"step": "decide", "name": "W" * 130, **said}),
        phone.get(f"{path}/question"),
        phone.post(f"{path}/question", {"words": ""}),
        phone.get(f"{path}/asked"),
        phone.get(f"{path}/quote.pdf"),
    ]
    assert phone.post(path, {"step": "decide", "name": "Inés Robledo", **said}).status_code == 303
    pages.append(phone.get(path))
    for page in pages:
        text = page.content.decode()
        assert '<html lang="es">' in text
        assert english_in(text) == []
    first, missing, check, nameless, long_name, *_, done = (page.content.decode() for page in pages)
    for words in (
        "Cotización de trabajo adicional", "Válida hasta el", "Necesario", "Si no se repara", "Sí",
        "Revisar mi respuesta",
        "Siga los manuales del fabricante",
    ):  # fmt: skip
        assert words in first
    assert "falta 1 respuesta." in missing
    assert "¿Es esta su respuesta?" in check
    assert "Escriba su nombre" in nameless
    assert "demasiado largo" in long_name
    for words in ("Gracias. Su respuesta quedó guardada.", "Respuesta de Inés Robledo", "Total aprobado"):
        assert words in done


def test_a_page_that_is_over_says_so_in_spanish(crew: Crew) -> None:
    _, quote, path = offered(crew)
    with in_shop(crew.shop_id):
        last = Quote.objects.get(id=quote).valid_until
    assert last is not None
    with in_shop(crew.shop_id):
        lapse_quotes(actor=crew.owner, today=last.replace(year=last.year + 1))
    page = Client().get(path)
    assert page.status_code == 410
    assert "Esta cotización venció." in page.content.decode()
    assert english_in(page.content.decode()) == []


def test_a_link_that_leads_nowhere_speaks_as_the_browser_does(db: None) -> None:
    answers = [Client(headers={"Accept-Language": tag}).get(f"/ask/{'x' * 43}") for tag in ("es-MX", "de")]
    pages = [answer.content.decode() for answer in answers]
    assert [re.findall(r'lang="(\w+)"|<h1>(.*?)</h1>', page) for page in pages] == [
        [("es", ""), ("", "Este enlace no lleva a ninguna parte")],
        [("en", ""), ("", "This link leads nowhere")],
    ]


def test_what_was_offered_stays_in_its_language_whatever_the_customer_reads_later(crew: Crew) -> None:
    customer_id, quote_id, path = offered(crew)
    with in_shop(crew.shop_id):
        quote, shop = Quote.objects.get(id=quote_id), Shop.objects.get()
        before = page_of(quote, shop)
    reads(crew, customer_id, "en", seen="es")
    with in_shop(crew.shop_id):
        assert page_of(Quote.objects.get(id=quote_id), shop) == before
        english = work.an_offer(crew.mechanic, work.a_job(crew.mechanic, customer_id=customer_id))
        shown = page_of(Quote.objects.get(id=english), shop)
    reads(crew, customer_id, "es")
    with in_shop(crew.shop_id):
        assert page_of(Quote.objects.get(id=english), shop) == shown
    assert (before.language, before.sums[-1].label) == ("es-US", "Total")
    assert (shown.name, before.name) == ("Quote", "Cotización de trabajo adicional")
    assert '<html lang="es">' in Client().get(path).content.decode()


def test_the_language_is_signed_and_english_is_not_named(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    quote = work.a_draft(crew.mechanic, job)
    do(crew.mechanic, put_quote_line, quote_id=quote, **work.labor())
    offer = work.offer_of(crew.mechanic, quote, language="es")
    with pytest.raises(Conflict) as refused:
        do(crew.mechanic, offer_quote, **{**offer, "shown": {**offer["shown"], "language": "en"}})
    assert refused.value.code == "shown_differs"
    do(crew.mechanic, offer_quote, **offer)
    document = case().offer
    assert "language" not in document
    spanish = case(language="es").offer
    assert (spanish["language"], json_digest(spanish) != json_digest(document)) == ("es", True)
    assert [row["words"] for row in spanish["added"]] != [row["words"] for row in document["added"]]
    assert spanish["total_minor"] == document["total_minor"]


@pytest.mark.parametrize("declined", [None, {1}])
def test_the_pdf_is_in_spanish_with_the_dates_of_its_country(declined: set[int] | None) -> None:
    sheet = case(language="es", declined=declined, revision=2).sheet
    content = render_pdf("quotes/quote.html", {"quote": sheet}, paper_size="letter", language=sheet.language)
    pdf = PdfReader(BytesIO(content))
    root: Any = pdf.trailer["/Root"]
    assert root["/Lang"] == "es-US"
    assert re.search(rb'pdfuaid:part="1"', root["/Metadata"].get_data())
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert english_in(text) == []
    for words in ("Cotización", "Válida hasta el 25 dic 2026", "¿Aprueba?", "Antes de impuestos"):
        assert words in text
    assert f"Página 1 de {len(pdf.pages)}" in text
    if declined:
        assert "firmado en el teléfono del taller" in text
        assert "2:14 p.m. MST" in text


def test_messages_go_in_the_customers_language_and_the_shop_words_each_for_itself(crew: Crew) -> None:
    customer_id, quote, _ = offered(crew)
    work.a_request(crew.mechanic, quote, channel="email", address="ines@robledo.example", name="Inés")
    own = {"key": "machine_ready", "channel": "email", "subject": "Ready: {machine}", "body": "Come by."}
    do(crew.owner, put_notice_template, id=uuid7(), **own)
    job = work.a_job(crew.mechanic, customer_id=customer_id)
    for stage in ("diagnosis", "repair", "testing", "ready"):
        do(crew.mechanic, move_job, id=job, stage=stage)
    spanish = {**own, "subject": "Lista: {machine}", "body": "Pase por el taller.", "language": "es"}
    do(crew.owner, put_notice_template, id=uuid7(), **spanish)
    with in_shop(crew.shop_id):
        asked, ready = Notice.objects.order_by("created_at", "id")
        assert (asked.template, ready.template) == ("approval_request", "machine_ready")
        assert notices.filled_texts(asked).subject.endswith("necesitamos su aprobación")
        # `offered` makes added work.
        assert "encontramos más trabajo" in notices.filled_texts(asked).body
        # The shop's own English words are not read by a Spanish customer.
        assert (
            "Ya terminamos" in notices.filled_texts(ready).body or "ya terminamos" in notices.filled_texts(ready).body
        )
        worded = [notices.wording_for(crew.owner, "machine_ready", "email", language) for language in ("en", "es")]
        assert [wording.body for wording in worded] == ["Come by.", "Pase por el taller."]
        assert (queries.quotes(crew.owner).get(id=quote).shown or {})["language"] == "es"
