//! One value of a file, read as what it should be.

use std::fmt;
use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::{DeInteger, DeTable, DeValue};

use super::TEXT_CHARS_MAX;
use super::finding::{Code, Findings, did_you_mean, is_unsafe, quoted};
use super::keys::{Holds, LINE_CHARS_MAX, Limits, MINUTES_MAX, Tables, figure};
use super::section::Section;
use crate::ident::Name;
use crate::quantity::Minutes;

/// A name and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Named {
    pub(super) name: Name,
    pub(super) span: Range<usize>,
}

/// A value of a file. Each reader returns `None` after reporting why.
#[derive(Clone, Debug)]
pub(super) struct Value<'t> {
    findings: &'t Findings<'t>,
    label: String,
    node: &'t Spanned<DeValue<'t>>,
    /// What it is declared to be.
    holds: &'static Holds,
}

impl<'t> Value<'t> {
    pub(super) const fn new(
        findings: &'t Findings<'t>,
        label: String,
        node: &'t Spanned<DeValue<'t>>,
        holds: &'static Holds,
    ) -> Self {
        Self {
            findings,
            label,
            node,
            holds,
        }
    }

    pub(super) fn span(&self) -> Range<usize> {
        self.node.span()
    }

    /// Reports something about this value.
    pub(super) fn error(&self, code: Code, message: impl fmt::Display, help: Option<String>) {
        self.findings
            .error(code, self.span(), format!("{} {message}", self.label), help);
    }

    fn wrong_type<T>(&self, wanted: &str) -> Option<T> {
        let is = match self.node.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.error(
            Code::WrongType,
            format_args!("is {is} here; it must be {wanted}"),
            None,
        );
        None
    }

    /// For a reader that takes it for something else than it is declared to be: a mistake of this engine's, and so
    /// no file gets here.
    fn undeclared<T>(&self, wanted: &str) -> Option<T> {
        debug_assert!(false, "{} is not declared to be {wanted}", self.label);
        self.wrong_type(wanted)
    }

    /// A finite number within its limits.
    pub(super) fn number(&self) -> Option<f64> {
        match self.holds {
            Holds::Number(limits) => self.number_within(*limits),
            _ => self.undeclared("a number"),
        }
    }

    fn number_within(&self, limits: Limits) -> Option<f64> {
        let text = match self.node.get_ref() {
            DeValue::Float(float) => float.as_str(),
            DeValue::Integer(integer) if integer.radix() == 10 => integer.as_str(),
            _ => return self.wrong_type("a number"),
        };
        let value: f64 = text.parse().unwrap_or(f64::NAN);
        if !value.is_finite() {
            let message = format_args!("is {} here; it must be {limits}", quoted(text));
            self.error(Code::NotFinite, message, None);
            None
        } else if limits.hold(value) {
            Some(value)
        } else {
            self.error(
                Code::OutOfRange,
                format_args!("is {} here; it must be {limits}", figure(value)),
                None,
            );
            None
        }
    }

    /// A version of the files: a whole number, whichever.
    pub(super) fn version(&self) -> Option<i64> {
        match self.holds {
            Holds::Format => self.integer(1..=i64::MAX),
            _ => self.undeclared("a version"),
        }
    }

    fn integer(&self, limits: RangeInclusive<i64>) -> Option<i64> {
        let DeValue::Integer(integer) = self.node.get_ref() else {
            return self.wrong_type("a whole number");
        };
        let value = whole(integer);
        if value.is_none_or(|value| !limits.contains(&value)) {
            let message = format!(
                "is {} here; it must be from {} to {}",
                integer.as_str(),
                limits.start(),
                limits.end()
            );
            self.error(Code::OutOfRange, message, None);
            return None;
        }
        value
    }

    /// A whole number within its limits.
    pub(super) fn count(&self) -> Option<u32> {
        match *self.holds {
            Holds::Whole { least, most } => self.counted(least..=most),
            _ => self.undeclared("a whole number"),
        }
    }

    /// As [`Value::count`], with 0 let through for a finding that says more.
    pub(super) fn count_or_none(&self) -> Option<u32> {
        match *self.holds {
            Holds::Whole { most, .. } => self.counted(0..=most),
            _ => self.undeclared("a whole number"),
        }
    }

    fn counted(&self, limits: RangeInclusive<i64>) -> Option<u32> {
        self.integer(limits)
            .and_then(|count| u32::try_from(count).ok())
    }

