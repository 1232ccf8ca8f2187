//! What a session knows a take by, from file to file. Chunks are laid out here by their specifications: Multimedia Programming
//! Interface and Data Specifications 1.0 (`cue `, `LIST`), EBU Tech 3285 (`bext`), AIFF 1.3, RFC 9639 (all from memory).

use std::io::Cursor;

use firstjack_sound::{Container, Encoding, Format, Making, Metadata, Reading, Sink};
use tempfile::TempDir;

use crate::needs::has;
use crate::support::{Planes, made, opened, planes, read, rest, run};

pub const FORMAT: Format = Format { channels: 2, rate_hz: 48_000, encoding: Encoding::Int24 };

/// An hour after midnight at 48 kHz.
pub const HOUR: u64 = 172_800_000;

/// A chunk with its length in front, and a byte of padding if it is odd.
pub fn chunk(id: &[u8; 4], bytes: &[u8], big: bool) -> Vec<u8> {
    let length = u32::try_from(bytes.len()).unwrap();
    let length = if big { length.to_be_bytes() } else { length.to_le_bytes() };
    [id.as_slice(), &length, bytes, &[0][..bytes.len() % 2]].concat()
}

/// A file with chunks put before and behind the samples of another.
pub fn with_chunks(file: &[u8], before: &[Vec<u8>], behind: &[Vec<u8>]) -> Vec<u8> {
    let big = file.starts_with(b"FORM");
    let data: &[u8] = if big { b"SSND" } else { b"data" };
    let place = file.windows(4).position(|window| window == data).unwrap();
    let mut whole = [&file[..place], &before.concat(), &file[place..], &behind.concat()].concat();
    let length = u32::try_from(whole.len() - 8).unwrap();
    whole[4..8].copy_from_slice(&if big { length.to_be_bytes() } else { length.to_le_bytes() });
    whole
}

/// A FLAC file with blocks put behind its first one.
pub fn with_blocks(file: &[u8], blocks: &[(u8, Vec<u8>)]) -> Vec<u8> {
    let mut whole = file[..42].to_vec();
    for (kind, bytes) in blocks {
        let length = u32::try_from(bytes.len()).unwrap().to_be_bytes();
        whole.extend([&[*kind], &length[1..], bytes].concat());
    }
    whole.extend(&file[42..]);
    whole
}

/// The chunk of a place in time, and behind it a history that any program may write.
pub fn bext(frames: u64) -> Vec<u8> {
    let mut bext = vec![0; 602];
    bext[..7].copy_from_slice(b"rehears");
    bext[320..338].copy_from_slice(b"2026-11-2713:00:00");
    bext[338..346].copy_from_slice(&frames.to_le_bytes());
    bext[346] = 1;
    bext.extend(b"A=PCM,F=48000,W=24\r\n");
    bext
}

pub fn cue(frames: &[(u32, u32)]) -> Vec<u8> {
    let mut cue = u32::try_from(frames.len()).unwrap().to_le_bytes().to_vec();
    for (id, frame) in frames {
        cue.extend([*id, *frame].map(u32::to_le_bytes).concat());
        cue.extend(b"data\0\0\0\0\0\0\0\0");
        cue.extend(frame.to_le_bytes());
    }
    cue
}

pub fn labels(ids: &[(u32, &str)]) -> Vec<u8> {
    let label = |(id, text): &(u32, &str)| {
        chunk(b"labl", &[&id.to_le_bytes(), text.as_bytes(), &[0]].concat(), false)
    };
    [b"adtl".to_vec(), ids.iter().flat_map(label).collect()].concat()
}

pub fn smpl(loops: &[(u32, u32)]) -> Vec<u8> {
    let mut smpl =
        [1, 2, 20_833, 60, 0, 0, 0, u32::try_from(loops.len()).unwrap(), 4].map(u32::to_le_bytes).concat();
    for (start, end) in loops {
        smpl.extend([7, 0, *start, *end, 0, 0].map(u32::to_le_bytes).concat());
    }
    smpl.extend(b"rest");
    smpl
}

pub fn ixml(frames: u64) -> Vec<u8> {
    let (high, low) = (frames >> 32, frames & u64::from(u32::MAX));
    format!(
        "<?xml version=\"1.0\"?><BWFXML><SCENE>courtyard</SCENE><SPEED><TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>{high}\
         </TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI><TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>{low}\
         </TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO></SPEED></BWFXML>"
    )
    .into_bytes()
}

