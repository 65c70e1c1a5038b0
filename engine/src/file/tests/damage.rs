//! Arbitrary damage to files: nothing panics, and nothing is accepted that could not run.

use super::{SCENARIOS, VAN};
use crate::file::{FILE_BYTES_MAX, Severity, read_scenario, read_vehicle};
use proptest::prelude::*;

/// A text with pieces cut out, doubled, or replaced, at places given as shares of its length.
fn damaged(text: &str, edits: &[(f64, usize, String)]) -> String {
    let mut text = text.to_owned();
    for (share, count, put) in edits {
        let places: Vec<usize> = text.char_indices().map(|(place, _)| place).collect();
        let place = |index: usize| places.get(index).copied().unwrap_or(text.len());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a short text"
        )]
        let start = (share * places.len() as f64) as usize;
        let (start, end) = (place(start), place(start + count));
        text.replace_range(start..end, put);
    }
    text
}

/// Files made to take long: many mistakes, many tables, long words, deep nesting. Whoever reads a file of
/// unknown origin waits for the reading, so it must end; the test's own time is the check.
#[test]
fn hostile_files_are_refused_in_reasonable_time() {
    let fill = |piece: &str| {
        format!(
            "format = 1\n{}",
            piece.repeat((FILE_BYTES_MAX - 20) / piece.len())
        )
    };
    let numbered = |make: fn(usize) -> String, count: usize| {
        let text: String = (0..count).map(make).collect();
        format!("format = 1\n{text}")
    };
    let files = [
        fill("["),
        fill("a"),
        fill("a."),
        fill("[a]\n"),
        fill("[[book]]\n"),
        fill("\u{1b}"),
        fill("= \n"),
        fill("x=[["),
        fill("\n"),
        numbered(|index| format!("k{index}=1\n"), 90_000),
        numbered(|index| format!("wire.w{index}.x=1\n"), 50_000),
        numbered(|index| format!("[k{index}.x]\n[k{index}]\n"), 30_000),
        format!("format = 1\n\"{}\" = 1", "k".repeat(FILE_BYTES_MAX - 40)),
        format!(
            "format = 1\n[wire.\"{}\"]\n",
            "k".repeat(FILE_BYTES_MAX - 40)
        ),
    ];
    for file in files {
        assert!(read_vehicle(&file).is_err());
        assert!(read_scenario(&file).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_damaged_file_never_panics(
        edits in prop::collection::vec((0.0..1.0, 0_usize..40, "[\\PC\n\u{1b}]{0,6}|= |\\[|\\]|\"|-|nan|[a-z]\\."), 1..4),
        kept in 0.5..1.2,
    ) {
        let text = damaged(VAN, &edits);
        let text = damaged(&text, &[(kept, usize::MAX / 2, String::new())]);
        if let Err(findings) = read_vehicle(&text) {
            prop_assert!(findings.iter().any(|finding| finding.severity == Severity::Error));
            for finding in findings {
                prop_assert!(text.get(finding.span.clone()).is_some() && finding.line >= 1 && finding.column >= 1);
                prop_assert!(!finding.to_string().chars().any(char::is_control), "{:?}", finding);
            }
        }
        let _ = read_scenario(&damaged(SCENARIOS[0], &edits));
    }

    #[test]
    fn arbitrary_text_never_panics(text in "(format = 1\n)?[\\PC\n]{0,200}") {
        prop_assert!(read_vehicle(&text).is_err());
        prop_assert!(read_scenario(&text).is_err());
    }

    #[test]
    fn a_value_put_in_place_of_another_never_panics(
        line in 0_usize..700,
        value in "-?[0-9]{1,20}|1e-?[0-9]{1,3}|-?inf|nan|\"[a-z0-9 .-]{0,9}\"|\\[\\]|\\{ a = 1 \\}|true|1979-05-27",
    ) {
        let lines: Vec<&str> = VAN.lines().collect();
        let edit = |(number, text): (usize, &&str)| match text.split_once(" = ") {
            Some((key, _)) if number == line % lines.len() => format!("{key} = {value}\n"),
            _ => format!("{text}\n"),
        };
        let text: String = lines.iter().enumerate().map(edit).collect();
        if let Ok((vehicle, _)) = read_vehicle(&text) {
            // Whatever is accepted can be solved.
            let setting = crate::vehicle::Setting::at_rest(&vehicle);
            prop_assert!(crate::vehicle::Circuit::new(&vehicle, &setting, &[]).response().is_ok());
            prop_assert!(vehicle.drive_train().is_ok());
        }
    }
}
