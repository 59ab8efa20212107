"""A picture taken without a signal, from the camera to every other phone."""

import time
from collections.abc import Callable
from uuid import UUID

from PIL import Image
from playwright.sync_api import FilePayload, Locator, expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment, Upload, UploadPart
from shopapi.files.queries import read_picture
from shopapi.jobs.models import Finding
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.files.sample_pictures import CANARY, encode, exif
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite

PART = 256 * 1024
SHOWS = "Belt frayed at the idler"
NO_ROOM = """() => {
    window.put = IDBObjectStore.prototype.put
    IDBObjectStore.prototype.put = function (value, ...rest) {
        if (value?.content?.byteLength > 100_000) throw new DOMException('no room', 'QuotaExceededError')
        return window.put.call(this, value, ...rest)
    }
}"""
ROOM = "() => { IDBObjectStore.prototype.put = window.put }"
WAKE = "() => dispatchEvent(new Event('online'))"


def test_picture_taken_offline_uploads_after_its_row_resumes_and_reaches_another_phone(
    live_site: LiveSite, proxy: FlakyProxy, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    phone = new_phone(proxy.url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.open_job(
        customer="Marlow Teague",
        phone="555 014 7703",
        kind="garden tractor",
        make="Fenlark",
        model="T14",
        words="Squeals under load",
    )
    phone.wait_until_sent()
    proxy.refuse()
    _full_phone_keeps_words(phone)
    _take(phone)

    # The command and the first part arrive, then the connection is cut in the middle of the second.
    proxy.cut_after(PART + PART // 2, "up")
    phone.page.evaluate(WAKE)
    attachment = _when(shop, lambda row: _offset(row.id) == PART)
    assert (attachment.caption, attachment.about_kind, attachment.state) == (SHOWS, "finding", "waiting")
    with in_shop(shop.shop_id):
        assert attachment.about_id == Finding.objects.get().id
        first_part = UploadPart.objects.get().id
    phone.expect_text("Sending,")
    expect(phone.queue_status()).to_contain_text("to send")

    proxy.open()
    phone.page.evaluate(WAKE)
    _when(shop, lambda row: row.state == "received")
    with in_shop(shop.shop_id):
        parts = list(UploadPart.objects.order_by("offset"))
    assert (parts[0].id, parts[1].offset) == (first_part, PART)
    assert sum(len(part.content) for part in parts) == attachment.bytes
    # What the camera packed along did not even leave the phone.
    assert CANARY.encode() not in b"".join(bytes(part.content) for part in parts)
    phone.expect_text("Processing")
    phone.wait_until_sent()

    live_site.start_worker()
    made = _when(shop, lambda row: row.state == "ready")
    # It was held upright, and noted by the camera as lying on its side.
    assert (made.width, made.height) == (1365, 2048)
    for small in (False, True):
        assert CANARY.encode() not in read_picture(made, small=small)
    phone.page.evaluate(WAKE)
    expect(phone.page.get_by_text("Processing")).to_have_count(0)

    other = new_phone(live_site.base_url)
    other.sign_in(OWNER)
    path = phone.page.url.removeprefix(proxy.url)
    other.open(path)
    _is_shown(other.page.get_by_role("img", name=SHOWS))
    other.context.set_offline(True)
    other.page.reload()
    _is_shown(other.page.get_by_role("img", name=SHOWS))
    other.context.set_offline(False)

    _take_out_and_bring_back(phone)


def test_full_phone_refuses_a_picture_aloud_and_keeps_the_finding(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone
) -> None:
    """Scenario 30: on a form, what was typed is saved and sent, and the message says what helps."""
    phone = new_phone(live_site.base_url)
    phone.sign_in(MECHANIC)
    phone.open_job(customer="Marlow Teague", phone="", kind="tiller", make="", model="", words="Squeals under load")
    phone.page.evaluate(NO_ROOM)
    phone.press("Add a finding")
    phone.fill("What you found", "Drive belt is worn")
    phone.choose_option("Needed")
    phone.page.get_by_label("Take a photo").set_input_files(_camera_picture())
    phone.expect_text("This phone is out of storage, so the photo wasn’t saved.")
    phone.expect_text("Free some space, then retake it.")
    expect(phone.page.locator(".picture-grid")).to_have_count(0)
    phone.press("Save finding")
    phone.expect_heading("Marlow Teague")
    phone.expect_text("Drive belt is worn")
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Finding.objects.get().words == "Drive belt is worn"
        assert not Attachment.objects.exists()


def _full_phone_keeps_words(phone: Phone) -> None:
    """Full storage is reported for a picture, and commands are still saved.

    A test browser has the quota of the whole disk, so its storage is patched to refuse.
    """
    phone.page.evaluate(NO_ROOM)
    phone.page.get_by_label("Take a photo").set_input_files(_camera_picture())
    phone.expect_text("This phone is out of storage, so the photo wasn’t saved. What you typed is.")
    expect(phone.page.locator(".picture-grid")).to_have_count(0)
    phone.press("Add to the complaint")
    phone.fill("In the customer’s words", "It began in the spring")
    phone.press("Save")
    phone.expect_text("It began in the spring")
    expect(phone.queue_status()).to_have_text("1 to send")
    phone.page.evaluate(ROOM)


def _take(phone: Phone) -> None:
    """A finding with a picture, taken before it was saved, and what it shows; ends on the finding."""
    phone.press("Add a finding")
    phone.fill("What you found", "Drive belt is worn")
    phone.choose_option("Needed")
    damaged: FilePayload = {"name": "belt.jpg", "mimeType": "image/jpeg", "buffer": b"\xff\xd8\xff nothing more"}
    phone.page.get_by_label("Choose photos").set_input_files(damaged)
    phone.expect_text("Can’t read this photo.")
    phone.page.get_by_label("Take a photo").set_input_files(_camera_picture())
    phone.expect_text("Waiting for you to save")
    expect(phone.queue_status()).to_have_text("1 to send")
    assert _violations(phone, "finding on its form, with a picture") == []
    # The form is left and opened again.
    phone.press("Back")
    phone.expect_heading("Marlow Teague")
    phone.press("Add a finding")
    _is_shown(phone.page.get_by_role("img", name="Photo 1 of 1"))
    phone.press("Save finding")
    phone.expect_heading("Marlow Teague")
    expect(phone.queue_status()).to_have_text("4 to send")
    # The job shows it beside its finding.
    _is_shown(phone.page.get_by_role("img", name="Photo 1 of 1"))
    phone.list_item("Drive belt is worn").click()
    phone.expect_heading("Edit finding")
    phone.expect_text("On this phone only")
    assert _violations(phone, "finding with a picture") == []
    phone.page.get_by_role("link", name="Photo 1 of 1").click()
    phone.expect_heading("Photo 1 of 1")
    _is_shown(phone.page.get_by_role("img", name="Photo 1 of 1"))
    assert _violations(phone, "picture") == []
    phone.fill("What it shows", SHOWS)
    phone.press("Save")
    phone.expect_heading("Edit finding")
    _is_shown(phone.page.get_by_role("img", name=SHOWS))


def _take_out_and_bring_back(phone: Phone) -> None:
    phone.page.get_by_role("link", name=SHOWS).click()
    phone.expect_heading(SHOWS)
    phone.press("Delete photo")
    phone.expect_heading("Edit finding")
    expect(phone.page.locator(".picture-grid")).to_have_count(0)
    phone.press("Undo")
    _is_shown(phone.page.get_by_role("img", name=SHOWS))
    phone.wait_until_sent()


def _camera_picture() -> FilePayload:
    """Three thousand pixels of grain, with a place, an author and a comment packed along."""
    image = Image.effect_noise((3000, 2000), 60).convert("RGB")
    content = encode(image, "JPEG", quality=85, exif=exif(orientation=6), comment=CANARY)
    assert content.count(CANARY.encode()) >= 3
    return {"name": "belt.jpg", "mimeType": "image/jpeg", "buffer": content}


def _offset(attachment_id: UUID) -> int:
    upload = Upload.objects.filter(attachment=attachment_id).first()
    return 0 if upload is None else upload.offset


def _when(shop: Actor, fits: Callable[[Attachment], bool], seconds: float = 40) -> Attachment:
    """The attachment, once it is as awaited."""
    until = time.monotonic() + seconds
    while True:
        with in_shop(shop.shop_id):
            found = Attachment.objects.first()
            if found is not None and fits(found):
                return found
        assert time.monotonic() < until, f"still {found}"
        time.sleep(0.1)


def _is_shown(image: Locator) -> None:
    expect(image).to_be_visible(timeout=15_000)
    assert image.evaluate("image => image.decode().then(() => image.naturalWidth > 0)")


def _violations(phone: Phone, where: str) -> list[str]:
    found = accessibility_violations(phone.page, where)
    phone.page.emulate_media(color_scheme="dark")
    found += accessibility_violations(phone.page, f"{where}, dark")
    phone.page.emulate_media(color_scheme="light")
    return found
