//! Numbers as they are printed: thousands comma, true minus, fixed decimals.

/// A speed: "3,600".
pub(crate) fn rpm(rpm: f64) -> String {
    value(rpm, 0, false)
}

/// A value with fixed decimals; `signed` puts a plus before positive values.
pub(crate) fn value(v: f64, decimals: u8, signed: bool) -> String {
    let text = format!("{:.*}", usize::from(decimals), v.abs());
    let is_zero = text.bytes().all(|b| matches!(b, b'0' | b'.'));
    let (whole, fraction) = text.split_once('.').map_or((text.as_str(), None), |(w, f)| (w, Some(f)));
    let mut out = String::new();
    if v < 0.0 && !is_zero {
        out.push('−');
    } else if signed && !is_zero {
        out.push('+');
    }
    for (i, digit) in whole.chars().enumerate() {
        let left = whole.len() - i;
        if i > 0 && left.is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(fraction) = fraction {
        out.push('.');
        out.push_str(fraction);
    }
    out
}