/// Marks of AIFF: a number, a place, a name.
pub fn marks(marks: &[(u16, u32, &str)]) -> Vec<u8> {
    let mut mark = u16::try_from(marks.len()).unwrap().to_be_bytes().to_vec();
    for (id, frame, name) in marks {
        mark.extend(id.to_be_bytes());
        mark.extend(frame.to_be_bytes());
        mark.push(u8::try_from(name.len()).unwrap());
        mark.extend(name.as_bytes());
        mark.extend(&[0][..(name.len() + 1) % 2]);
    }
    mark
}

/// An instrument of AIFF with a loop between two marks.
pub fn inst(begin: u16, end: u16) -> Vec<u8> {
    let mut inst = vec![60, 0, 0, 127, 1, 127, 0, 0];
    for number in [1, begin, end, 0, 0, 0] {
        inst.extend(number.to_be_bytes());
    }
    inst
}

fn comment(fields: &[&str]) -> Vec<u8> {
    let text =
        |text: &str| [u32::try_from(text.len()).unwrap().to_le_bytes().as_slice(), text.as_bytes()].concat();
    let fields_there = u32::try_from(fields.len()).unwrap().to_le_bytes().to_vec();
    [vec![text("somebody's encoder"), fields_there], fields.iter().map(|field| text(field)).collect()]
        .concat()
        .concat()
}

fn picture() -> Vec<u8> {
    let mut picture = [3, 9].map(u32::to_be_bytes).concat();
    picture.extend(b"image/png");
    picture.extend([0, 1, 1, 24, 0, 5].map(u32::to_be_bytes).concat());
    picture.extend(b"\x89PNG.");
    picture
}

fn all_of_wav() -> [Vec<Vec<u8>>; 2] {
    let before =
        [(b"bext", bext(HOUR)), (b"iXML", ixml(HOUR)), (b"xtra", vec![1, 2, 3]), (b"JUNK", vec![0; 9])];
    let behind = [
        (b"cue ", cue(&[(1, 5), (2, 30)])),
        (b"LIST", labels(&[(1, "verse"), (2, "end")])),
        (b"smpl", smpl(&[(10, 20)])),
        (b"inst", vec![60, 0, 0, 0, 127, 0, 127]),
        (b"LIST", [b"INFO".to_vec(), chunk(b"INAM", b"take 3\0", false)].concat()),
    ];
    [
        before.map(|(id, bytes)| chunk(id, &bytes, false)).to_vec(),
        behind.map(|(id, bytes)| chunk(id, &bytes, false)).to_vec(),
    ]
}

fn all_of_aiff() -> [Vec<Vec<u8>>; 2] {
    let before = [(b"NAME", b"take 3".to_vec()), (b"MARK", marks(&[(1, 5, "verse"), (2, 30, "end!")]))];
    let behind = [(b"INST", inst(1, 2)), (b"ANNO", b"odd".to_vec()), (b"(c) ", b"2026".to_vec())];
    [
        before.map(|(id, bytes)| chunk(id, &bytes, true)).to_vec(),
        behind.map(|(id, bytes)| chunk(id, &bytes, true)).to_vec(),
    ]
}

fn all_of_flac() -> Vec<(u8, Vec<u8>)> {
    vec![(4, comment(&["TITLE=take 3", "artist=nobody"])), (6, picture()), (2, b"testsome data".to_vec())]
}

/// A file with all that it may carry.
pub fn annotated(container: Container, format: Format, planes: &Planes) -> Vec<u8> {
    let file = made(container, format, planes, &Metadata::default());
    let [before, behind] = match container {
        Container::Wav => all_of_wav(),
        Container::Aiff => all_of_aiff(),
        Container::Flac => return with_blocks(&file, &all_of_flac()),
    };
    with_chunks(&file, &before, &behind)
}

