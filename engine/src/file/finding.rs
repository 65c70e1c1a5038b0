//! What is wrong with a file, and where.

use std::cell::RefCell;
use std::fmt;
use std::ops::Range;

use crate::ident::nearest;

/// Most findings of one severity that are kept: nobody reads more, and a hostile file must not make more.
pub const FINDINGS_MAX: usize = 200;

/// Longest piece of a file that is quoted in a message, characters.
const QUOTE_CHARS_MAX: usize = 60;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used, but its author should look.
    Warning,
}

impl Severity {
    /// The word used on screen.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
        }
    }
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $word:literal,)*) => {
        /// What kind of mistake a finding is about: stable words that tests and tools can hold on to.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[non_exhaustive]
        pub enum Code { $($(#[$doc])* $name,)* }

        impl Code {
            /// Every code.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// The word used in reports.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$name => $word,)* }
            }
        }
    };
}

codes! {
    /// The file is not TOML.
    Syntax = "syntax",
    /// The file, a list or a table is too large.
    TooLarge = "too-large",
    /// The file has a format version that this engine does not read.
    UnsupportedFormat = "unsupported-format",
    /// A key that means nothing here.
    UnknownKey = "unknown-key",
    /// A table that is no kind of component and nothing else either.
    UnknownKind = "unknown-kind",
    /// Something that must be there is not.
    MissingKey = "missing-key",
    /// A text where a number should be, or the like.
    WrongType = "wrong-type",
    /// A number outside its limits.
    OutOfRange = "out-of-range",
    /// A number that is infinite or not a number.
    NotFinite = "not-finite",
    /// A name that is not in kebab-case, or too long.
    BadName = "bad-name",
    /// A colour that is no IEC 60757 code.
    BadColour = "bad-colour",
    /// A text with control characters, which could be terminal escapes.
    ControlCharacter = "control-character",
    /// A text that is empty.
    EmptyText = "empty-text",
    /// A text that is too long.
    TextTooLong = "text-too-long",
    /// A name that is already taken.
    DuplicateId = "duplicate-id",
    /// A word that is not one of those that can stand here.
    UnknownWord = "unknown-word",
    /// A component that is not in the file.
    UnknownComponent = "unknown-component",
    /// A terminal that the component does not have.
    UnknownTerminal = "unknown-terminal",
    /// A component of another kind than is needed here.
    WrongKind = "wrong-kind",
    /// A wire with an end that names no terminal.
    DanglingWire = "dangling-wire",
    /// A terminal that nothing leads to.
    UnconnectedTerminal = "unconnected-terminal",
    /// A part of the circuit with no path to the battery.
    FloatingNode = "floating-node",
    /// No battery, no body, or no path from the body to the battery's negative post.
    MissingGround = "missing-ground",
    /// A linkage that locks or comes too nearly into line.
    BadLinkage = "bad-linkage",
    /// A motor without what it needs to move blades.
    BadDrive = "bad-drive",
    /// A scenario for another vehicle.
    WrongVehicle = "wrong-vehicle",
    /// A fault pool entry that selects no fault.
    NoSuchFault = "no-such-fault",
    /// Minutes allowed that are too few for a fault that may be drawn.
    TooFewMinutes = "too-few-minutes",
    /// A scenario whose vehicle is not at hand, or cannot be used.
    NoVehicle = "no-vehicle",
    /// Something that was not gone through, because it would take too long.
    NotChecked = "not-checked",
    /// A vehicle whose circuit has no solution, or whose mechanics do not move.
    CannotRun = "cannot-run",
    /// A terminal with more wires on it than it takes.
    SharedTerminal = "shared-terminal",
    /// A sound vehicle whose blades do not wipe in a position in which they should.
    DoesNotWipe = "does-not-wipe",
    /// A sound vehicle whose blades do not stop at their rest.
    DoesNotPark = "does-not-park",
    /// A sound vehicle that a driver would complain of otherwise.
    NotSound = "not-sound",
    /// A sound vehicle that wipes at other frequencies than the law asks for.
    WipingFrequency = "wiping-frequency",
    /// A sound vehicle that opens its own protection.
    OpensItself = "opens-itself",
    /// A fault pool of which nothing brings a complaint of the scenario.
    IdlePool = "idle-pool",
    /// A complaint that nothing in the fault pool brings.
    IdleComplaint = "idle-complaint",
    /// Failure modes that are asked for and make no driver complain.
    LatentMode = "latent-mode",
}

impl fmt::Display for Code {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.as_str())
    }
}

/// Something wrong with a file. Message and help carry no control characters, whatever the file holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Which kind of mistake.
    pub code: Code,
    /// How bad it is.
    pub severity: Severity,
    /// Where, in bytes of the file; both ends are character boundaries within it.
    pub span: Range<usize>,
    /// Line of the start of the span, from 1.
    pub line: usize,
    /// Column of the start of the span in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub message: String,
    /// What would be right, where that can be said.
    pub help: Option<String>,
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            code,
            severity,
            line,
            column,
            message,
            ..
        } = self;
        write!(
            out,
            "{line}:{column}: {} [{code}]: {message}",
            severity.as_str()
        )?;
        self.help
            .as_ref()
            .map_or(Ok(()), |help| write!(out, "; {help}"))
    }
}

