use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

use anyhow::Result;
use color_quant::NeuQuant;

use super::picture::Picture;

/// Of a palette.
const COLOURS: usize = 256;
/// Every pixel is looked at.
const THOROUGH: i32 = 1;

/// Writes a picture again with a palette of its own colours, at about a third of the size.
pub fn reduce(picture: &Path, to: &Path) -> Result<()> {
    let picture = Picture::open(picture)?;
    let colours = NeuQuant::new(THOROUGH, COLOURS, &picture.rgba);
    let pixels: Vec<u8> = picture.rgba.chunks_exact(4).map(|pixel| narrow(colours.index_of(pixel))).collect();
    let mut encoder = png::Encoder::new(BufWriter::new(File::create(to)?), picture.size.0, picture.size.1);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(colours.color_map_rgb());
    encoder.set_compression(png::Compression::High);
    // Neighbours in a palette have nothing in common.
    encoder.set_filter(png::Filter::NoFilter);
    Ok(encoder.write_header()?.write_image_data(&pixels)?)
}

#[expect(clippy::cast_possible_truncation, reason = "there are 256 colours")]
fn narrow(index: usize) -> u8 {
    index as u8
}
