"""What another app of the phone shares to this one: kept by the service worker until it has a job."""

from collections.abc import Callable

from playwright.sync_api import Route, expect

from shopapi.core.actor import Actor
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.files.sample_pictures import encode, sample_image
from tests.flaky_proxy import FlakyProxy

# A form as the phone posts it, per the manifest's share_target; it opens the app like any link.
SHARE = """(parts) => {
    const form = Object.assign(document.createElement('form'), {
        action: parts.to, method: 'POST', enctype: 'multipart/form-data' })
    const files = Object.assign(document.createElement('input'), { type: 'file', name: 'pictures', multiple: true })
    const chosen = new DataTransfer()
    for (const { name, type, bytes } of parts.files)
        chosen.items.add(new File([new Uint8Array(bytes)], name, { type }))
    files.files = chosen.files
    const text = Object.assign(document.createElement('input'), { name: 'text', value: parts.text })
    form.append(files, text)
    document.body.append(form)
    form.submit()
}"""


def _share(phone: Phone, *, text: str = "", files: int = 0, to: str = "/share") -> None:
    jpeg = list(encode(sample_image(), "JPEG"))
    made = [{"name": f"{at}.jpg", "type": "image/jpeg", "bytes": jpeg} for at in range(files)]
    with phone.page.expect_navigation():
        phone.page.evaluate(SHARE, {"files": made, "text": text, "to": to})


def test_shared_pictures_wait_for_a_job_without_signal_and_signed_out(
    proxy: FlakyProxy, shop: Actor, new_phone: NewPhone
) -> None:
    phone = new_phone(proxy.url)
    phone.open()
    phone.wait_for_offline_app()
    # Nobody is signed in: kept until somebody is.
    _share(phone, text="Bent spindle", files=2)
    phone.expect_heading("Sign in")
    phone.fill("Email", MECHANIC)
    phone.fill("Password", "drawbar-demo")
    phone.press("Sign in")
    phone.expect_heading("Put it where?")
    phone.expect_text("2 photos and a text shared from another app")
    expect(phone.page.locator(".thumbnail img")).to_have_count(2)
    phone.open()
    phone.list_item("Shared from another app").click()

    phone.open_job(
        customer="June Castellan",
        phone="555 014 7070",
        kind="zero-turn mower",
        make="Bexmoor",
        model="ZT 54",
        words="Shakes",
    )
    phone.wait_until_sent()
    proxy.refuse()
    _share(phone, files=1)
    phone.expect_heading("Put it where?")
    phone.expect_text("3 photos and a text shared from another app")
    phone.press("June Castellan")
    phone.expect_heading("June Castellan")
    expect(phone.page.locator(".thumbnail")).to_have_count(3)
    phone.expect_text("Bent spindle")
    phone.expect_text("On this phone only")
    _share(phone, text="It smokes, too")
    phone.press("June Castellan")
    expect(phone.page.get_by_label("In the customer’s words")).to_have_value("It smokes, too")
    phone.open("/share")
    phone.expect_text("Nothing shared is waiting")
    phone.open("/share?because=not_saved")
    phone.expect_text("This phone couldn’t keep what you shared")


def _page(head: dict[str, str]) -> Callable[[Route], None]:
    def answer(route: Route) -> None:
        route.fulfill(headers=head, body="You won")

    return answer


def test_the_form_of_another_website_is_not_kept(proxy: FlakyProxy, shop: Actor, new_phone: NewPhone) -> None:
    phone = new_phone(proxy.url)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    for policy in ("strict-origin-when-cross-origin", "no-referrer", "same-origin"):
        website = f"http://{policy}.example/"
        head = {"Content-Type": "text/html", "Referrer-Policy": policy}
        phone.page.route(website, _page(head))
        phone.page.goto(website)
        _share(phone, text="Planted", files=1, to=f"{proxy.url}/share")
        phone.expect_text("A website sent something here. It wasn’t kept.")
        phone.expect_text("Nothing shared is waiting")
