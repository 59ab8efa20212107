"""Labels of bags and safety tags, made from the phone and opened there."""

from io import BytesIO

from pypdf import PdfReader

from shopapi.core.actor import Actor
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.factories import work
from tests.site import LiveSite


def test_labels_of_a_job_are_made_and_opened_on_the_phone(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    live_site.start_worker()
    job = work.a_job(shop)
    work.a_safety_item(shop, job, condition="bypassed")
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.open(f"/jobs/{job}")
    phone.press("Bench")
    phone.press("Print labels")
    phone.expect_heading("Labels")
    assert accessibility_violations(phone.page, "labels") == []
    phone.press("Make labels for bags 1 to 12")
    assert _opened(phone, "Open labels of bags 1 to 12").startswith("Bags 1 to 12 of ")
    # The next sheet goes on with the next bag.
    phone.fill("How many bags", "2")
    phone.press("Make labels for bags 13 to 14")
    assert _opened(phone, "Open labels of bags 13 to 14").startswith("Bags 13 to 14 of ")
    phone.choose_option("Safety tags")
    phone.press("Make safety tags")
    assert "Seat switch: bypassed" in _opened(phone, "Open safety tags")


def _opened(phone: Phone, words: str) -> str:
    """The text of the PDF that a link leads to."""
    link = phone.page.get_by_role("link", name=words)
    link.wait_for(timeout=60_000)
    answer = phone.page.request.get(phone.url + str(link.get_attribute("href")))
    assert (answer.status, answer.headers["content-type"]) == (200, "application/pdf")
    return "\n".join(one.extract_text() for one in PdfReader(BytesIO(answer.body())).pages)
