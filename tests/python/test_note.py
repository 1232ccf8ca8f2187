"""The crew note's PDF, read by a reader that was not written here: pypdf.

Sources: A4 is 210 mm by 297 mm (ISO 216), a point is 1/72 inch; what fonts and text are in a PDF is pypdf's word.
"""

from __future__ import annotations

from pathlib import Path

import pypdf
import pytest

from conftest import Program

PRESETS = Path(__file__).resolve().parents[2] / "presets"

POINTS_PER_MM = 72 / 25.4

BOX = "{ cable = '1 m' }, { box = 'box %d with a long name, longer than its place', input = '1M', thru = 'before' }"


def note(program: Program, folder: Path, setups: Path, *options: str) -> pypdf.PdfReader:
    """The note of a file of setups."""
    output = folder / "note.pdf"
    program("note", "--setups", setups, "-o", output, "--overwrite", *options)
    return pypdf.PdfReader(output, strict=True)


def text_of(reader: pypdf.PdfReader) -> str:
    """The text of the only page, in one line."""
    [page] = reader.pages
    return " ".join(page.extract_text().split())


@pytest.mark.parametrize("boxes", [1, 5, 9, 40])
def test_it_is_one_a4_page(program: Program, tmp_path: Path, boxes: int) -> None:
    """However many boxes there are."""
    setups = tmp_path / "setups.toml"
    chain = ", ".join(BOX % index for index in range(boxes))
    setups.write_text(
        "version = 1\nname = 'x'\npickup = { capacitance = '1n' }\nrecorded = { load = 'none' }\n"
        + "".join(f"[[setup]]\nname = 's{index}'\nchain = [{chain}]\n" for index in range(20)),
        encoding="utf-8",
    )
    [page] = note(program, tmp_path, setups).pages
    assert float(page.mediabox.width) == pytest.approx(210 * POINTS_PER_MM, abs=0.01)
    assert float(page.mediabox.height) == pytest.approx(297 * POINTS_PER_MM, abs=0.01)


def test_its_text_can_be_selected(program: Program, tmp_path: Path) -> None:
    """In both languages, with what ASCII does not have."""
    english = text_of(note(program, tmp_path, PRESETS / "courtyard.toml"))
    for said in ["low A loses 0.7 dB through the buffer box", "an input of at least 8.4 MΩ", "guitarrón: A1 D2 G2 C3 E3 A2"]:
        assert said in english, english
    german = note(program, tmp_path, PRESETS / "venues.toml", "--venue", "chapel", "--language", "de")
    text = text_of(german)
    for said in ["Das tiefe A verliert 1,8 dB über „own buffer box“", "Two venues · Spielort: chapel", "hinter dem Puffer"]:
        assert said in text, text
    assert german.metadata is not None and german.metadata.title == "Blatt für die Crew: Two venues"
    assert german.root_object["/Lang"] == "de"
    assert german.metadata.creation_date is None


def test_ranges_can_be_selected(program: Program, tmp_path: Path) -> None:
    """680 pF within 30 % into 1 MOhm lose 10.7 to 15.8 dB at A1 (textbook RC); the sign of a tolerance is in the font."""
    setups = tmp_path / "setups.toml"
    setups.write_text(
        "version = 4\nname = 'x'\ninstrument = 'guitarron'\npickup = { capacitance = '680 pF ±30 %' }\nrecorded = { load = 'none' }\n"
        "[[setup]]\nname = 'tuner'\nchain = [{ box = 'tuner', input = '1M' }]\n",
        encoding="utf-8",
    )
    english = text_of(note(program, tmp_path, setups))
    german = text_of(note(program, tmp_path, setups, "--language", "de"))
    assert "low A loses 11 to 16 dB through the tuner" in english and "680 pF ±30 %, capacitive" in english, english
    assert "verliert 11 bis 16 dB über „tuner“" in german and "680 pF ±30 %, kapazitiv" in german, german


@pytest.mark.parametrize("venue", ["courtyard", "chapel", "barn", "harbour", "town hall"])
def test_a_stagehand_reads_what_to_give_first(program: Program, tmp_path: Path, venue: str) -> None:
    """In both languages on one page: what to give, larger than all else, then the crew's fields, lines for those that nobody filled in."""
    for language, title, fields in [
        ("en", "What to give", ["Phantom power", "Pad", "Polarity", "Stage-box line", "Feeds front of house", "Contact", "Remarks"]),
        ("de", "Bitte bereitstellen", ["Phantomspeisung", "Pad", "Polarität", "Kanal der Stagebox", "Zuständig", "Bemerkungen"]),
    ]:
        reader = note(program, tmp_path, PRESETS / "tour.toml", "--venue", venue, "--language", language)
        text = text_of(reader)
        places = [text.index(said) for said in [title, *fields, "680 pF ±30 %"]]
        assert places == sorted(places), text
        sizes: dict[float, str] = {}

        def seen(piece: str, _cm: list, tm: list, _font: object, size: float, sizes: dict = sizes) -> None:
            key = round(size * abs(tm[3]), 1)
            sizes[key] = sizes.get(key, "") + piece

        reader.pages[0].extract_text(visitor_text=seen)
        largest = " ".join(sizes[max(sizes)].split())
        assert largest and largest in text[places[0] : places[1]], sizes


def test_its_font_is_inside(program: Program, tmp_path: Path) -> None:
    """Embedded, as a subset: a name with a tag of six letters (ISO 32000-1, 9.6.4), and fewer bytes than the whole font."""
    [page] = note(program, tmp_path, PRESETS / "courtyard.toml").pages
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        [descendant] = font["/DescendantFonts"]
        tag, plus, _ = str(font["/BaseFont"]).lstrip("/").partition("+")
        assert plus and len(tag) == 6 and tag.isupper()
        file = descendant.get_object()["/FontDescriptor"]["/FontFile2"].get_data()
        assert 1_000 < len(file) < 60_000
