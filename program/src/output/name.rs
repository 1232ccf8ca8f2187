//! Names of files that follow from names of takes and setups.

/// The most bytes that the usual file systems take for a name (ext4, APFS, NTFS in UTF-16 units; from memory).
const MOST_BYTES: usize = 255;

/// As much of the take's name as leaves room for a setup's.
const MOST_STEM_BYTES: usize = 160;

/// `stem-03-passive-box.wav`, the third of twelve. What does not fit into a name of a file is cut at the end of a character; the number keeps
/// names of one set apart.
pub fn numbered(stem: &str, number: usize, of: usize, name: &str, extension: &str) -> String {
    let digits = (of.max(1) - 1).to_string().len();
    let start = format!("{}-{number:0digits$}", shortened(stem, MOST_STEM_BYTES));
    let words: Vec<&str> =
        name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let name = words.join("-");
    let room = MOST_BYTES - start.len() - extension.len() - "-.".len();
    match shortened(&name, room).trim_end_matches('-') {
        "" => format!("{start}.{extension}"),
        name => format!("{start}-{name}.{extension}"),
    }
}

/// The beginning of a text that has at most so many bytes.
fn shortened(text: &str, bytes: usize) -> &str {
    &text[..text.floor_char_boundary(bytes)]
}
