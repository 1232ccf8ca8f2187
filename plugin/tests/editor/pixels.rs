//! A picture as its pixels, and as a PNG file.

use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::path::Path;

/// Red, green and blue.
pub type Colour = [u8; 3];

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    width: u32,
    colours: Vec<Colour>,
}

impl Pixels {
    /// Rows from the top, each from the left.
    pub fn new(width: u32, colours: Vec<Colour>) -> Self {
        assert_eq!(colours.len().checked_rem(width as usize).unwrap_or(0), 0, "rows are whole");
        Self { width, colours }
    }

    /// Width and height.
    pub fn size(&self) -> (u32, u32) {
        let height = self.colours.len().checked_div(self.width as usize).unwrap_or(0);
        (self.width, u32::try_from(height).unwrap())
    }

    pub fn colours(&self) -> &[Colour] {
        &self.colours
    }

    pub fn get(&self, x: u32, y: u32) -> Option<Colour> {
        let at = || self.colours.get((y * self.width + x) as usize).copied();
        (x < self.width).then(at).flatten()
    }

    /// Column, row and colour of each.
    pub fn each(&self) -> impl Iterator<Item = (u32, u32, Colour)> {
        let (width, height) = self.size();
        let places = (0..height).flat_map(move |y| (0..width).map(move |x| (x, y)));
        places.zip(&self.colours).map(|((x, y), colour)| (x, y, *colour))
    }

    pub fn set(&mut self, x: u32, y: u32, colour: Colour) {
        self.colours[(y * self.width + x) as usize] = colour;
    }

    /// Changes every channel.
    pub fn map(mut self, mut change: impl FnMut(u8) -> u8) -> Self {
        self.colours.iter_mut().flatten().for_each(|channel| *channel = change(*channel));
        self
    }

    /// What is in a file that [`Pixels::write`] has written; nothing where there is none.
    pub fn read(path: &Path) -> Option<Self> {
        let mut reader = png::Decoder::new(BufReader::new(File::open(path).ok()?)).read_info().unwrap();
        let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut bytes).unwrap();
        assert_eq!((info.color_type, info.bit_depth), (png::ColorType::Rgb, png::BitDepth::Eight));
        Some(Self::new(info.width, bytes.as_chunks().0.to_vec()))
    }

    /// Small for what is kept, quickly for what is only looked at.
    pub fn write(&self, path: &Path, how: png::Compression) {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        let (width, height) = self.size();
        let mut encoder = png::Encoder::new(BufWriter::new(File::create(path).unwrap()), width, height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_compression(how);
        encoder.set_filter(png::Filter::NoFilter);
        encoder.write_header().unwrap().write_image_data(self.colours.as_flattened()).unwrap();
    }
}