/// Files whose chunks of every known name hold these bytes.
pub fn annotations(bytes: &[u8]) -> Vec<Vec<u8>> {
    let samples = planes(FORMAT.encoding, 2, 40, 1);
    let file = |container| made(container, FORMAT, &samples, &Metadata::default());
    let adtl = [b"adtl", bytes].concat();
    let names = [b"bext", b"cue ", b"smpl", b"iXML"].map(|id| chunk(id, bytes, false));
    let riff = [names.as_slice(), &[chunk(b"LIST", &adtl, false)]].concat();
    let aiff = [b"MARK", b"INST", b"COMT"].map(|id| chunk(id, bytes, true));
    let blocks = [2, 4, 5, 6].map(|kind| (kind, bytes.to_vec()));
    let foreign = [b"riffbext".as_slice(), b"aiffMARK"].map(|name| (2, [name, bytes].concat()));
    vec![
        with_chunks(&file(Container::Wav), &riff, &riff),
        with_chunks(&file(Container::Aiff), &aiff, &aiff),
        with_blocks(&file(Container::Flac), &blocks),
        with_blocks(&file(Container::Flac), &foreign),
    ]
}

/// What a rendering of a take is, and what is left behind.
fn rendered(take: &[u8], container: Container) -> (Vec<u8>, Vec<String>) {
    let mut source = opened(take, Reading::default()).unwrap();
    let samples = rest(&mut source).unwrap();
    let left = source.metadata().left_behind(container);
    (made(container, source.format(), &samples, source.metadata()), left)
}

/// The chunks of a file in order, as they lie in it, but for those about the samples.
fn chunks(file: &[u8]) -> Vec<Vec<u8>> {
    let big = file.starts_with(b"FORM");
    let mut all = Vec::new();
    let mut place = 12;
    while place < file.len() {
        let length = file[place + 4..place + 8].try_into().unwrap();
        let length = if big { u32::from_be_bytes(length) } else { u32::from_le_bytes(length) };
        let end = place + 8 + length as usize + length as usize % 2;
        if ![&b"fmt "[..], b"data", b"JUNK", b"COMM", b"SSND"].contains(&&file[place..place + 4]) {
            all.push(file[place..end].to_vec());
        }
        place = end;
    }
    all
}

/// The metadata blocks of a FLAC file but for the stream's, the seek table and the filling.
fn blocks(file: &[u8]) -> Vec<(u8, Vec<u8>)> {
    let mut all = Vec::new();
    let mut place = 4;
    loop {
        let kind = file[place];
        let length = u32::from_be_bytes([0, file[place + 1], file[place + 2], file[place + 3]]) as usize;
        if ![0, 1, 3].contains(&(kind & 0x7f)) {
            all.push((kind & 0x7f, file[place + 4..place + 4 + length].to_vec()));
        }
        if kind & 0x80 != 0 {
            return all;
        }
        place += 4 + length;
    }
}

fn samples() -> Planes {
    planes(FORMAT.encoding, 2, 41, 1)
}

#[test]
fn stays_byte_by_byte() {
    for (container, parts) in [(Container::Wav, all_of_wav()), (Container::Aiff, all_of_aiff())] {
        let take = annotated(container, FORMAT, &samples());
        let (out, left) = rendered(&take, container);
        let mut wanted = parts.concat();
        wanted.retain(|chunk| !chunk.starts_with(b"JUNK"));
        assert!(chunks(&out) == wanted, "{container:?}");
        assert!(left.is_empty(), "{left:?}");
        assert!(read(&out).1 == samples());
        // Once more, from the rendering.
        assert!(rendered(&out, container).0 == out);
    }
    let take = annotated(Container::Flac, FORMAT, &samples());
    let (out, left) = rendered(&take, Container::Flac);
    let (mut is, mut wanted) = (blocks(&out), all_of_flac());
    is.sort();
    wanted.sort();
    assert!(is == wanted && left.is_empty(), "{is:?}");
}

/// Into FLAC and back, nothing is lost: its place in time above all.
#[test]
fn through_flac_and_back() {
    for container in [Container::Wav, Container::Aiff] {
        let take = annotated(container, FORMAT, &samples());
        let (flac, left) = rendered(&take, Container::Flac);
        assert!(left.is_empty(), "{left:?}");
        let (back, left) = rendered(&flac, container);
        assert!(left.is_empty(), "{left:?}");
        assert!(back == rendered(&take, container).0, "{container:?}");
    }
}

