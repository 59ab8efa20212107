"""A customer who reads Spanish signs on the handed-over phone, and another one answers by a link with no script."""

from uuid import UUID

from playwright.sync_api import Browser, ViewportSize, expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.customers.services import edit_customer
from shopapi.jobs.models import Job
from shopapi.quotes.models import Approval, Quote
from shopapi.quotes.services.drafts import offer_quote
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import OWNER, NewPhone
from tests.english_left import english_in
from tests.factories import work
from tests.site import LiveSite

SIZE: ViewportSize = {"width": 390, "height": 844}
CUT_OFF = """() => [...document.querySelectorAll('button, a, p, h1, h2, h3, b, span, td, th, label, dd, dt')]
  .filter((each) => each.scrollWidth > each.clientWidth + 1 && getComputedStyle(each).display !== 'inline')
  .filter((each) => !each.closest('.visually-hidden'))
  .map((each) => each.textContent)"""


def a_customer_who_reads_spanish(shop: Actor) -> tuple[UUID, UUID]:
    job = work.a_job(shop)
    with in_shop(shop.shop_id):
        customer = Job.objects.get(id=job).customer_id
    work.do(shop, edit_customer, id=customer, base={"language": "en"}, set={"language": "es"})
    return job, customer


def test_spanish_on_the_phone_and_by_a_link_without_script(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, browser: Browser, axe_source: str
) -> None:
    job, customer = a_customer_who_reads_spanish(shop)
    draft = work.a_quote(shop, job)
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.page.set_viewport_size({"width": 360, "height": 740})
    phone.sign_in(OWNER)
    phone.open(f"/quotes/{draft}")
    phone.press("Show the customer")
    phone.press("Hand over the phone")
    phone.expect_heading("Cotización de Kettle Ford Small Engine")
    assert phone.page.evaluate("document.documentElement.lang") == "es"
    phone.press("Sí a todo")
    found = accessibility_violations(phone.page, "a quote in Spanish")
    seen = [phone.page.inner_text("body")]
    cut = phone.page.evaluate(CUT_OFF)
    phone.press("Continuar y firmar")
    phone.fill("Su nombre", "Inés Robledo")
    phone.draw_signature()
    found += accessibility_violations(phone.page, "signing in Spanish")
    seen.append(phone.page.inner_text("body"))
    cut += phone.page.evaluate(CUT_OFF)
    phone.press("Apruebo")
    phone.expect_heading("Gracias")
    assert (found, cut, [english_in(text) for text in seen]) == ([], [], [[], []])
    phone.press_and_hold("I have the phone back")
    assert phone.page.evaluate("document.documentElement.lang") == "en"
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        approval = Approval.objects.select_related("quote").get()
        assert (approval.how, approval.matches) == ("glass", True)
        assert (approval.quote.shown or {})["language"] == "es"
        other = work.a_job(shop, customer_id=customer)
    quote = work.a_quote(shop, other)
    work.do(shop, offer_quote, **work.offer_of(shop, quote, language="es"))
    answer_by_link(live_site.base_url + work.path_of(shop, work.a_request(shop, quote)), browser)
    with in_shop(shop.shop_id):
        assert Quote.objects.get(id=quote).state == "decided"
        assert Customer.objects.get(id=customer).language == "es"


def answer_by_link(url: str, browser: Browser) -> None:
    context = browser.new_context(
        viewport=SIZE, java_script_enabled=False, is_mobile=True, has_touch=True, locale="en-US"
    )
    page = context.new_page()
    page.goto(url)
    expect(page.locator("h1")).to_have_text("Cotización")
    for choice in page.locator("input[value=yes]").all():
        choice.check()
    page.get_by_role("button", name="Revisar mi respuesta").click()
    expect(page.locator("h1")).to_have_text("¿Es esta su respuesta?")
    page.get_by_label("Su nombre").fill("Inés Robledo")
    page.get_by_role("button", name="Enviar mi respuesta").click()
    expect(page.locator("h1")).to_have_text("Gracias. Su respuesta quedó guardada.")
    assert english_in(page.content()) == []
    context.close()
