import subprocess
import sys
import urllib.error
import urllib.request
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from shopapi.documents.rules import families
from shopapi.documents.services.pdf import print_html
from tests.documents.canary import SVG, canary

UNASSIGNED = 0x0378
"""A code point that Unicode has given to no letter, so that no font draws it."""


def page(body: str) -> str:
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>T</title>'
        f"<style>* {{ font-family: {families()} }}</style></head><body>{body}</body></html>"
    )


def text_of(pdf: bytes) -> str:
    return "".join(each.extract_text() for each in PdfReader(BytesIO(pdf)).pages)


def test_listener_records_requests() -> None:
    with canary() as heard:
        with pytest.raises(urllib.error.HTTPError):
            urllib.request.urlopen(f"{heard.url}/here")  # noqa: S310
        assert heard.asked == ["/here"]


@pytest.mark.parametrize("at", range(14))
def test_page_that_requests_anything_is_refused_without_a_request(at: int, tmp_path: Path) -> None:
    picture = tmp_path / "picture.svg"
    picture.write_text(f"<svg {SVG}/>")
    with canary() as heard:
        traps = heard.traps(str(picture))
        assert len(traps) == 14
        with pytest.raises(PermissionError, match=r"^a PDF may not fetch (http|file)://"):
            print_html(page(f"<p>before</p>{traps[at]}"))
        assert heard.asked == []


@pytest.mark.parametrize(
    "words",
    [
        "0123456789 O0 1lI",
        "Żółć Łódź ŵ",
        "tiếng Việt ộ ử",
        "Γειά Δήμητρα",
        "Привет",
        "→ ≤ ≥ ≈ Ω ⌀ ″ ✓",
        "Café £ € ½ °",
    ],
)
def test_text_in_many_scripts_is_extractable(words: str) -> None:
    pdf, undrawn = print_html(page(f"<p>{words}</p><h1>{words}</h1>"))
    assert undrawn == frozenset()
    assert text_of(pdf).split() == words.split() * 2


@pytest.mark.parametrize(("words", "lines"), [("5:00 PM", 1), ("5:00 p.m.", 1), ("5:00 now", 2), ("am 5:00", 2)])
def test_time_of_day_stays_on_one_line(words: str, lines: int) -> None:
    pdf, _ = print_html(page(f'<p style="width: 1em">{words}</p>'))
    assert len(text_of(pdf).strip().splitlines()) == lines


@pytest.mark.parametrize("words", ["שלום", "مرحبا", "🔥", "☎"])
def test_special_letters_are_drawn_by_our_own_fonts(words: str) -> None:
    pdf, undrawn = print_html(page(f"<p>{words}</p>"))
    assert undrawn == frozenset()
    ours = {family.strip('"').replace(" ", "-") for family in families().split(", ")}
    assert {name.partition("+")[2] for name in font_names(pdf)} <= ours
    assert sorted(text_of(pdf).strip()) == sorted(words)


def font_names(pdf: bytes) -> set[str]:
    resources: Any = PdfReader(BytesIO(pdf)).pages[0]["/Resources"]
    fonts = resources["/Font"]
    return {font.get_object()["/BaseFont"].removeprefix("/") for font in fonts.values()}


def test_letter_without_a_font_is_reported() -> None:
    _, undrawn = print_html(page(f"<p>a{chr(UNASSIGNED)}b</p>"))
    assert undrawn == {UNASSIGNED}


def test_same_page_gives_the_same_bytes_in_another_process() -> None:
    html = page("<p>Same 🔥 Γ</p>")
    once, _ = print_html(html)
    again, _ = print_html(html)
    assert sha256(once).hexdigest() == sha256(again).hexdigest()
    program = (
        "import sys; from hashlib import sha256; from shopapi.documents.services.pdf import print_html;"
        "print(sha256(print_html(sys.stdin.read())[0]).hexdigest())"
    )
    run = subprocess.run(
        [sys.executable, "-c", program],
        input=html,
        env={"PYTHONPATH": str(Path.cwd()), "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.strip() == sha256(once).hexdigest()


def test_pages_have_different_identifiers() -> None:
    one, other = (PdfReader(BytesIO(print_html(page(words))[0])).trailer["/ID"] for words in ("<p>a", "<p>b"))
    assert one != other
