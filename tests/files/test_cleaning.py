"""What comes out of a picture, and what is refused."""

from io import BytesIO

import pytest
from PIL import Image

from shopapi.files.rules import LONGEST_SIDE, REFUSALS
from shopapi.files.services.cleaning import NoPicture, clean
from tests.files.pictures import CANARY, drawn, exif, no_pictures, saved, telling

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


def test_corpus_is_large() -> None:
    assert len(HOSTILE) > 20


def test_it_stands_upright_whichever_way_the_camera_was_held() -> None:
    # EXIF 2.3 (CIPA DC-008), tag Orientation, value 6: row 0 is the right side, column 0 the top (from memory).
    made = clean(saved(drawn(600, 300), "JPEG", exif=exif(orientation=6)))
    assert (made.width, made.height) == (300, 600)


def test_large_ones_are_made_smaller_and_small_ones_stay() -> None:
    made = clean(saved(drawn(4000, 3000), "JPEG"))
    assert (made.width, made.height) == (LONGEST_SIDE, LONGEST_SIDE * 3 // 4)
    assert Image.open(BytesIO(made.thumbnail)).size == (320, 240)
    assert clean(saved(drawn(64, 48), "PNG")).width == 64


def test_see_through_is_white() -> None:
    made = clean(saved(Image.new("RGBA", (40, 40), (0, 0, 0, 0)), "PNG"))
    assert min(Image.open(BytesIO(made.picture)).convert("L").tobytes()) > 250
