"""Pictures made for tests, with things in them that nobody should see, and files that are none."""

import struct
import zlib
from io import BytesIO

from PIL import Image, ImageDraw, PngImagePlugin

CANARY = "CANARY-7731"


def drawn(width: int = 640, height: int = 480) -> Image.Image:
    """Something with edges and colours."""
    image = Image.new("RGB", (width, height), "#c8c8c8")
    draw = ImageDraw.Draw(image)
    draw.ellipse((width // 8, height // 8, width // 2, height // 2), fill="#303030")
    draw.line((0, height, width, 0), fill="#d00000", width=9)
    return image


def saved(image: Image.Image, kind: str, **more: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def exif(orientation: int = 1) -> Image.Exif:
    """Where it was taken, by whom, and which way up."""
    notes = Image.Exif()
    notes[0x0112] = orientation
    notes[0x010E] = CANARY
    notes[0x013B] = CANARY
    notes.get_ifd(0x8825).update({1: "N", 2: (43.0, 37.0, 12.0), 3: "W", 4: (116.0, 12.0, 30.0), 0x1B: CANARY.encode()})
    return notes


def telling(kind: str) -> bytes:
    """A good picture that tells more than it shows: place, author, comment, packed-on text."""
    xmp = f"<x:xmpmeta><rdf:li>{CANARY}</rdf:li></x:xmpmeta>".encode()
    image = drawn()
    if kind == "JPEG":
        script = f"<script>{CANARY}</script>"
        return saved(image, kind, exif=exif(), comment=script, xmp=xmp) + CANARY.encode()
    if kind == "PNG":
        texts = PngImagePlugin.PngInfo()
        texts.add_text("Author", CANARY)
        texts.add_itxt("XML:com.adobe.xmp", xmp.decode())
        return saved(image, kind, pnginfo=texts, exif=exif()) + CANARY.encode()
    if kind == "WEBP":
        return saved(image, kind, exif=exif(), xmp=xmp)
    return saved(image, "HEIF", exif=exif().tobytes(), xmp=xmp)


def unfolding(width: int, height: int) -> bytes:
    """A PNG that says it is huge and is small to send."""

    def chunk(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    row = b"\0" + b"\0" * ((width + 7) // 8)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(row * 64)) + chunk(b"IEND", b"")


def in_many_passes(passes: int) -> bytes:
    """A JPEG whose last pass comes again and again: small to send, long to read."""
    jpeg = saved(Image.new("L", (64, 64), 128), "JPEG", progressive=True)
    last = jpeg.rfind(b"\xff\xda")
    return jpeg[:last] + jpeg[last:-2] * passes + jpeg[-2:]


def with_broken_notes(kind: str) -> bytes:
    """A good picture on its side whose camera noted the width (EXIF 2.3: tag 256, a number) as a text."""
    notes = Image.Exif()
    notes[0x0112], notes[0x010F] = 6, "maker"
    told = notes.tobytes()
    for order in "<>":
        told = told.replace(struct.pack(f"{order}HH", 0x010F, 2), struct.pack(f"{order}HH", 0x0100, 2))
    return saved(drawn(), kind, exif=told)


def taller(heif: bytes) -> bytes:
    """A HEIC whose box of its size (ISO/IEC 23008-12, `ispe`) says 640 x 40,000."""
    size = heif.index(b"ispe") + 8
    return heif[:size] + struct.pack(">II", 640, 40_000) + heif[size + 8 :]


def no_pictures() -> dict[str, tuple[bytes, str]]:
    """What is no picture that is taken, with the reason it is refused for."""
    jpeg, png, webp = (saved(drawn(), kind) for kind in ("JPEG", "PNG", "WEBP"))
    heif = saved(drawn(), "HEIF")
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
        "a paper": (pdf, "no_picture"),
        "a paper with a picture behind it": (pdf + jpeg, "no_picture"),
        "a page with a picture behind it": (b"<html>" + jpeg, "no_picture"),
        "an archive": (b"PK\x03\x04" + bytes(60), "no_picture"),
        "a program": (b"\x7fELF\x02\x01\x01" + bytes(60), "no_picture"),
        "postscript": (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "no_picture"),
        "GIF": (saved(drawn(), "GIF"), "no_picture"),
        "TIFF": (saved(drawn(), "TIFF"), "no_picture"),
        "BMP": (saved(drawn(), "BMP"), "no_picture"),
        "a page that begins as GIF": (b"GIF89a/*" + b"<script>1</script>", "no_picture"),
        "the first bytes of JPEG alone": (b"\xff\xd8\xff\xe0", "no_picture"),
        "half a JPEG": (jpeg[: len(jpeg) // 2], "damaged"),
        "half a PNG": (png[: len(png) // 2], "damaged"),
        # Its reader wants the whole before it says what it is.
        "half a WebP": (webp[: len(webp) // 2], "no_picture"),
        "half a HEIC": (heif[: len(heif) // 2], "damaged"),
        "PNG with a changed byte": (png[:60] + bytes([png[60] ^ 255]) + png[61:], "damaged"),
        "HEIC that says it is taller than it is": (taller(heif), "damaged"),
        "JPEG in 2,000 passes": (in_many_passes(2000), "too_many_scans"),
        "PNG of 900 million pixels": (unfolding(30_000, 30_000), "too_many_pixels"),
        "PNG of 60 million pixels": (unfolding(10_000, 6_000), "too_many_pixels"),
    }
