//! What is wrong with files: a sentence for each finding, a value for each, and what it comes to.

use groundside_engine::file::{Finding, Severity};
use serde_json::{Value, json};

use crate::style::{Page, neutral};

/// A file with what was found.
#[derive(Clone, Debug)]
pub(crate) struct Checked {
    /// Its path as it was named.
    pub(crate) path: String,
    /// Its text.
    pub(crate) text: String,
    /// What was found, in the order of the file.
    pub(crate) findings: Vec<Finding>,
}

/// How many findings of a severity there are.
pub(crate) fn count(files: &[Checked], severity: Severity) -> usize {
    let all = files.iter().flat_map(|file| &file.findings);
    all.filter(|finding| finding.severity == severity).count()
}

/// The last line: `3 files, 2 errors, 1 warning`.
pub(crate) fn sum(files: &[Checked]) -> String {
    let some = |count: usize, what: &str| {
        let plural = if count == 1 { "" } else { "s" };
        format!("{count} {what}{plural}")
    };
    format!(
        "{}, {}, {}",
        some(files.len(), "file"),
        some(count(files, Severity::Error), "error"),
        some(count(files, Severity::Warning), "warning")
    )
}

/// A line for each finding, which reads as a sentence; lines are not wrapped, so that each is heard in one piece.
pub(crate) fn sentences(file: &Checked) -> Page {
    let mut page = Page::default();
    for finding in &file.findings {
        let mut line = format!(
            "{}, line {}, column {}: {} {}: {}",
            file.path,
            finding.line,
            finding.column,
            finding.severity.as_str(),
            finding.code,
            ended(&finding.message)
        );
        if let Some(help) = &finding.help {
            line.push_str(&format!(" Suggestion: {}", ended(help)));
        }
        page.row(line.replace('\n', " "));
    }
    page
}

/// A text with a full stop behind it, unless it ends otherwise.
fn ended(text: &str) -> String {
    let text = text.trim_end();
    let stop = if text.ends_with(['.', '?', '!']) {
        ""
    } else {
        "."
    };
    format!("{text}{stop}")
}

/// All findings for programs, in the order of files and places. Lines and columns are counted from 1, columns in characters;
/// the end is that of the character behind the piece that is meant.
pub(crate) fn document(files: &[Checked]) -> Value {
    let of_file = |file: &'_ Checked| {
        let path = neutral(&file.path);
        let row = |finding: &Finding| {
            let (end_line, end_column) = end(&file.text, finding);
            json!({
                "file": path, "code": finding.code.as_str(), "severity": finding.severity.as_str(),
                "line": finding.line, "column": finding.column,
                "end_line": end_line, "end_column": end_column,
                "message": finding.message, "help": finding.help,
            })
        };
        file.findings.iter().map(row).collect::<Vec<_>>()
    };
    files.iter().flat_map(of_file).collect()
}

/// Line and column of the end of a finding's span.
fn end(text: &str, finding: &Finding) -> (usize, usize) {
    let inside = text.get(finding.span.clone()).unwrap_or_default();
    match inside.rsplit_once('\n') {
        Some((before, last)) => {
            let lines = before.matches('\n').count() + 1;
            (finding.line + lines, last.chars().count() + 1)
        }
        None => (finding.line, finding.column + inside.chars().count()),
    }
}