/// Findings being collected on one text. Shared by all readers of the file, hence the cell.
#[derive(Debug)]
pub(crate) struct Findings<'t> {
    text: &'t str,
    list: RefCell<Vec<Finding>>,
}

impl<'t> Findings<'t> {
    pub(super) const fn new(text: &'t str) -> Self {
        Self {
            text,
            list: RefCell::new(Vec::new()),
        }
    }

    pub(crate) fn error(
        &self,
        code: Code,
        span: Range<usize>,
        message: impl Into<String>,
        help: Option<String>,
    ) {
        self.report(code, Severity::Error, span, message.into(), help);
    }

    pub(crate) fn warning(
        &self,
        code: Code,
        span: Range<usize>,
        message: impl Into<String>,
        help: Option<String>,
    ) {
        self.report(code, Severity::Warning, span, message.into(), help);
    }

    fn report(
        &self,
        code: Code,
        severity: Severity,
        span: Range<usize>,
        message: String,
        help: Option<String>,
    ) {
        if self.count(severity) >= FINDINGS_MAX {
            return;
        }
        let start = self.text.floor_char_boundary(span.start);
        let end = self.text.ceil_char_boundary(span.end).max(start);
        let before = self.text.get(..start).unwrap_or_default();
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        let line = before.bytes().filter(|&byte| byte == b'\n').count() + 1;
        let column = before.get(line_start..).unwrap_or_default().chars().count() + 1;
        let (message, help) = (neutral(&message), help.map(|help| neutral(&help)));
        self.list.borrow_mut().push(Finding {
            code,
            severity,
            span: start..end,
            line,
            column,
            message,
            help,
        });
    }

    fn count(&self, severity: Severity) -> usize {
        self.list
            .borrow()
            .iter()
            .filter(|finding| finding.severity == severity)
            .count()
    }

    /// How many errors there are so far, so that a reader can tell whether a part was sound.
    pub(crate) fn errors(&self) -> usize {
        self.count(Severity::Error)
    }

    /// Whether further errors would not be kept, so that a long loop may stop.
    pub(super) fn full(&self) -> bool {
        self.errors() >= FINDINGS_MAX
    }

    /// All findings, in the order of the file.
    pub(crate) fn into_list(self) -> Vec<Finding> {
        let mut list = self.list.into_inner();
        list.sort_by_key(|finding| (finding.span.start, finding.code));
        list
    }

    /// What was read, with warnings, or the findings if any is an error.
    pub(super) fn conclude<T>(self, read: Option<T>) -> Result<(T, Vec<Finding>), Vec<Finding>> {
        let sound = self.errors() == 0;
        match read {
            Some(read) if sound => Ok((read, self.into_list())),
            _ => {
                debug_assert!(!sound, "a file was refused without a reason");
                Err(self.into_list())
            }
        }
    }
}

/// Whether a character could make a terminal do or show something else than the text says: control
/// characters, and those that reorder what is written.
pub(super) fn is_unsafe(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The text with unsafe characters written as escapes.
fn neutral(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if is_unsafe(character) {
            out.extend(character.escape_unicode())
        } else {
            out.push(character)
        }
    }
    out
}

/// A piece of the file between backticks, cut short if it is long.
pub(super) fn quoted(text: &str) -> String {
    let mut short: String = text.chars().take(QUOTE_CHARS_MAX).collect();
    if short.len() < text.len() {
        short.push_str("...");
    }
    format!("`{short}`")
}

/// "did you mean", if anything is near.
pub(super) fn did_you_mean<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    // Likeness takes time with the product of the lengths, and a word may be as long as a file.
    let word: String = word.chars().take(QUOTE_CHARS_MAX).collect();
    nearest(&word, candidates)
        .first()
        .map(|near| format!("did you mean `{near}`?"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ident::Name;

    #[test]
    fn codes_are_names_and_unique() {
        let mut words: Vec<&str> = Code::ALL.iter().map(|code| code.as_str()).collect();
        assert!(words.iter().all(|word| Name::new(word).is_ok()));
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), Code::ALL.len());
    }

    #[test]
    fn places_are_lines_and_characters_from_one() {
        let findings = Findings::new("a = 1\nü = 2 # ü\n");
        findings.error(Code::Syntax, 9..10, "here", None);
        findings.error(Code::Syntax, 7..7, "inside a character", None);
        findings.error(Code::Syntax, 9999..10000, "past the end", None);
        let places: Vec<_> = findings
            .into_list()
            .iter()
            .map(|f| (f.line, f.column, f.span.clone()))
            .collect();
        assert_eq!(places, [(2, 1, 6..8), (2, 3, 9..10), (3, 1, 18..18)]);
    }

    #[test]
    fn messages_never_carry_an_escape() {
        let findings = Findings::new("");
        findings.error(
            Code::BadName,
            0..0,
            "\u{1b}[2J\u{202e}x",
            Some("\u{9b}1m".to_owned()),
        );
        let finding = findings.into_list().remove(0);
        assert_eq!(
            finding.to_string(),
            "1:1: error [bad-name]: \\u{1b}[2J\\u{202e}x; \\u{9b}1m"
        );
    }
}
