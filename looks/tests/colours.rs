//! Whether colours can be told from their ground, and from one another.

use firstjack_looks::sight::{Eye, LEAST_APART, LEAST_OF_GRAPHICS, LEAST_OF_INK, LEAST_OF_TEXT};
use firstjack_looks::{Colour, DARK, LIGHT, Theme, contrast};

const THEMES: [Theme; 2] = [LIGHT, DARK];

/// What text stands on that is not the accent itself.
fn grounds(theme: &Theme) -> [Colour; 6] {
    [theme.background, theme.surface, theme.track, theme.wash, theme.warning_wash, theme.area]
}

#[track_caller]
fn assert_contrast(what: &str, colour: Colour, grounds: &[Colour], least: f64) {
    for ground in grounds {
        let ratio = contrast(colour, *ground);
        assert!(ratio >= least, "{what}, {colour} on {ground}: {ratio:.2}");
    }
}

/// Published pairs: black on white is 21, and #767676 is the lightest grey that passes on white.
#[test]
fn contrast_is_that_of_the_standard() {
    let (black, white) = (Colour::new(0), Colour::new(0xff_ffff));
    assert!((contrast(black, white) - 21.0).abs() < 1e-9 && (contrast(white, white) - 1.0).abs() < 1e-9);
    assert!((contrast(Colour::new(0x76_7676), white) - 4.54).abs() < 0.005);
    assert!(contrast(Colour::new(0x77_7777), white) < LEAST_OF_TEXT);
}

/// CIE L*a*b* of the sRGB primaries for D65, from memory: L* of red 53.24, of green 87.73, of blue 32.30; red's a* 80.09 and b* 67.20.
#[test]
fn distances_are_those_of_the_standard() {
    let black = Colour::new(0);
    let distance = |colour| Eye::Usual.distance(Colour::new(colour), black);
    assert!((distance(0xff_0000) - 53.24_f64.hypot(80.09).hypot(67.20)).abs() < 0.05);
    assert!((distance(0xff_ffff) - 100.0).abs() < 1e-9);
    // Red and green of one lightness are what these two lack.
    let apart = |eye: Eye| eye.distance(Colour::new(0xa0_5000), Colour::new(0x5a_6e00));
    assert!(apart(Eye::Deuteranopic) < 0.4 * apart(Eye::Usual));
}

#[test]
fn every_text_stands_off_its_ground() {
    for theme in THEMES {
        let grounds = grounds(&theme);
        assert_contrast("ink", theme.ink, &grounds, LEAST_OF_INK);
        assert_contrast("quiet ink", theme.quiet, &grounds, LEAST_OF_TEXT);
        assert_contrast("accent", theme.accent, &grounds, LEAST_OF_TEXT);
        assert_contrast("warning", theme.warning, &grounds, LEAST_OF_TEXT);
        assert_contrast("on accent", theme.on_accent, &[theme.accent], LEAST_OF_TEXT);
    }
}

#[test]
fn every_line_stands_off_its_ground() {
    for theme in THEMES {
        let grounds = grounds(&theme);
        assert_contrast("outline", theme.outline, &grounds[..3], LEAST_OF_GRAPHICS);
        assert_contrast("bar", theme.bar, &[theme.track], LEAST_OF_GRAPHICS);
        assert_contrast("meter", theme.accent, &[theme.track], LEAST_OF_GRAPHICS);
        let behind_curves = [theme.surface, theme.area, theme.grid];
        assert_contrast("heard curve", theme.accent, &behind_curves, LEAST_OF_TEXT);
        assert_contrast("quiet curve", theme.quiet_curve, &behind_curves[..2], LEAST_OF_GRAPHICS);
        for curve in theme.curves {
            assert_contrast("curve", curve, &[theme.background, theme.surface], LEAST_OF_TEXT);
            assert_contrast("curve", curve, &[theme.wash, theme.area, theme.grid], LEAST_OF_GRAPHICS);
        }
    }
}

/// Never as heavy as a curve.
#[test]
fn grids_are_behind() {
    for theme in THEMES {
        for ground in [theme.surface, theme.area] {
            assert!(contrast(theme.grid, ground) < 1.5 && theme.grid != ground);
        }
    }
}

/// Not by dashes alone: by the colour, too, whichever cones an eye has.
#[test]
fn curves_are_told_apart_by_every_eye() {
    for theme in THEMES {
        for (index, one) in theme.curves.into_iter().enumerate() {
            for other in &theme.curves[..index] {
                for eye in Eye::ALL {
                    let apart = eye.distance(one, *other);
                    assert!(apart >= LEAST_APART, "{one} and {other}, {eye:?}: {apart:.1}");
                }
            }
        }
    }
}

/// Of what stands beside each other and means something else.
#[test]
fn a_warning_and_what_is_heard_are_told_apart_by_every_eye() {
    for theme in THEMES {
        let pairs = [
            (theme.warning, theme.accent),
            (theme.warning, theme.ink),
            (theme.warning, theme.quiet),
            (theme.accent, theme.quiet_curve),
        ];
        for (one, other) in pairs {
            for eye in Eye::ALL {
                let apart = eye.distance(one, other);
                assert!(apart >= LEAST_APART, "{one} and {other}, {eye:?}: {apart:.1}");
            }
        }
    }
}