    /// Minutes, to the hundredth.
    pub(super) fn minutes(&self) -> Option<Minutes> {
        let Holds::Minutes { least } = *self.holds else {
            return self.undeclared("minutes");
        };
        let hundredths = self.number_within(Limits::from(least, MINUTES_MAX))? * 100.0;
        let whole = hundredths.round();
        if (hundredths - whole).abs() > 1e-6 {
            self.error(
                Code::OutOfRange,
                "has more than two decimals; minutes are charged in hundredths",
                None,
            );
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 0 to 100 000"
        )]
        let whole = whole as u32;
        Some(Minutes::from_hundredths(whole))
    }

    /// True or false.
    pub(super) fn boolean(&self) -> Option<bool> {
        self.node
            .get_ref()
            .as_bool()
            .or_else(|| self.wrong_type("true or false"))
    }

    fn raw(&self) -> Option<&'t str> {
        self.node
            .get_ref()
            .as_str()
            .or_else(|| self.wrong_type("a text"))
    }

    fn checked(&self, chars_max: usize, allowed: impl Fn(char) -> bool) -> Option<String> {
        let text = self.raw()?.replace("\r\n", "\n");
        let text = text.trim();
        if text.is_empty() {
            self.error(Code::EmptyText, "is empty", None);
            return None;
        }
        if text.chars().count() > chars_max {
            let help = format!("at most {chars_max} characters");
            self.error(
                Code::TextTooLong,
                format_args!("has {} characters", text.chars().count()),
                Some(help),
            );
            return None;
        }
        if let Some(found) = text
            .chars()
            .find(|&character| is_unsafe(character) && !allowed(character))
        {
            let message = format!("holds a control character, U+{:04X}", u32::from(found));
            self.error(Code::ControlCharacter, message, None);
            return None;
        }
        Some(text.to_owned())
    }

    /// A text on one line.
    pub(super) fn line(&self) -> Option<String> {
        self.checked(LINE_CHARS_MAX, |_| false)
    }

    /// A text that may have several lines.
    pub(super) fn text(&self) -> Option<String> {
        self.checked(TEXT_CHARS_MAX, |character| character == '\n')
    }

    /// A name.
    pub(super) fn name(&self) -> Option<Named> {
        let text = self.raw()?;
        match Name::new(text) {
            Ok(name) => Some(Named {
                name,
                span: self.span(),
            }),
            Err(error) => {
                self.error(
                    Code::BadName,
                    format_args!("is {} here", quoted(text)),
                    Some(error.to_string()),
                );
                None
            }
        }
    }

    /// Which of the words that can stand here it is.
    pub(super) fn one_of(&self) -> Option<usize> {
        match self.holds {
            Holds::OneOf(words) => self.among(words),
            _ => self.undeclared("one of some words"),
        }
    }

    /// Which of some words that the component itself has given.
    pub(super) fn one_of_own(&self, words: &[&str]) -> Option<usize> {
        match self.holds {
            Holds::Own(_) => self.among(words),
            _ => self.undeclared("a word of its own"),
        }
    }

    fn among(&self, words: &[&str]) -> Option<usize> {
        let text = self.raw()?;
        let found = words.iter().position(|word| *word == text);
        if found.is_none() {
            let help = did_you_mean(text, words.iter().copied())
                .unwrap_or_else(|| format!("one of {}", words.join(", ")));
            self.error(
                Code::UnknownWord,
                format_args!("is {} here", quoted(text)),
                Some(help),
            );
        }
        found
    }

    /// The entries of a list, or the tables of an array of tables, as many as there may be.
    pub(super) fn list(&self) -> Option<Vec<Self>> {
        match *self.holds {
            Holds::List { of, least, most } => self.entries(least..=most, of),
            Holds::Repeated { most, .. } => self.entries(0..=most, self.holds),
            _ => self.undeclared("a list"),
        }
    }

    fn entries(&self, count: RangeInclusive<usize>, of: &'static Holds) -> Option<Vec<Self>> {
        let Some(list) = self.node.get_ref().as_array() else {
            return self.wrong_type("a list");
        };
        if !count.contains(&list.len()) {
            let message = format!(
                "has {} entries; there must be {} to {}",
                list.len(),
                count.start(),
                count.end()
            );
            let code = if list.len() > *count.end() {
                Code::TooLarge
            } else {
                Code::OutOfRange
            };
            self.error(code, message, None);
            return None;
        }
        let label = format!("an entry of {}", self.label);
        Some(
            list.iter()
                .map(|node| Self::new(self.findings, label.clone(), node, of))
                .collect(),
        )
    }

    /// A list of different names.
    pub(super) fn names(&self) -> Option<Vec<Name>> {
        let Holds::Names { least, most, chars } = *self.holds else {
            return self.undeclared("a list of names");
        };
        let mut names: Vec<Name> = Vec::new();
        for entry in self.entries(least..=most, &Holds::Name)? {
            let Some(Named { name, .. }) = entry.name() else {
                continue;
            };
            if names.contains(&name) {
                entry.error(
                    Code::DuplicateId,
                    format_args!("is `{name}`, which is in the list already"),
                    None,
                );
            } else if name.as_str().len() > chars {
                entry.error(
                    Code::BadName,
                    format_args!("is longer than {chars} characters"),
                    None,
                );
            } else {
                names.push(name);
            }
        }
        Some(names)
    }

    /// A table, called `what` in messages.
    pub(super) fn section(&self, what: String, key: Range<usize>) -> Option<Section<'t>> {
        let (Holds::Table(of) | Holds::Repeated { of, .. }) = self.holds else {
            return self.undeclared("a table");
        };
        let table = self.table()?;
        Some(Section::new(self.findings, table, of, what, key))
    }

    /// A table as it stands.
    pub(super) fn table(&self) -> Option<&'t DeTable<'t>> {
        match self.node.get_ref() {
            DeValue::Table(table) => Some(table),
            _ => self.wrong_type("a table"),
        }
    }

    /// What the named tables within are declared to be.
    pub(super) fn tables(&self) -> Option<&'static Tables> {
        match self.holds {
            Holds::Tables(tables) => Some(tables),
            _ => self.undeclared("a table of tables"),
        }
    }
}

fn whole(integer: &DeInteger<'_>) -> Option<i64> {
    i64::from_str_radix(integer.as_str(), integer.radix()).ok()
}
