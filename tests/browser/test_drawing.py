"""An arrow and a ring drawn on a photo without a signal: with taps, a drag and the keyboard."""

from io import BytesIO

from PIL import Image
from playwright.sync_api import FilePayload, Locator, expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment
from shopapi.files.queries import read_picture
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.browser.phone import Phone
from tests.browser.test_voice_notes import WAKE, when
from tests.factories import work
from tests.files.sample_pictures import encode
from tests.site import LiveSite

GRAY = (120, 120, 120)


def test_marks_are_drawn_into_a_new_photo_and_the_original_stays(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    live_site.start_worker()
    machine = work.a_machine(shop, work.a_customer(shop))
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open(f"/machines/{machine}")
    phone.context.set_offline(True)
    plain: FilePayload = {
        "name": "a.jpg",
        "mimeType": "image/jpeg",
        "buffer": encode(Image.new("RGB", (1200, 900), GRAY), "JPEG"),
    }
    phone.page.get_by_label("Choose photos").set_input_files(plain)
    phone.page.get_by_role("link", name="Photo 1 of 1").click()
    phone.press("Draw on it")
    phone.expect_heading("Draw on the photo")
    surface = phone.page.get_by_role("application", name="Photo to draw on")
    # Two taps are an arrow: no dragging is needed.
    phone.expect_text("Tap where the arrow starts")
    _tap(surface, 0.2, 0.5)
    phone.expect_text("Tap what it points to")
    # Beside the first is not yet the second.
    _tap(surface, 0.205, 0.5)
    phone.expect_text("Tap what it points to")
    _tap(surface, 0.6, 0.5)
    phone.expect_text("Tap where the arrow starts")
    # A drag is a ring, and the keyboard draws one too, which is undone.
    phone.choose_option("Ring")
    _drag(phone, surface, (0.8, 0.25), (0.9, 0.25))
    surface.focus()
    for key in ("ArrowUp", "Enter", *["ArrowRight"] * 5, "Enter"):
        surface.press(key)
    expect(phone.page.get_by_role("status").filter(has_text="Tap the middle of the ring")).to_be_visible()
    phone.press("Undo the last")
    assert accessibility_violations(phone.page, "drawing") == []
    # What is drawn survives a reload.
    phone.page.reload()
    phone.expect_text("Undo the last")
    phone.press("Save as a new photo")
    phone.expect_heading("Photo 2 of 2")
    phone.expect_text("Photo without the drawing")

    phone.context.set_offline(False)
    phone.page.evaluate(WAKE)
    phone.wait_until_sent()
    when(shop, lambda rows: [row.state for row in rows] == ["ready", "ready"])
    with in_shop(shop.shop_id):
        original = Attachment.objects.get(drawn_from_id=None)
        drawn = Attachment.objects.get(drawn_from_id=original.id)
        assert (drawn.about_id, drawn.taken_at, drawn.media) == (machine, original.taken_at, "picture")
        before, after = (_image(read_picture(row)) for row in (original, drawn))
    assert after.size == before.size == (1200, 900)
    # On the shaft white, at its edge black, elsewhere as it was; on the ring white, in its middle as it was.
    _is_like(after, (480, 450), (255, 255, 255))
    _is_like(after, (480, 450 + 11), (0, 0, 0))
    _is_like(after, (480, 600), GRAY)
    _is_like(after, (960 + 120, 225), (255, 255, 255))
    _is_like(after, (960, 225), GRAY)
    _is_like(before, (480, 450), GRAY)


def _tap(surface: Locator, x: float, y: float) -> None:
    box = surface.bounding_box()
    assert box is not None
    surface.click(position={"x": box["width"] * x, "y": box["height"] * y})


def _drag(phone: Phone, surface: Locator, start: tuple[float, float], end: tuple[float, float]) -> None:
    box = surface.bounding_box()
    assert box is not None
    mouse = phone.page.mouse
    for at, place in enumerate((start, end)):
        mouse.move(box["x"] + box["width"] * place[0], box["y"] + box["height"] * place[1], steps=4)
        if at == 0:
            mouse.down()
    mouse.up()


def _image(content: bytes) -> Image.Image:
    return Image.open(BytesIO(content)).convert("RGB")


def _is_like(image: Image.Image, at: tuple[int, int], wanted: tuple[int, int, int]) -> None:
    found = image.getpixel(at)
    assert isinstance(found, tuple)
    assert all(abs(one - other) < 40 for one, other in zip(found, wanted, strict=True)), (at, found)
