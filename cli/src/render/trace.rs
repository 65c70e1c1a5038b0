//! A recorded waveform as a small drawing of plain characters, below the text that says what it shows.

use groundside_engine::world::{Observation, Shown};

use crate::style::Page;

/// Rows of the drawing.
const ROWS: usize = 5;

/// The waveforms among observations, one drawing each; nothing where there is none.
pub(crate) fn chart(seen: &[&Observation]) -> Page {
    let mut page = Page::default();
    for one in seen {
        if let Observation::Reading { samples, unit, .. } = one {
            for row in rows(samples, unit) {
                page.row(row);
            }
        }
    }
    page
}

/// A column for each sample, a mark in the row that its value falls into; the first and the last row say
/// which values they stand for.
fn rows(samples: &[Shown], unit: &str) -> Vec<String> {
    let value = |sample: &&Shown| sample.value();
    let ordered = |a: &&Shown, b: &&Shown| value(a).total_cmp(&value(b));
    let (Some(low), Some(high)) = (
        samples.iter().min_by(ordered),
        samples.iter().max_by(ordered),
    ) else {
        return Vec::new();
    };
    let swing = high.value() - low.value();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a row of five"
    )]
    let row_of = |sample: &Shown| {
        if swing > 0.0 {
            let share = (high.value() - sample.value()) / swing;
            (share * (ROWS - 1) as f64).round() as usize
        } else {
            ROWS / 2
        }
    };
    let label = |row: usize| match row {
        _ if swing == 0.0 && row == ROWS / 2 => format!("{low} {unit}"),
        0 if swing > 0.0 => format!("{high} {unit}"),
        _ if row == ROWS - 1 && swing > 0.0 => format!("{low} {unit}"),
        _ => String::new(),
    };
    (0..ROWS)
        .map(|row| {
            let marks: String = samples
                .iter()
                .map(|sample| if row_of(sample) == row { '*' } else { ' ' })
                .collect();
            format!("{:>9} |{marks}", label(row))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(counts: &[i64]) -> Vec<Shown> {
        let one = |&counts| Shown {
            counts,
            exponent: -2,
        };
        counts.iter().map(one).collect()
    }

    #[test]
    fn a_waveform_is_five_rows_from_its_highest_value_down() {
        let drawn = rows(&shown(&[240, 230, 200, 220, 240]), "A");
        assert_eq!(
            drawn,
            [
                "   2.40 A |*   *",
                "          | *   ",
                "          |   * ",
                "          |     ",
                "   2.00 A |  *  ",
            ]
        );
    }

    #[test]
    fn a_flat_one_is_a_line_in_the_middle_and_none_is_nothing() {
        let drawn = rows(&shown(&[5, 5]), "A");
        assert_eq!(drawn[2], "   0.05 A |**");
        assert_eq!(rows(&[], "A"), Vec::<String>::new());
    }
}
