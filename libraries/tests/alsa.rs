//! Functions of ALSA are called where its library has them, though nothing is linked with it.
#![cfg(all(target_os = "linux", target_arch = "x86_64"))]

use std::ffi::c_int;

unsafe extern "C" {
    fn snd_pcm_format_physical_width(format: c_int) -> c_int;
}

/// As `SND_PCM_FORMAT_S16_LE` and `SND_PCM_FORMAT_S24_LE` are numbered in the library's header: 16 bits, and 24 in 32.
#[test]
fn a_function_is_called_where_the_library_has_it() {
    firstjack_libraries::alsa().expect("ALSA is there");
    for (format, bits) in [(2, 16), (6, 32)] {
        // SAFETY: it takes any number.
        assert_eq!(unsafe { snd_pcm_format_physical_width(format) }, bits);
    }
}
