//! What went wrong, as a report for a person and an exit code for a program.

use std::io;
use std::path::Path;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use groundside_engine::attempt::{DrawError, RecordError, ReplayError};
use groundside_engine::file::{FINDINGS_MAX, Finding, Severity};
use groundside_engine::vehicle::FaultError;
use groundside_engine::world::WorldError;

use crate::Exit;
use crate::style::{Paint, WIDTH, listed, neutral};

/// Most findings shown at a time.
const SHOWN_MAX: usize = 10;

/// Why the program stops.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// The output cannot be written; a closed pipe is no mistake.
    #[error("the output could not be written: {0}")]
    Output(#[from] io::Error),
    /// A file cannot be opened, read, written or locked.
    #[error("{path}: {doing}: {error}")]
    File {
        /// Which.
        path: String,
        /// What was tried.
        doing: &'static str,
        /// What the system said.
        error: io::Error,
    },
    /// A record would be written over something.
    #[error(
        "{path}: this file exists, and a record never overwrites one; go on with it by --resume"
    )]
    Taken {
        /// Which.
        path: String,
    },
    /// A file that was read is not what it should be.
    #[error("{path}: the file cannot be used")]
    Findings {
        /// Which.
        path: String,
        /// Its text.
        text: String,
        /// What is wrong with it.
        findings: Vec<Finding>,
    },
    /// A file that cannot be used, said in one sentence.
    #[error("{path}: {why}")]
    Unusable {
        /// Which.
        path: String,
        /// Why.
        why: String,
    },
    /// A name that names nothing.
    #[error("there is no {what} `{given}`{}", offered(.near, .all))]
    Unknown {
        /// What was asked for.
        what: &'static str,
        /// What was given.
        given: String,
        /// The nearest right ones.
        near: Vec<String>,
        /// All of them, when they are few.
        all: Vec<String>,
    },
    /// A fault that the vehicle cannot have.
    #[error(transparent)]
    Fault(#[from] FaultError),
    /// Nothing can be drawn.
    #[error(transparent)]
    Draw(#[from] DrawError),
    /// The numbers failed.
    #[error(transparent)]
    World(#[from] WorldError),
    /// Anything else that was asked wrongly.
    #[error("{0}")]
    Misuse(String),
}

fn offered(near: &[String], all: &[String]) -> String {
    if !near.is_empty() {
        format!("; did you mean {}?", listed(near, "or"))
    } else if !all.is_empty() {
        format!("; there is {}", listed(all, "and"))
    } else {
        String::new()
    }
}

impl Failure {
    /// A failure with a file.
    pub(crate) fn file(path: &Path, doing: &'static str, error: io::Error) -> Self {
        let path = path.display().to_string();
        Self::File { path, doing, error }
    }

    /// A file that cannot be used.
    pub(crate) fn unusable(path: &Path, why: impl ToString) -> Self {
        Self::Unusable {
            path: path.display().to_string(),
            why: why.to_string(),
        }
    }

    /// A record that cannot be used.
    pub(crate) fn record(path: &Path, error: &RecordError) -> Self {
        Self::unusable(path, error)
    }

    /// A record that cannot be played again.
    pub(crate) fn replay(path: &Path, error: &ReplayError) -> Self {
        Self::unusable(path, error)
    }

    /// A name that names nothing, with the nearest that do.
    pub(crate) fn unknown<'a>(
        what: &'static str,
        given: &str,
        all: impl IntoIterator<Item = &'a str>,
    ) -> Self {
        /// A longer list is no help in a sentence.
        const FEW: usize = 12;
        let all: Vec<&str> = all.into_iter().collect();
        // Likeness takes time with the length of the word.
        let given: String = given.chars().take(60).collect();
        let near = groundside_engine::ident::nearest(&given, all.iter().copied());
        let owned = |words: &[&str]| words.iter().map(|&word| word.to_owned()).collect();
        Self::Unknown {
            what,
            near: owned(&near),
            all: if all.len() <= FEW {
                owned(&all)
            } else {
                Vec::new()
            },
            given,
        }
    }

    /// The exit code.
    pub(crate) fn exit(&self) -> Exit {
        match self {
            Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe => Exit::Done,
            _ => Exit::Misuse,
        }
    }

    /// The report: empty for a closed pipe.
    pub(crate) fn report(&self, paint: Paint) -> String {
        match self {
            Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe => String::new(),
            Self::Findings {
                path,
                text,
                findings,
            } => findings_report(path, text, findings, paint),
            other => {
                let text = neutral(&other.to_string());
                format!(
                    "error: {}\n",
                    textwrap::fill(&text, WIDTH.saturating_sub(7))
                )
            }
        }
    }
}

/// The first findings of a file that cannot be used, or can but with warnings, and what to make of it.
pub(crate) fn findings_report(
    path: &str,
    text: &str,
    findings: &[Finding],
    paint: Paint,
) -> String {
    let shown = findings.get(..SHOWN_MAX).unwrap_or(findings);
    let mut report = underlined(path, text, shown, paint);
    let errors = findings
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .count();
    if errors > 0 {
        let what = if errors == 1 { "mistake" } else { "mistakes" };
        let some = if findings.len() > SHOWN_MAX {
            ", the first of them shown; `lint` shows all"
        } else {
            ""
        };
        let path = neutral(path);
        report.push_str(&format!(
            "{path}: {errors} {what}{some}; the file cannot be used\n"
        ));
    }
    report
}

/// Findings as reports, each with the line it is about and what is underlined in it.
pub(crate) fn underlined(path: &str, text: &str, findings: &[Finding], paint: Paint) -> String {
    let renderer = if paint.colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let renderer = renderer.term_width(WIDTH);
    let path = neutral(path);
    let mut report = String::new();
    for finding in findings {
        let level = match finding.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let annotation = AnnotationKind::Primary.span(finding.span.clone());
        let snippet = Snippet::source(text)
            .path(path.as_str())
            .annotation(annotation);
        let title = level
            .primary_title(finding.message.as_str())
            .id(finding.code.as_str());
        let mut group: Group<'_> = title.element(snippet);
        if let Some(help) = &finding.help {
            group = group.element(Level::HELP.message(help.as_str()));
        }
        report.push_str(&renderer.render(&[group]));
        report.push_str("\n\n");
    }
    report
}

/// What is said of a file whose findings of one severity are as many as the engine keeps.
pub(crate) fn kept_note(path: &str, findings: &[Finding]) -> Option<String> {
    let full = |severity| {
        let of_it = findings
            .iter()
            .filter(|finding| finding.severity == severity);
        of_it.count() >= FINDINGS_MAX
    };
    let full = full(Severity::Error) || full(Severity::Warning);
    full.then(|| {
        format!(
            "{}: no more than {FINDINGS_MAX} findings of a kind are kept; there may be more",
            neutral(path)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finding_is_reported_with_its_line_underlined_and_no_escape() {
        let text = "format = 1\nvehicel = \"\u{1b}[31m\"\n";
        let findings = groundside_engine::file::read_vehicle(text).unwrap_err();
        let failure = Failure::Findings {
            path: "a\u{1b}b.toml".to_owned(),
            text: text.to_owned(),
            findings,
        };
        let report = failure.report(Paint { colour: false });
        assert!(report.contains("b.toml:"), "{report}");
        assert!(report.contains('^'), "{report}");
        assert!(!report.contains('\u{1b}'), "{report}");
    }

    #[test]
    fn an_unknown_name_offers_the_nearest() {
        let failure =
            Failure::unknown("scenario", "rain-on-the-qay", ["rain-on-the-quay", "other"]);
        let report = failure.report(Paint { colour: false });
        assert!(
            report.contains("did you mean rain-on-the-quay?"),
            "{report}"
        );
    }
}
