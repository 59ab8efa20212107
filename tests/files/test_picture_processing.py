"""Processing of pictures: the result, and what is refused."""

import struct
import time
from io import BytesIO
from typing import Any, get_args

import pytest
from PIL import Image, ImageChops, ImageFile, ImageOps, ImageStat

from shopapi.files.rules import MAX_SIDE, PictureFault, picture_refusal_code
from shopapi.files.services.picture_processing import PictureRefused, process_image
from tests.files.sample_pictures import (
    CANARY,
    encode,
    exif,
    invalid_pictures,
    sample_image,
    with_broken_exif,
    with_metadata,
)

INVALID_PICTURES = invalid_pictures()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_processing_keeps_pixels_and_drops_metadata(kind: str) -> None:
    sent = with_metadata(kind)
    assert CANARY.encode() in sent
    made = process_image(sent)
    for content in (made.picture, made.thumbnail):
        assert CANARY.encode() not in content
        image = Image.open(BytesIO(content), formats=["JPEG"])
        assert not image.getexif()
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression"}
    # The content is unchanged: dark disc, light background.
    seen = Image.open(BytesIO(made.picture)).convert("L")
    disc, ground = seen.getpixel((190, 140)), seen.getpixel((600, 440))
    assert isinstance(disc, int | float)
    assert isinstance(ground, int | float)
    assert disc + 100 < ground
    assert seen.size == (made.width, made.height) == (640, 480)


@pytest.mark.parametrize(("name", "code"), [(name, code) for name, (_, code) in INVALID_PICTURES.items()])
def test_invalid_picture_is_refused_with_its_code(name: str, code: str) -> None:
    with pytest.raises(PictureRefused) as refused:
        process_image(INVALID_PICTURES[name][0])
    assert refused.value.code == code
    assert code in get_args(PictureFault)


def test_truncated_picture_is_refused_even_after_pdf_rendering(monkeypatch: pytest.MonkeyPatch) -> None:
    """WeasyPrint sets this for the whole process when it is first used."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(PictureRefused) as refused:
        process_image(INVALID_PICTURES["half a JPEG"][0])
    assert refused.value.code == "damaged"
    assert ImageFile.LOAD_TRUNCATED_IMAGES is True


def test_orientation_is_applied() -> None:
    # EXIF 2.3 (CIPA DC-008), tag Orientation, value 6: row 0 is the right side, column 0 the top (from memory).
    made = process_image(encode(sample_image(600, 300), "JPEG", exif=exif(orientation=6)))
    assert (made.width, made.height) == (300, 600)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_unreadable_exif_does_not_refuse_a_picture(kind: str) -> None:
    content = with_broken_exif(kind)
    with pytest.raises(struct.error):
        # Pillow's own function fails on them.
        ImageOps.exif_transpose(Image.open(BytesIO(content)))
    made = process_image(content)
    assert (made.width, made.height) == (480, 640)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientation_matches_pillows_exif_transpose(orientation: int) -> None:
    sent = encode(sample_image(240, 160), "PNG", exif=exif(orientation))
    upright = ImageOps.exif_transpose(Image.open(BytesIO(sent))).convert("RGB")
    made = Image.open(BytesIO(process_image(sent).picture))
    assert made.size == upright.size
    differing = ImageStat.Stat(ImageChops.difference(made, upright).convert("L")).mean[0]
    flipped = ImageStat.Stat(ImageChops.difference(made, ImageOps.mirror(upright)).convert("L")).mean[0]
    assert differing * 3 < flipped


def test_large_pictures_are_scaled_down_and_small_ones_kept() -> None:
    made = process_image(encode(sample_image(4000, 3000), "JPEG"))
    assert (made.width, made.height) == (MAX_SIDE, MAX_SIDE * 3 // 4)
    assert Image.open(BytesIO(made.thumbnail)).size == (320, 240)
    assert process_image(encode(sample_image(64, 48), "PNG")).width == 64


@pytest.mark.parametrize(
    ("kind", "width", "height", "about", "refusal"),
    [
        # What phones of about 2020 to 2025 produce by default and at full resolution (from memory).
        ("HEIF", 4032, 3024, {"size": 3_000_000}, None),
        ("HEIF", 5712, 4284, {"size": 1_200_000}, None),
        ("JPEG", 5712, 4284, {"size": 4_000_000, "scans": 4, "scaled_decoding": True}, None),
        ("JPEG", 8064, 6048, {"size": 12_000_000, "scans": 3, "scaled_decoding": True}, None),
        ("JPEG", 8160, 6144, {"size": 14_000_000, "scans": 2, "scaled_decoding": True}, None),
        ("HEIF", 8064, 6048, {"size": 5_000_000}, "too_many_pixels"),
        ("JPEG", 12_000, 9_000, {"size": 19_000_000, "scaled_decoding": True}, "too_many_pixels"),
        ("JPEG", 16_320, 12_240, {"size": 20_000_000, "scaled_decoding": True}, "too_many_pixels"),
        # The lens covered, and a drawing scanned in two colours.
        ("HEIF", 4032, 3024, {"size": 9_000}, None),
        ("PNG", 4960, 7016, {"size": 90_000}, "too_many_pixels"),
        ("PNG", 4960, 3508, {"size": 90_000}, None),
        ("PNG", 5400, 5400, {"size": 48_000}, "unfolds_too_far"),
        ("WEBP", 5400, 5400, {"size": 9_000_000}, "too_many_pixels"),
        ("WEBP", 4000, 3900, {"size": 9_000}, "unfolds_too_far"),
        ("JPEG", 5400, 5400, {"size": 2_000_000, "scans": 11}, None),
        ("JPEG", 5400, 5400, {"size": 2_000_000, "scans": 40}, "too_many_scans"),
    ],
)
def test_picture_refusal_limits(kind: str, width: int, height: int, about: dict[str, Any], refusal: str | None) -> None:
    assert picture_refusal_code(kind, width, height, **about) == refusal


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_large_rotated_picture_keeps_its_content(kind: str) -> None:
    """Compared with Pillow's own rotation and high-quality scaling of all pixels."""
    whole = sample_image(4100, 3000)
    more = {"lossless": True, "method": 0} if kind == "WEBP" else {}
    made = Image.open(BytesIO(process_image(encode(whole, kind, exif=exif(orientation=6), **more)).picture))
    best = whole.transpose(Image.Transpose.ROTATE_270).resize((1499, 2048), Image.Resampling.LANCZOS)
    assert made.size == best.size
    assert max(ImageStat.Stat(ImageChops.difference(made, best)).mean) < 1.5


