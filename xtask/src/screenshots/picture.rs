use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use anyhow::{Context, Result, ensure};

/// A picture from a PNG file.
pub struct Picture {
    /// Width and height in pixels.
    pub size: (u32, u32),
    /// Red, green, blue and opacity of each pixel, in rows from the top.
    pub rgba: Vec<u8>,
}

impl Picture {
    pub fn open(path: &Path) -> Result<Self> {
        let mut decoder = png::Decoder::new(BufReader::new(File::open(path)?));
        decoder
            .set_transformations(png::Transformations::normalize_to_color8() | png::Transformations::ALPHA);
        let mut reader = decoder.read_info()?;
        let mut rgba = vec![0; reader.output_buffer_size().context("too large a picture")?];
        let info = reader.next_frame(&mut rgba)?;
        ensure!(info.color_type == png::ColorType::Rgba, "it is a picture in shades of grey");
        Ok(Self { size: (info.width, info.height), rgba })
    }

    /// Red, green and blue of the pixels from a corner on.
    pub fn part(&self, (left, top): (u32, u32), (width, height): (u32, u32)) -> Vec<[u8; 3]> {
        let rows = self.rgba.chunks_exact(4 * self.size.0 as usize).skip(top as usize).take(height as usize);
        let pixels = rows.flat_map(|row| row.chunks_exact(4).skip(left as usize).take(width as usize));
        pixels.map(|pixel| [pixel[0], pixel[1], pixel[2]]).collect()
    }
}
