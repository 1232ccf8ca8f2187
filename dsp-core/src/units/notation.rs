//! Reading and writing a decimal number with a prefix, without ever rounding twice: a text becomes one
//! decimal literal (`4k7`, `4.7k` and `4700` all become 4.7e3 before the one conversion to binary), so
//! every spelling of a value gives the same bits.

use std::borrow::Cow;
use std::fmt::Write as _;

use arrayvec::ArrayString;

use super::{Problem, Tolerance, with_point};

/// A unit's spellings: its prefixes as (letter, power of ten) and its names.
pub(super) struct Unit {
    pub prefixes: &'static [(&'static str, i32)],
    pub names: &'static [&'static str],
    /// Letters that may stand in place of the decimal point (IEC 60062), with their power of ten.
    pub code_letters: &'static [(char, i32)],
    /// Whether a bare number means the unit without prefix.
    pub bare: bool,
    /// Whether a prefix alone means the unit with it: `470k`.
    pub prefix_alone: bool,
    /// Below this value the tolerance letters of IEC 60062 are not per cent.
    pub letters_from: f64,
    /// Prefix and unit as written by us, largest first: (power of ten, text).
    pub written: &'static [(i32, &'static str)],
}

/// Reads a value and its tolerance: behind `±`, as a letter behind a code, or as two ends with `to` between them. What can be read without a
/// tolerance has none.
pub(super) fn read(text: &str, unit: &Unit) -> Result<(f64, Tolerance), Problem> {
    if let Some((low, high)) = split_range(text) {
        return Tolerance::between(read_value(&with_unit_of(low, high)?, unit)?, read_value(high, unit)?);
    }
    if let Some((value, tolerance)) = Tolerance::split(text) {
        return Ok((read_value(value, unit)?, Tolerance::read(tolerance)?));
    }
    read_value(text, unit)
        .map(|value| (value, Tolerance::NONE))
        .or_else(|problem| read_lettered(text.trim(), unit).unwrap_or(Err(problem)))
}

/// The two ends of a range: `470p to 4.7n`.
pub(super) fn split_range(text: &str) -> Option<(&str, &str)> {
    text.split_once(" to ")
}

/// The lower end of a range, of which only the upper one may have the unit: `10 to 20 nF`.
fn with_unit_of<'a>(low: &'a str, high: &str) -> Result<Cow<'a, str>, Problem> {
    let (low, unit) = (low.trim(), split_number(high.trim()).2);
    if !split_number(low).2.is_empty() {
        return Ok(Cow::Borrowed(low));
    }
    // The letter of a code is a decimal point too.
    let is_coded = unit.contains(|c: char| c.is_ascii_digit());
    if is_coded { Err(Problem::UnitMissing) } else { Ok(Cow::Owned(format!("{low}{unit}"))) }
}

/// Without the last digits, which reckoning has left. Real-time safe, since parameters turn values that have ends.
pub(crate) fn nine_digits(value: f64) -> f64 {
    let mut text = ArrayString::<32>::new();
    let written = write!(text, "{value:.8e}");
    written.ok().and_then(|()| text.parse().ok()).unwrap_or(value)
}

/// A code with a tolerance letter right behind it (`4k7K`, `1MM`); `None` if it is none.
fn read_lettered(text: &str, unit: &Unit) -> Option<Result<(f64, Tolerance), Problem>> {
    let letter = text.chars().last()?;
    let code = &text[..text.len() - letter.len_utf8()];
    let (digits, multiplier) = code.split_at(code.find(|c: char| !c.is_ascii_digit())?);
    let after = multiplier.strip_prefix(|c| unit.code_letters.iter().any(|(known, _)| *known == c))?;
    if digits.len() + after.len() == 0 || !after.chars().all(|c| c.is_ascii_digit()) {
        return None;
    }
    let tolerance = Tolerance::of_letter(letter)?;
    Some(match read_value(code, unit) {
        Ok(value) if value < unit.letters_from => Err(Problem::LetterOfPicofarads(letter)),
        value => value.and_then(|value| Ok((value, tolerance?))),
    })
}

/// Reads a non-negative number with its unit. A leading minus is reported as [`Problem::NotPositive`].
fn read_value(text: &str, unit: &Unit) -> Result<f64, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Problem::Empty);
    }
    let (negative, body) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text),
    };
    let (mantissa, exponent, rest) = split_number(body);
    let mantissa = &*with_point(mantissa)?;
    let value = match coded(mantissa, exponent, rest, unit) {
        Some(value) => value?,
        None if mantissa.chars().any(|c| c.is_ascii_digit()) => plain(mantissa, exponent, rest.trim(), unit)?,
        None => return Err(Problem::NoNumber),
    };
    if negative || value == 0.0 {
        return Err(Problem::NotPositive);
    }
    Ok(value)
}

