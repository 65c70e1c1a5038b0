//! Files: text in; a valid [`Vehicle`](crate::vehicle::Vehicle) or [`Scenario`](crate::scenario::Scenario),
//! or every [`Finding`] at once, out.
//!
//! Files are TOML and come from anyone, so nothing in them is trusted: sizes and counts are bounded,
//! numbers must be finite and within stated limits, texts carry no control characters, and no text of a
//! file is ever used as a path, but for the id of a vehicle, which has no dot and no slash in it. The engine opens no
//! files; the caller reads the text.
//!
//! A file is walked by hand rather than by serde, which stops at its first error and offers no "did you
//! mean": an author gets all mistakes in one go, each with its place.

mod check;
mod component;
mod electrical;
mod finding;
mod keys;
mod kind;
mod mechanical;
mod place;
mod scenario;
mod section;
mod switching;
#[cfg(test)]
mod tests;
mod value;
mod vehicle;

pub use finding::{Code, FINDINGS_MAX, Finding, Severity};
pub use keys::{guide, schema};
pub use place::FileKind;
pub(crate) use place::Places;
pub use scenario::{check_scenario, read_scenario};
pub use vehicle::read_vehicle;

use finding::Findings;
use toml::Spanned;
use toml::de::DeTable;

/// Largest file that is read, bytes. Chosen: some forty times the shipped vehicle.
pub const FILE_BYTES_MAX: usize = 1 << 20;

/// Format version of the files this engine reads.
pub const FORMAT: i64 = 1;

/// Most components of a vehicle. Chosen: ten times the shipped vehicle.
pub const COMPONENTS_MAX: usize = 500;

/// Most nodes of a vehicle's circuit; solving takes time with their cube.
pub const NODES_MAX: usize = 400;

/// Longest text, characters.
pub const TEXT_CHARS_MAX: usize = 2000;

/// Parses a file, or reports why not.
fn document<'t>(text: &'t str, findings: &Findings<'_>) -> Option<Spanned<DeTable<'t>>> {
    if text.len() > FILE_BYTES_MAX {
        let message = format!(
            "the file has {} bytes; at most {FILE_BYTES_MAX} are read",
            text.len()
        );
        findings.error(Code::TooLarge, 0..0, message, None);
        return None;
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        let span = error.span().unwrap_or(0..0);
        match (
            error.message().starts_with("duplicate key"),
            text.get(span.clone()),
        ) {
            (true, Some(key)) => {
                let message = format!("{} is in the file twice", finding::quoted(key));
                findings.error(
                    Code::DuplicateId,
                    span,
                    message,
                    Some("rename or remove one of the two".to_owned()),
                );
            }
            _ => findings.error(Code::Syntax, span, error.message(), None),
        }
    }
    errors.is_empty().then_some(table)
}