def test_first_frame_of_a_multi_picture_file_is_used() -> None:
    both = encode(sample_image(), "MPO", save_all=True, append_images=[Image.new("RGB", (64, 64))])
    made = process_image(both)
    assert (made.width, made.height) == (640, 480)


def test_transparency_stays_white_when_scaled() -> None:
    """Colors of transparent pixels do not bleed at the edges."""
    image = Image.new("RGBA", (6000, 4000), (0, 0, 0, 0))
    image.paste((200, 0, 0, 255), (0, 0, 3000, 4000))
    made = Image.open(BytesIO(process_image(encode(image, "PNG", compress_level=1)).picture)).convert("RGB")
    left, right = made.getpixel((1000, 600)), made.getpixel((1040, 600))
    assert isinstance(left, tuple)
    assert isinstance(right, tuple)
    assert left[0] > 180
    assert left[1] < 60
    assert min(right) > 245


def test_worst_case_pictures_are_processed_in_time() -> None:
    """The most expensive picture of each format within the limits: CPU seconds and memory."""
    side = 5_470
    noise = Image.effect_noise((side // 8, side // 8), 60).convert("RGB").resize((side, side))
    dearest = {
        "PNG": encode(noise, "PNG", compress_level=1),
        "progressive JPEG": encode(noise, "JPEG", progressive=True),
        "JPEG by parts": encode(noise.resize((8_160, 6_144)), "JPEG"),
        "WebP": encode(noise.resize((4_000, 4_000)), "WEBP", method=0),
    }
    for name, content in dearest.items():
        begun = time.process_time()
        process_image(content)
        assert time.process_time() - begun < 6, name


def test_transparency_becomes_white() -> None:
    made = process_image(encode(Image.new("RGBA", (40, 40), (0, 0, 0, 0)), "PNG"))
    assert min(Image.open(BytesIO(made.picture)).convert("L").tobytes()) > 250
