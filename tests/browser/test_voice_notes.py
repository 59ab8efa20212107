"""A voice note recorded without a signal, from the microphone to every other phone."""

import time
from collections.abc import Callable

from playwright.sync_api import expect

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment
from shopapi.files.queries import read_voice
from shopapi.files.rules.voice_notes import read_voice_note
from shopapi.jobs.models import Finding
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, OWNER, NewPhone
from tests.browser.phone import Phone
from tests.site import LiveSite

WAKE = "() => dispatchEvent(new Event('online'))"
# What a locked screen does to a page.
HIDE = """() => {
    Object.defineProperty(document, 'hidden', { get: () => true, configurable: true })
    document.dispatchEvent(new Event('visibilitychange'))
    delete document.hidden
}"""
NO_RECORDER = "() => { delete window.MediaRecorder }"


def test_voice_note_recorded_offline_is_sent_and_played_on_another_phone(
    live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str
) -> None:
    live_site.start_worker()
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.open_job(
        customer="Marlow Teague",
        phone="555 014 7703",
        kind="garden tractor",
        make="Fenlark",
        model="T14",
        words="Squeals under load",
    )
    phone.wait_until_sent()
    _refused_microphone_and_no_recorder(phone)

    phone.context.grant_permissions(["microphone"], origin=live_site.base_url)
    phone.context.set_offline(True)
    phone.press("Add a finding")
    phone.fill("What you found", "Idler bearing hums")
    phone.choose_option("Needed")
    # Two presses: one begins, one ends and saves.
    _record(phone, seconds=2)
    phone.expect_text("Waiting for you to save")
    phone.press("Save finding")
    phone.expect_heading("Marlow Teague")
    phone.list_item("Idler bearing hums").click()
    phone.expect_heading("Edit finding")
    phone.expect_text("On this phone only")
    # The screen locks: what was recorded is saved.
    phone.press("Record a voice note")
    phone.expect_text("0:01 of 3:00")
    phone.page.evaluate(HIDE)
    expect(phone.page.get_by_role("button", name="Play 0:0")).to_have_count(2)
    assert accessibility_violations(phone.page, "finding with voice notes") == []
    _plays(phone, "Voice note 1 of 2")

    phone.context.set_offline(False)
    phone.page.evaluate(WAKE)
    phone.wait_until_sent()
    first, second = when(shop, lambda rows: [row.state for row in rows] == ["ready", "ready"])
    with in_shop(shop.shop_id):
        assert {first.about_id, second.about_id} == {Finding.objects.get().id}
        for row in (first, second):
            assert (row.media, row.about_kind, row.caption) == ("voice", "finding", "Voice note")
            sound = read_voice_note(read_voice(row))
            assert sound.container == "webm"
            assert abs(sound.seconds - (row.seconds or 0)) < 1
    phone.page.evaluate(WAKE)
    expect(phone.page.get_by_text("Processing")).to_have_count(0)

    other = new_phone(live_site.base_url)
    other.context.add_init_script(axe_source)
    other.sign_in(OWNER)
    other.wait_for_offline_app()
    other.open(phone.page.url.removeprefix(live_site.base_url))
    _plays(other, "Voice note 1 of 2")
    other.context.set_offline(True)
    other.page.reload()
    _plays(other, "Voice note 2 of 2")
    other.context.set_offline(False)
    _words_download_delete_and_undo(other)


def _refused_microphone_and_no_recorder(phone: Phone) -> None:
    """Both say what to do instead, and nothing is added."""
    phone.press("Record a voice note")
    phone.expect_text("The microphone is blocked. Allow it for this site")
    phone.page.evaluate(NO_RECORDER)
    phone.press("Record a voice note")
    phone.expect_text("This browser can’t record sound here")
    phone.page.reload()
    phone.expect_heading("Marlow Teague")


def _record(phone: Phone, *, seconds: int) -> None:
    phone.press("Record a voice note")
    phone.expect_text(f"0:0{seconds} of 3:00")
    phone.press("Stop and save")
    phone.expect_text("Voice note saved on this phone")


def _plays(phone: Phone, name: str) -> None:
    phone.page.get_by_role("button", name="Play 0:").and_(phone.page.get_by_role("button", name=f": {name}")).click()
    stop = phone.page.get_by_role("button", name=f"Stop playing: {name}")
    expect(stop).to_be_visible()
    # It ends by itself.
    expect(stop).to_have_count(0)
    expect(phone.page.get_by_text("can’t play this voice note")).to_have_count(0)


def _words_download_delete_and_undo(phone: Phone) -> None:
    phone.press("Open Voice note 1 of 2")
    phone.expect_heading("Voice note")
    audio = phone.page.locator("audio")
    assert audio.evaluate("audio => new Promise(done => { audio.onplaying = () => done(true); audio.play() })")
    assert accessibility_violations(phone.page, "voice note") == []
    with phone.page.expect_download() as found:
        phone.press("Download")
    assert found.value.suggested_filename.endswith(".webm")
    assert found.value.path().read_bytes().startswith(b"\x1a\x45\xdf\xa3")
    phone.fill("What it’s about", "Idler, cold")
    phone.press("Save")
    phone.expect_heading("Edit finding")
    phone.press("Open Idler, cold")
    phone.press("Delete voice note")
    expect(phone.page.get_by_role("button", name="Play 0:")).to_have_count(1)
    phone.press("Undo")
    phone.expect_text("Idler, cold")
    phone.wait_until_sent()


def when(shop: Actor, fits: Callable[[list[Attachment]], bool], seconds: float = 40) -> list[Attachment]:
    """The attachments, once they are as awaited."""
    until = time.monotonic() + seconds
    while True:
        with in_shop(shop.shop_id):
            found = list(Attachment.objects.order_by("taken_at"))
        if fits(found):
            return found
        assert time.monotonic() < until, f"still {[row.state for row in found]}"
        time.sleep(0.1)
