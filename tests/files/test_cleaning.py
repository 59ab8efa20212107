"""What comes out of a picture, and what is refused."""

import struct
from io import BytesIO

import pytest
from PIL import Image, ImageChops, ImageFile, ImageOps, ImageStat

from shopapi.files.rules import LONGEST_SIDE, REFUSALS
from shopapi.files.services.cleaning import NoPicture, clean
from tests.files.pictures import CANARY, drawn, exif, no_pictures, saved, telling, with_broken_notes

HOSTILE = no_pictures()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_nothing_goes_on_but_what_is_seen(kind: str) -> None:
    sent = telling(kind)
    assert CANARY.encode() in sent
    made = clean(sent)
    for content in (made.picture, made.thumbnail):
        assert CANARY.encode() not in content
        image = Image.open(BytesIO(content), formats=["JPEG"])
        assert not image.getexif()
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression"}
    # And it is still that picture: the dark disc, the light ground.
    seen = Image.open(BytesIO(made.picture)).convert("L")
    disc, ground = seen.getpixel((190, 140)), seen.getpixel((600, 440))
    assert isinstance(disc, int | float)
    assert isinstance(ground, int | float)
    assert disc + 100 < ground
    assert seen.size == (made.width, made.height) == (640, 480)


@pytest.mark.parametrize(("name", "code"), [(name, code) for name, (_, code) in HOSTILE.items()])
def test_what_is_no_picture_is_refused_with_its_reason(name: str, code: str) -> None:
    with pytest.raises(NoPicture) as refused:
        clean(HOSTILE[name][0])
    assert refused.value.code == code
    assert code in REFUSALS


def test_what_ends_too_early_is_damaged_beside_the_maker_of_papers(monkeypatch: pytest.MonkeyPatch) -> None:
    """WeasyPrint sets this for the whole process when it is first used."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(NoPicture) as refused:
        clean(HOSTILE["half a JPEG"][0])
    assert refused.value.code == "damaged"
    assert ImageFile.LOAD_TRUNCATED_IMAGES is True


def test_it_stands_upright_whichever_way_the_camera_was_held() -> None:
    # EXIF 2.3 (CIPA DC-008), tag Orientation, value 6: row 0 is the right side, column 0 the top (from memory).
    made = clean(saved(drawn(600, 300), "JPEG", exif=exif(orientation=6)))
    assert (made.width, made.height) == (300, 600)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_notes_that_cannot_be_read_are_no_reason_to_refuse_a_picture(kind: str) -> None:
    content = with_broken_notes(kind)
    with pytest.raises(struct.error):
        # The library's own way trips over them.
        ImageOps.exif_transpose(Image.open(BytesIO(content)))
    made = clean(content)
    assert (made.width, made.height) == (480, 640)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_each_way_of_holding_the_camera_is_turned_as_the_library_turns_it(orientation: int) -> None:
    sent = saved(drawn(240, 160), "PNG", exif=exif(orientation))
    upright = ImageOps.exif_transpose(Image.open(BytesIO(sent))).convert("RGB")
    made = Image.open(BytesIO(clean(sent).picture))
    assert made.size == upright.size
    differing = ImageStat.Stat(ImageChops.difference(made, upright).convert("L")).mean[0]
    flipped = ImageStat.Stat(ImageChops.difference(made, ImageOps.mirror(upright)).convert("L")).mean[0]
    assert differing * 3 < flipped


def test_large_ones_are_made_smaller_and_small_ones_stay() -> None:
    made = clean(saved(drawn(4000, 3000), "JPEG"))
    assert (made.width, made.height) == (LONGEST_SIDE, LONGEST_SIDE * 3 // 4)
    assert Image.open(BytesIO(made.thumbnail)).size == (320, 240)
    assert clean(saved(drawn(64, 48), "PNG")).width == 64


def test_see_through_is_white() -> None:
    made = clean(saved(Image.new("RGBA", (40, 40), (0, 0, 0, 0)), "PNG"))
    assert min(Image.open(BytesIO(made.picture)).convert("L").tobytes()) > 250