/// Splits `4.7e3 kΩ` (or `4,7e3 kΩ`) into the digits `4.7`, the exponent 3 and the rest ` kΩ`.
pub(super) fn split_number(text: &str) -> (&str, i32, &str) {
    let mut points = 0;
    let is_point = |c| c == '.' || c == ',';
    let end = text
        .find(|c: char| {
            points += i32::from(is_point(c));
            !(c.is_ascii_digit() || (is_point(c) && points == 1))
        })
        .unwrap_or(text.len());
    let (mantissa, rest) = text.split_at(end);
    if let Some(tail) = rest.strip_prefix(['e', 'E']) {
        let signed = tail.strip_prefix(['+', '-']).unwrap_or(tail);
        let digits = signed.chars().take_while(char::is_ascii_digit).count();
        let length = tail.len() - signed.len() + digits;
        if digits > 0
            && let Ok(exponent) = tail[..length].parse()
        {
            return (mantissa, exponent, &tail[length..]);
        }
    }
    (mantissa, 0, rest)
}

/// The RKM code: a letter in place of the decimal point with digits behind it (`4k7`, `R47`, `1n5`).
fn coded(mantissa: &str, exponent: i32, rest: &str, unit: &Unit) -> Option<Result<f64, Problem>> {
    let letter = rest.chars().next()?;
    let (_, power) = *unit.code_letters.iter().find(|(c, _)| *c == letter)?;
    let tail = &rest[letter.len_utf8()..];
    let digits = tail.chars().take_while(char::is_ascii_digit).count();
    if digits == 0 || exponent != 0 || mantissa.contains('.') {
        return None;
    }
    let after = tail[digits..].trim();
    if !after.is_empty() && !unit.names.contains(&after) {
        return Some(Err(Problem::UnitUnknown(after.to_owned())));
    }
    Some(decimal(&format!("{mantissa}.{}", &tail[..digits]), power))
}

fn plain(mantissa: &str, exponent: i32, suffix: &str, unit: &Unit) -> Result<f64, Problem> {
    if suffix.is_empty() {
        return if unit.bare { decimal(mantissa, exponent) } else { Err(Problem::UnitMissing) };
    }
    // The unit's own name first, so that "m" of a length is not taken for a prefix.
    if unit.names.contains(&suffix) {
        return decimal(mantissa, exponent);
    }
    for (prefix, power) in unit.prefixes {
        if let Some(name) = suffix.strip_prefix(prefix) {
            let name = name.trim_start();
            if (name.is_empty() && unit.prefix_alone) || unit.names.contains(&name) {
                return decimal(mantissa, exponent.saturating_add(*power));
            }
        }
    }
    Err(Problem::UnitUnknown(suffix.to_owned()))
}

fn decimal(digits: &str, exponent: i32) -> Result<f64, Problem> {
    format!("{digits}e{exponent}").parse().map_err(|_| Problem::NoNumber)
}

/// Writes a positive finite value with the prefix that leaves one to three digits before the point. Without `digits` the
/// shortest text that reads back to the same bits; with it, rounded to that many significant digits.
pub(super) fn write(value: f64, digits: Option<usize>, unit: &Unit) -> String {
    let text = match digits {
        Some(digits) => format!("{value:.*e}", digits.saturating_sub(1)),
        None => format!("{value:e}"),
    };
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let figures: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let figures = figures.trim_end_matches('0');
    let (power, name) = unit
        .written
        .iter()
        .find(|(power, _)| exponent >= *power)
        .or(unit.written.last())
        .copied()
        .unwrap_or((0, ""));
    format!("{} {name}", shift_point(figures, exponent - power)).trim_end().to_owned()
}

/// Places the decimal point after the first figure, moved right by `places` (left if negative).
fn shift_point(figures: &str, places: i32) -> String {
    let before = usize::try_from(places + 1).unwrap_or(0);
    if before == 0 {
        let zeros = usize::try_from(-places - 1).unwrap_or(0);
        return format!("0.{}{figures}", "0".repeat(zeros));
    }
    if figures.len() <= before {
        return format!("{figures}{}", "0".repeat(before - figures.len()));
    }
    format!("{}.{}", &figures[..before], &figures[before..])
}