/// The reference encoder's own option for such chunks, in both directions.
#[test]
fn chunks_in_flac_as_the_reference_keeps_them() {
    if !has("flac") {
        return;
    }
    let folder = TempDir::new().unwrap();
    for (container, file) in [(Container::Wav, "take.wav"), (Container::Aiff, "take.aiff")] {
        let take = rendered(&annotated(container, FORMAT, &samples()), container).0;
        std::fs::write(folder.path().join(file), &take).unwrap();
        let keep = ["--silent", "--force", "--keep-foreign-metadata"];
        // Theirs is read.
        run(folder.path(), "flac", &[keep.as_slice(), &["-o", "theirs.flac", file]].concat());
        let theirs = std::fs::read(folder.path().join("theirs.flac")).unwrap();
        assert!(rendered(&theirs, container).0 == take, "{file}");
        // Ours is read by them.
        std::fs::write(folder.path().join("ours.flac"), rendered(&take, Container::Flac).0).unwrap();
        let back = format!("back-{file}");
        run(folder.path(), "flac", &[keep.as_slice(), &["--decode", "-o", &back, "ours.flac"]].concat());
        assert!(std::fs::read(folder.path().join(back)).unwrap() == take, "{file}");
    }
}

/// What has no place is told by its name, once.
#[test]
fn what_is_left_behind_is_told() {
    let left = |from, to| rendered(&annotated(from, FORMAT, &samples()), to).1;
    assert_eq!(
        left(Container::Wav, Container::Aiff),
        ["bext", "iXML", "xtra", "cue", "LIST", "smpl", "inst"]
    );
    assert_eq!(left(Container::Aiff, Container::Wav), ["NAME", "MARK", "INST", "ANNO", "(c)"]);
    assert_eq!(left(Container::Flac, Container::Wav), ["tags", "picture", "application data"]);
    // A tag that is no text cannot be written again; the take can be read.
    let flac = made(Container::Flac, FORMAT, &samples(), &Metadata::default());
    let broken = with_blocks(&flac, &[(4, vec![0xff; 8]), (6, picture())]);
    assert_eq!(rendered(&broken, Container::Flac).1, ["tags"]);
    assert!(read(&broken).1 == samples());
}

/// A file with two icons of a kind, which breaks RFC 9639 (section 8.8), can be rendered all the same: the first stays. Found by fuzzing.
#[test]
fn a_second_icon_is_left_behind() {
    let format = Format { channels: 1, rate_hz: 44_100, encoding: Encoding::Int16 };
    let icon = |kind: u8| (6, [&[0, 0, 0, kind], &picture()[4..]].concat());
    let file = made(Container::Flac, format, &planes(Encoding::Int16, 1, 5_000, 1), &Metadata::default());
    let take = with_blocks(&file, &[icon(2), icon(1), icon(2), (6, picture()), (6, picture())]);
    let (file, left) = rendered(&take, Container::Flac);
    assert_eq!(left, ["picture"]);
    let pictures: Vec<_> = blocks(&file).into_iter().filter(|(kind, _)| *kind == 6).collect();
    assert_eq!(pictures, [icon(2), icon(1), (6, picture()), (6, picture())]);
}

#[test]
fn too_much_is_told() {
    let wav = made(Container::Wav, FORMAT, &samples(), &Metadata::default());
    let large =
        with_chunks(&wav, &[chunk(b"larg", &vec![1; 17 << 20], false)], &[chunk(b"bext", &bext(1), false)]);
    let (out, left) = rendered(&large, Container::Wav);
    assert_eq!(left, ["larg"]);
    assert!(chunks(&out) == [chunk(b"bext", &bext(1), false)]);
}

