use std::borrow::Cow;

use super::Problem;

/// A decimal number's text with a point, where it was written with a comma: `4,7`. Units and signs around it stay.
///
/// # Errors
/// If the comma may as well part thousands, `1,000`: three digits behind it and one to three before it of which the first is no zero; or if there
/// are several.
///
/// ```
/// use dsp_core::units::with_point;
/// assert_eq!(with_point("4,7").unwrap(), "4.7");
/// assert_eq!(with_point("0,470").unwrap(), "0.470");
/// assert!(with_point("1,000").is_err());
/// ```
pub fn with_point(text: &str) -> Result<Cow<'_, str>, Problem> {
    let Some((before, after)) = text.split_once(',') else { return Ok(Cow::Borrowed(text)) };
    let whole = before.chars().rev().take_while(char::is_ascii_digit).collect::<String>();
    let behind = after.chars().take_while(char::is_ascii_digit).count();
    let thousands = behind == 3 && (1..=3).contains(&whole.len()) && !whole.ends_with('0');
    if thousands || after.contains(',') || before.contains('.') || after.contains('.') {
        return Err(Problem::Comma(text.to_owned()));
    }
    Ok(Cow::Owned(format!("{before}.{after}")))
}
