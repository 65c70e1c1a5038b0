//! Lengths of time: `20 s`, `2 min`, `half a minute`.

use groundside_engine::world::WAIT_MAX_S;

use super::Problem;
use super::token::Words;

/// Reads a length of time in whole seconds.
pub(super) fn seconds(words: &Words<'_>, from: usize, to: usize) -> Result<u32, Problem> {
    let bad =
        |at, message: String| Problem::at(words, at, message).offering(["wait 20 s".to_owned()]);
    let form = || "A wait is a number of seconds or minutes: `wait 20 s`, `wait 2 min`.".to_owned();
    let first = words.text(from);
    let from = if matches!(first, "for" | "another") {
        from + 1
    } else {
        from
    };
    // `wait a minute`, `wait half a minute`
    let spoken = match (words.text(from), words.text(from + 1), words.text(from + 2)) {
        ("half", "a" | "an", unit) => Some((from + 3, "0.5", unit)),
        ("a" | "an" | "one", unit, _) => Some((from + 2, "1", unit)),
        _ => None,
    };
    let number = match spoken {
        Some((end, number, unit)) if end == to && !unit.is_empty() => {
            return seconds(&Words::of(&format!("{number} {unit}")), 0, 2)
                .map_err(|problem| bad(from, problem.message));
        }
        _ => words.text(from),
    };
    let digits = number.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let mut unit = &number[digits.len()..];
    let mut next = from + 1;
    if unit.is_empty() && next < to {
        unit = words.text(next);
        next += 1;
    }
    let unit_s: u64 = match unit {
        "" | "s" | "sec" | "secs" | "second" | "seconds" => 1,
        "m" | "min" | "mins" | "minute" | "minutes" => 60,
        "h" | "hour" | "hours" => 3600,
        _ => return Err(bad(next - 1, form())),
    };
    if next < to {
        return Err(bad(next, form()));
    }
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, "0"));
    let number = |text: &str| -> Option<u64> {
        let plain = !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| text.parse().ok()).flatten()
    };
    let (Some(whole), Some(part)) = (number(whole), number(fraction)) else {
        let long = digits.len() > 6 && digits.bytes().all(|b| b.is_ascii_digit());
        return Err(bad(from, if long { too_long() } else { form() }));
    };
    let scale = fraction.bytes().fold(1_u64, |scale, _| scale * 10);
    let scaled = (whole * scale + part) * unit_s;
    if !scaled.is_multiple_of(scale) {
        return Err(bad(from, "A wait is a whole number of seconds.".to_owned()));
    }
    match u32::try_from(scaled / scale) {
        Ok(0) => Err(bad(from, "A wait is at least one second.".to_owned())),
        Ok(seconds) if seconds <= WAIT_MAX_S => Ok(seconds),
        _ => Err(bad(from, too_long())),
    }
}

fn too_long() -> String {
    format!(
        "A wait is at most {WAIT_MAX_S} s ({} min).",
        WAIT_MAX_S / 60
    )
}
