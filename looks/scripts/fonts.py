"""Makes fonts/*.ttf of Inter 4.1, the file variable/InterVariable.woff2 of the npm package inter-ui 4.1.1 (OFL 1.1).

    pip install fonttools==4.68.0 brotli==1.2.1
    npm pack inter-ui@4.1.1 && tar xzf inter-ui-4.1.1.tgz
    python scripts/fonts.py package/variable/InterVariable.woff2 fonts

Of each weight what names, figures and units are written with. Readers of the fonts differ in which OpenType tables they heed, and texts must have the
same widths in all: figures of equal width (`tnum`) are put in place of the usual ones, and kerning stands in a `kern` table, which all of them read.
The licence reserves no name, but what was changed shall not pass for the original, so the family has a name of its own.
"""

import hashlib
import sys
from pathlib import Path

from fontTools import subset
from fontTools.misc.transform import Identity
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.tables._k_e_r_n import KernTable_format_0
from fontTools.varLib import instancer

SOURCE = "693b77d4f32ee9b8bfc995589b5fad5e99adf2832738661f5402f9978429a8e3"
FAMILY = "Firstjack Sans"
WEIGHTS = {"Regular": 400, "SemiBold": 600}
# The optical size for text.
OPTICAL_SIZE = 14

RANGES = [
    (0x20, 0x7E),
    (0xA0, 0x24F),  # Latin-1, Latin Extended-A and -B
    (0x386, 0x3CE),  # Greek
    (0x400, 0x4F9),  # Cyrillic
    (0x1E00, 0x1EFF),  # Latin Extended Additional
    (0x2007, 0x2007),  # spaces: of a figure's width, thin, narrow
    (0x2009, 0x2009),
    (0x202F, 0x202F),
    (0x2010, 0x2015),  # hyphens and dashes
]
SINGLE = "‘’‚‛“”„‟†‡•…‰′″‹›⁰⁴⁵⁶⁷⁸⁹⁻⁺€№™Ω←↑→↓↔↕⌃⌥⌘⇧⏎∂∆∏∑−√∞∫≈≠≤≥■□▲△▶▷▼▽◀◁●○✓✗⚠"
# Figures and what stands before them.
TABULAR = "0123456789+−±"
# What the source lacks, as a part of another character's size, around its middle.
SMALLER = {"▴": ("▲", 0.62), "▸": ("▶", 0.62), "▾": ("▼", 0.62), "◂": ("◀", 0.62)}
# Pairs of these are kerned; of figures none, so that columns of them stand.
KERNED = [chr(code) for code in range(0x20, 0x7F) if chr(code) not in TABULAR] + list("ÄÖÜäöüß‘’“”„–—…")


def make(source: Path, style: str, weight: int, target: Path) -> None:
    font = TTFont(source, recalcTimestamp=False)
    font.flavor = None
    font = instancer.instantiateVariableFont(font, {"opsz": OPTICAL_SIZE, "wght": weight})
    put_tabular(font)
    put_smaller(font)
    pairs = kerning(font)
    cut_down(font)
    put_kerning(font, pairs)
    rename(font, style, weight)
    font.save(target)


def put_tabular(font: TTFont) -> None:
    glyphs = font.getBestCmap()
    tabular = single_substitutions(font, "tnum")
    new = {ord(c): tabular[glyphs[ord(c)]] for c in TABULAR}
    assert len({font["hmtx"][glyph][0] for glyph in new.values()}) == 1
    for table in font["cmap"].tables:
        table.cmap.update({code: glyph for code, glyph in new.items() if code in table.cmap})


def single_substitutions(font: TTFont, tag: str) -> dict[str, str]:
    table = font["GSUB"].table
    lookups = {i for record in table.FeatureList.FeatureRecord if record.FeatureTag == tag for i in record.Feature.LookupListIndex}
    found = {}
    for index in lookups:
        for part in table.LookupList.Lookup[index].SubTable:
            found.update(getattr(part, "ExtSubTable", part).mapping)
    return found