/// Plain stays plain and extensible stays extensible, with its loudspeakers, whatever the samples become.
#[test]
fn headers_stay_as_they_are() {
    let plain_of = |encoding: Encoding| {
        let mut file = made(Container::Wav, Format { encoding, ..FORMAT }, &samples(), &Metadata::default());
        let float = encoding.is_float();
        file.splice(20..20 + usize::from(file[16]), header(if float { 3 } else { 1 }, encoding));
        file[16] = 16;
        let length = u32::try_from(file.len() - 8).unwrap().to_le_bytes();
        file[4..8].copy_from_slice(&length);
        file
    };
    for from in [Encoding::Int16, Encoding::Int24, Encoding::Int32, Encoding::Float32, Encoding::Int64] {
        let take = plain_of(from);
        for to in Encoding::ALL {
            let source = opened(&take, Reading::default()).unwrap();
            assert_eq!(source.format().encoding, from);
            let format = Format { encoding: to, ..FORMAT };
            let out = made(Container::Wav, format, &vec![vec![0.0; 9]; 2], source.metadata());
            let tag = if to.is_float() { 3 } else { 1 };
            assert_eq!(out[20..36], header(tag, to), "{from} to {to}");
            assert_eq!(out[16], if to.is_float() { 18 } else { 16 });
            // Seven of eight loudspeakers: more than channels are none; the two front ones stay.
            for (mask, kept) in [(0x3_u32, 0x3_u32), (0x7f, 0)] {
                let mut extensible = take.clone();
                let code = [extensible[20], extensible[21]];
                let bits = from.bits().to_le_bytes();
                let guid = [0, 0, 0, 0, 16, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];
                let rest = [&22_u16.to_le_bytes(), &bits[..], &mask.to_le_bytes(), &code, &guid].concat();
                extensible.splice(36..36, rest);
                extensible[16] = 40;
                extensible[20..22].copy_from_slice(&[0xfe, 0xff]);
                let source = opened(&extensible, Reading::default()).unwrap();
                assert_eq!(source.format().encoding, from);
                let out = made(Container::Wav, format, &vec![vec![0.0; 9]; 2], source.metadata());
                assert_eq!((out[16], &out[20..36]), (40, header(0xfffe, to).as_slice()));
                assert_eq!(out[36..40], [22, 0, to.bits().to_le_bytes()[0], 0]);
                assert_eq!((&out[40..44], out[44]), (kept.to_le_bytes().as_slice(), tag.to_le_bytes()[0]));
            }
        }
    }
}

/// The first 16 bytes of a format chunk of two channels at 48 kHz.
fn header(tag: u16, encoding: Encoding) -> Vec<u8> {
    let block = 2 * encoding.bits() / 8;
    let [a, b] = [48_000_u32, 48_000 * u32::from(block)].map(u32::to_le_bytes);
    let shorts = [block, encoding.bits()].map(u16::to_le_bytes).concat();
    [&tag.to_le_bytes()[..], &2_u16.to_le_bytes(), &a, &b, &shorts].concat()
}

/// A tag that `metaflac` writes is there in a rendering that it reads.
#[test]
fn tags_by_metaflac() {
    if !has("metaflac") {
        return;
    }
    let folder = TempDir::new().unwrap();
    std::fs::write(
        folder.path().join("a.flac"),
        made(Container::Flac, FORMAT, &samples(), &Metadata::default()),
    )
    .unwrap();
    run(folder.path(), "metaflac", &["--set-tag=TITLE=guitarrón, take 3", "a.flac"]);
    let (out, _) = rendered(&std::fs::read(folder.path().join("a.flac")).unwrap(), Container::Flac);
    std::fs::write(folder.path().join("b.flac"), out).unwrap();
    let said = run(folder.path(), "metaflac", &["--export-tags-to=-", "b.flac"]);
    assert_eq!(String::from_utf8(said).unwrap(), "TITLE=guitarrón, take 3\n");
    run(folder.path(), "flac", &["--silent", "--test", "--warnings-as-errors", "b.flac"]);
}

/// ffmpeg reads the place in time of a rendering.
#[test]
fn the_time_reference_by_ffprobe() {
    if !has("ffprobe") {
        return;
    }
    let folder = TempDir::new().unwrap();
    let (out, _) = rendered(&annotated(Container::Wav, FORMAT, &samples()), Container::Wav);
    std::fs::write(folder.path().join("a.wav"), out).unwrap();
    let shown = ["-v", "error", "-show_entries", "format_tags=time_reference", "-of", "csv=p=0", "a.wav"];
    assert_eq!(String::from_utf8(run(folder.path(), "ffprobe", &shown)).unwrap().trim(), HOUR.to_string());
}

/// Nothing but what the standards ask for where the take had nothing.
#[test]
fn nothing_comes_of_nothing() {
    let metadata = Metadata::default();
    let making =
        |container| Making { container, format: FORMAT, frames: 0, metadata: &metadata, exact: true };
    for container in [Container::Wav, Container::Aiff] {
        let sink = Sink::new(Cursor::new(Vec::new()), making(container)).unwrap();
        assert!(chunks(&sink.finish().unwrap().into_inner()).is_empty());
    }
}
