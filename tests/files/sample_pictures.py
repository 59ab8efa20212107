"""Sample pictures with metadata, hostile files, and files that are not pictures."""

import struct
import zlib
from io import BytesIO

from PIL import Image, ImageDraw, PngImagePlugin

CANARY = "CANARY-7731"


def sample_image(width: int = 640, height: int = 480) -> Image.Image:
    """A picture with edges and colors."""
    image = Image.new("RGB", (width, height), "#c8c8c8")
    draw = ImageDraw.Draw(image)
    draw.ellipse((width // 8, height // 8, width // 2, height // 2), fill="#303030")
    draw.line((0, height, width, 0), fill="#d00000", width=9)
    return image


def encode(image: Image.Image, kind: str, **more: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def exif(orientation: int = 1) -> Image.Exif:
    """EXIF with place, author and orientation."""
    notes = Image.Exif()
    notes[0x0112] = orientation
    notes[0x010E] = CANARY
    notes[0x013B] = CANARY
    notes.get_ifd(0x8825).update({1: "N", 2: (43.0, 37.0, 12.0), 3: "W", 4: (116.0, 12.0, 30.0), 0x1B: CANARY.encode()})
    return notes


def with_metadata(kind: str) -> bytes:
    """A valid picture with metadata: place, author, comment, appended text."""
    xmp = f"<x:xmpmeta><rdf:li>{CANARY}</rdf:li></x:xmpmeta>".encode()
    image = sample_image()
    if kind == "JPEG":
        script = f"<script>{CANARY}</script>"
        return encode(image, kind, exif=exif(), comment=script, xmp=xmp) + CANARY.encode()
    if kind == "PNG":
        texts = PngImagePlugin.PngInfo()
        texts.add_text("Author", CANARY)
        texts.add_itxt("XML:com.adobe.xmp", xmp.decode())
        return encode(image, kind, pnginfo=texts, exif=exif()) + CANARY.encode()
    if kind == "WEBP":
        return encode(image, kind, exif=exif(), xmp=xmp)
    return encode(image, "HEIF", exif=exif().tobytes(), xmp=xmp)


def decompression_bomb_png(width: int, height: int) -> bytes:
    """A small PNG file whose header claims a huge size."""

    def chunk(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    row = b"\0" + b"\0" * ((width + 7) // 8)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(row * 64)) + chunk(b"IEND", b"")


def blank_png(width: int, height: int) -> bytes:
    """A valid blank black-and-white PNG: the smallest possible file for its size."""
    return encode(Image.new("1", (width, height)), "PNG", optimize=True)


def many_scan_jpeg(passes: int, side: int = 64) -> bytes:
    """A JPEG whose last scan is repeated: a small file that takes long to decode."""
    jpeg = encode(Image.new("L", (side, side), 128), "JPEG", progressive=True)
    last = jpeg.rfind(b"\xff\xda")
    return jpeg[:last] + jpeg[last:-2] * passes + jpeg[-2:]


def multi_picture_jpeg(passes: int, side: int) -> bytes:
    """Two JPEGs in one file (CIPA DC-007), the first with many scans."""
    picture, second = Image.new("L", (side, side), 128), Image.new("L", (64, 64), 128)
    both = encode(picture, "MPO", save_all=True, append_images=[second], progressive=True)
    end = both.index(b"\xff\xd9\xff\xd8") + 2
    first = both[:end]
    last = first.rfind(b"\xff\xda")
    return first[:last] + first[last:-2] * passes + first[-2:] + both[end:]


def with_broken_exif(kind: str) -> bytes:
    """A valid rotated picture whose EXIF width (tag 256, a number) is a text."""
    notes = Image.Exif()
    notes[0x0112], notes[0x010F] = 6, "maker"
    raw_exif = notes.tobytes()
    for order in "<>":
        raw_exif = raw_exif.replace(struct.pack(f"{order}HH", 0x010F, 2), struct.pack(f"{order}HH", 0x0100, 2))
    return encode(sample_image(), kind, exif=raw_exif)


def with_wrong_heif_height(heif: bytes) -> bytes:
    """A HEIC whose size box (ISO/IEC 23008-12, `ispe`) claims 640 x 18,000."""
    size = heif.index(b"ispe") + 8
    return heif[:size] + struct.pack(">II", 640, 18_000) + heif[size + 8 :]


def invalid_pictures() -> dict[str, tuple[bytes, str]]:
    """Files that are refused, each with the expected code."""
    jpeg, png, webp = (encode(sample_image(), kind) for kind in ("JPEG", "PNG", "WEBP"))
    heif = encode(sample_image(), "HEIF")
    pdf = b"%PDF-1.7\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>"
    return {
        "nothing but a zero": (b"\0", "no_picture"),
        "text": (b"The belt is cracked.", "no_picture"),
        "a page": (b"<!doctype html><script>alert(1)</script>", "no_picture"),
        "a drawing": (b'<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>', "no_picture"),
        "a drawing behind a declaration": (
            b'<?xml version="1.0"?><svg/>',
            "no_picture",
        ),
        "a PDF": (pdf, "no_picture"),
        "a PDF with a picture behind it": (pdf + jpeg, "no_picture"),
        "a page with a picture behind it": (b"<html>" + jpeg, "no_picture"),
        "an archive": (b"PK\x03\x04" + bytes(60), "no_picture"),
        "a program": (b"\x7fELF\x02\x01\x01" + bytes(60), "no_picture"),
        "postscript": (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "no_picture"),
        "GIF": (encode(sample_image(), "GIF"), "no_picture"),
        "TIFF": (encode(sample_image(), "TIFF"), "no_picture"),
        "BMP": (encode(sample_image(), "BMP"), "no_picture"),
        "a page that begins as GIF": (b"GIF89a/*" + b"<script>1</script>", "no_picture"),
        "the first bytes of JPEG alone": (b"\xff\xd8\xff\xe0", "no_picture"),
        "half a JPEG": (jpeg[: len(jpeg) // 2], "damaged"),
        "half a PNG": (png[: len(png) // 2], "damaged"),
        # Its decoder needs the whole file to identify it.
        "half a WebP": (webp[: len(webp) // 2], "no_picture"),
        "half a HEIC": (heif[: len(heif) // 2], "damaged"),
        "PNG with a changed byte": (png[:60] + bytes([png[60] ^ 255]) + png[61:], "damaged"),
        "HEIC that says it is taller than it is": (with_wrong_heif_height(heif), "damaged"),
        "JPEG in 2,000 passes": (many_scan_jpeg(2000), "too_many_scans"),
        "PNG of 900 million pixels": (decompression_bomb_png(30_000, 30_000), "too_many_pixels"),
        "PNG of 60 million pixels": (decompression_bomb_png(10_000, 6_000), "too_many_pixels"),
        "PNG of 49 million pixels in 6 KB": (blank_png(7_000, 7_000), "too_many_pixels"),
        "PNG of 29 million pixels in 4 KB": (blank_png(5_400, 5_400), "unfolds_too_far"),
        "WebP of 16 million pixels of one colour": (
            encode(Image.new("RGB", (4_000, 4_000)), "WEBP", lossless=True, method=0),
            "unfolds_too_far",
        ),
        "HEIC of 29 million pixels of one colour": (
            encode(Image.new("RGB", (5_400, 5_400)), "HEIF"),
            "unfolds_too_far",
        ),
        "progressive JPEG of 36 million pixels": (
            encode(Image.new("L", (6_000, 6_000), 128), "JPEG", progressive=True),
            "too_many_pixels",
        ),
        "two JPEGs in one file, in 500 passes": (multi_picture_jpeg(500, side=2_100), "too_many_scans"),
        "JPEG of 4 million pixels in 99 passes": (many_scan_jpeg(95, side=2_100), "too_many_scans"),
    }
