"""The page of the measuring lead: its PDF as pypdf reads it, its HTML as Chromium shows and prints it.

Sources: A4 is 210 mm by 297 mm (ISO 216), a point is 1/72 inch.
"""

from __future__ import annotations

import base64
import io
import unicodedata
from pathlib import Path

import pypdf
import pytest

from browser import Browser
from conftest import Program

POINTS_PER_MM = 72 / 25.4

SAID = {
    "en": ["Measuring lead", "100 kΩ 1 %", "-12 dBFS", "headphones off the ears", "Phantom power off", "local electrical codes"],
    "de": ["Messleitung", "100 kΩ 1 %", "-12 dBFS", "Kopfhörer von den Ohren", "Phantomspeisung aus", "örtliche Vorschriften"],
}


def only_page(pdf: bytes) -> pypdf.PageObject:
    """Of a PDF that has one."""
    [page] = pypdf.PdfReader(io.BytesIO(pdf), strict=True).pages
    return page


def spoken(text: str) -> str:
    """In one line, and letter by letter where a font has two in one."""
    return " ".join(unicodedata.normalize("NFKC", text).split())


@pytest.mark.parametrize("language", SAID)
def test_the_pdf_is_one_a4_page(program: Program, tmp_path: Path, language: str) -> None:
    """With text that can be selected."""
    program("measure", "lead", "--language", language, "-o", tmp_path / "lead.pdf")
    page = only_page((tmp_path / "lead.pdf").read_bytes())
    assert float(page.mediabox.width) == pytest.approx(210 * POINTS_PER_MM, abs=0.01)
    assert float(page.mediabox.height) == pytest.approx(297 * POINTS_PER_MM, abs=0.01)
    for said in SAID[language]:
        assert said in spoken(page.extract_text()), said


@pytest.mark.parametrize("language", SAID)
def test_the_html_is_seen_and_printed_whole(program: Program, tmp_path: Path, shared: Browser, language: str) -> None:
    """On one page, and on a phone as wide as the phone; asking for nothing."""
    lead = tmp_path / "lead.html"
    program("measure", "lead", "--language", language, "-o", lead)
    shared.requests()
    shared.open(lead, width=360, height=740)
    assert shared.run("return document.documentElement.scrollWidth <= window.innerWidth")
    clipped = shared.run("""
        return [...document.querySelectorAll('svg text')].filter(text => {
            const [letters, drawing] = [text.getBoundingClientRect(), text.closest('svg').getBoundingClientRect()];
            return letters.left < drawing.left || letters.right > drawing.right || letters.bottom > drawing.bottom + 1;
        }).map(text => text.textContent);
    """)
    assert clipped == []
    printed = shared.driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})["data"]
    text = spoken(only_page(base64.b64decode(printed)).extract_text())
    for said in SAID[language]:
        assert said in text, said
    assert all(url.startswith("file:///") for url in shared.requests())
    assert shared.complaints() == []