def put_smaller(font: TTFont) -> None:
    glyphs, shapes, metrics = font.getBestCmap(), font.getGlyphSet(), font["hmtx"]
    for character, (original, scale) in SMALLER.items():
        name = glyphs[ord(original)]
        outline = DecomposingRecordingPen(shapes)
        shapes[name].draw(outline)
        box = font["glyf"][name]
        middle = (box.yMin + box.yMax) / 2
        pen = TTGlyphPen(None)
        outline.replay(TransformPen(pen, Identity.translate(0, middle * (1 - scale)).scale(scale)))
        new = f"uni{ord(character):04X}"
        font["glyf"][new] = pen.glyph()
        font["glyf"][new].recalcBounds(font["glyf"])
        metrics[new] = (round(metrics[name][0] * scale), font["glyf"][new].xMin)
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[ord(character)] = new
    font.setGlyphOrder(font.getGlyphOrder())


def kerning(font: TTFont) -> dict[tuple[str, str], int]:
    """Of GPOS, pair by pair: the first subtable that covers a pair decides (OpenType, GPOS lookup type 2)."""
    glyphs = font.getBestCmap()
    kerned = {glyphs[ord(c)] for c in KERNED}
    table = font["GPOS"].table
    lookups = sorted({i for record in table.FeatureList.FeatureRecord if record.FeatureTag == "kern" for i in record.Feature.LookupListIndex})
    pairs: dict[tuple[str, str], int] = {}
    for index in lookups:
        decided: dict[tuple[str, str], int] = {}
        for part in table.LookupList.Lookup[index].SubTable:
            for pair, value in advances(getattr(part, "ExtSubTable", part), kerned):
                decided.setdefault(pair, value)
        for pair, value in decided.items():
            pairs[pair] = pairs.get(pair, 0) + value
    return {pair: value for pair, value in pairs.items() if value}


def advances(part, kerned: set[str]):
    for index, first in enumerate(part.Coverage.glyphs):
        if first not in kerned:
            continue
        if part.Format == 1:
            for record in part.PairSet[index].PairValueRecord:
                if record.SecondGlyph in kerned:
                    yield (first, record.SecondGlyph), advance(record.Value1)
        else:
            seconds = part.Class1Record[part.ClassDef1.classDefs.get(first, 0)].Class2Record
            for second in kerned:
                value = seconds[part.ClassDef2.classDefs.get(second, 0)].Value1
                yield (first, second), advance(value)


def advance(value) -> int:
    return getattr(value, "XAdvance", 0) if value else 0


def cut_down(font: TTFont) -> None:
    options = subset.Options(layout_features=[], hinting=False, name_IDs=["*"], notdef_outline=True, glyph_names=False, recalc_timestamp=False)
    options.drop_tables += ["GPOS", "GSUB", "GDEF", "STAT", "MVAR"]
    subsetter = subset.Subsetter(options)
    codes = [code for first, last in RANGES for code in range(first, last + 1)]
    subsetter.populate(unicodes=codes + [ord(c) for c in SINGLE] + [ord(c) for c in SMALLER])
    subsetter.subset(font)


def put_kerning(font: TTFont, pairs: dict[tuple[str, str], int]) -> None:
    table = KernTable_format_0()
    table.version, table.apple, table.coverage, table.tupleIndex = 0, False, 1, None
    table.kernTable = pairs
    font["kern"] = newTable("kern")
    font["kern"].version, font["kern"].kernTables = 0, [table]


def rename(font: TTFont, style: str, weight: int) -> None:
    names = font["name"]
    copyright = names.getDebugName(0)
    licence, licence_url = names.getDebugName(13), names.getDebugName(14)
    names.names = []
    plain = f"FirstjackSans-{style}"
    texts = {
        0: copyright,
        1: FAMILY if weight == 400 else f"{FAMILY} {style}",
        2: "Regular",
        3: f"4.1;{plain}",
        4: f"{FAMILY} {style}",
        5: "Version 4.1",
        6: plain,
        10: "Inter 4.1, cut down, with figures of equal width in place of the usual ones.",
        13: licence,
        14: licence_url,
        16: FAMILY,
        17: style,
    }
    for number, text in texts.items():
        names.setName(text, number, 3, 1, 0x409)
    font["OS/2"].usWeightClass = weight


def main() -> None:
    source, folder = Path(sys.argv[1]), Path(sys.argv[2])
    found = hashlib.sha256(source.read_bytes()).hexdigest()
    if found != SOURCE:
        sys.exit(f"{source}: not the file that the fonts were made of: SHA-256 {found}")
    for style, weight in WEIGHTS.items():
        target = folder / f"FirstjackSans-{style}.ttf"
        make(source, style, weight, target)
        print(f"{target}: {target.stat().st_size} bytes")


main()
