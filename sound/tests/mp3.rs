//! MP3, for hearing.

#![cfg(feature = "mp3")]

use firstjack_sound::{Kind, Reading};

use crate::support::{opened, rest};

/// Made and measured by ffmpeg 5.1 (`-f lavfi -i sine=frequency=441:sample_rate=44100:duration=1 -af volume=4dB -c:a
/// libmp3lame -b:a 32k -ac 1`): its own decoder gives 44100 frames, and 0.18816 as the amplitude of 441 Hz in frames
/// 11000 to 33000.
const MP3: &[u8] = include_bytes!("fixtures/sine.mp3");

const HEARD: Reading = Reading { salvage: false, audition: true };

fn amplitude(sound: &[f64]) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (frame, value) in (11_000..33_000_u32).zip(&sound[11_000..33_000]) {
        let (sin, cos) = (std::f64::consts::TAU * 441.0 / 44_100.0 * f64::from(frame)).sin_cos();
        re += value * cos;
        im += value * sin;
    }
    f64::hypot(re, im) / 11_000.0
}

#[test]
fn is_read_without_padding() {
    let mut source = opened(MP3, HEARD).unwrap();
    let format = source.format();
    assert_eq!((source.kind(), format.rate_hz, format.channels), (Kind::Mp3, 44_100, 1));
    assert_eq!(source.frames(), 44_100);
    let whole = rest(&mut source).unwrap();
    let amplitude = amplitude(&whole[0]);
    assert!((amplitude - 0.188_16).abs() < 1e-4, "{amplitude}");
    source.cut(20_000, 3_000);
    source.rewind().unwrap();
    assert!(rest(&mut source).unwrap()[0] == whole[0][20_000..23_000]);
}

#[test]
fn is_refused_where_it_would_be_rendered() {
    let refused = opened(MP3, Reading::default()).err().unwrap().to_string();
    assert!(refused.contains("it can be opened and heard, but not rendered"), "{refused}");
}

#[test]
fn cut_short() {
    let refused = opened(&MP3[..3_000], HEARD).err().unwrap().to_string();
    assert!(refused.contains("truncated or damaged: its header promises 44100 frames"), "{refused}");
    let mut source = opened(&MP3[..3_000], Reading { salvage: true, ..HEARD }).unwrap();
    let frames = rest(&mut source).unwrap()[0].len();
    assert!(source.is_truncated() && (20_000..44_100).contains(&frames), "{frames}");
}
