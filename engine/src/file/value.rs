//! One value of a file, read as what it should be.

use std::fmt;
use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::{DeInteger, DeValue};

use super::TEXT_CHARS_MAX;
use super::finding::{Code, Findings, did_you_mean, is_unsafe, quoted};
use super::section::Section;
use crate::ident::Name;
use crate::quantity::Minutes;

/// Longest text that stands on one line: a title.
const LINE_CHARS_MAX: usize = 100;

/// Longest charge, minutes. Chosen: two working days and some.
const MINUTES_MAX: f64 = 1000.0;

/// Limits of a number.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    min: f64,
    min_excluded: bool,
    max: f64,
}

impl Limits {
    /// Above `min` and at most `max`.
    pub(super) const fn above(min: f64, max: f64) -> Self {
        Self {
            min,
            min_excluded: true,
            max,
        }
    }

    /// From `min` to `max`.
    pub(super) const fn from(min: f64, max: f64) -> Self {
        Self {
            min,
            min_excluded: false,
            max,
        }
    }

    fn hold(self, value: f64) -> bool {
        value <= self.max
            && if self.min_excluded {
                value > self.min
            } else {
                value >= self.min
            }
    }

    /// A number within the limits, to go on with after a finding.
    pub(super) const fn stand_in(self) -> f64 {
        self.max
    }
}

impl fmt::Display for Limits {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (min, max) = (figure(self.min), figure(self.max));
        if self.min_excluded {
            write!(out, "above {min} and at most {max}")
        } else {
            write!(out, "from {min} to {max}")
        }
    }
}

/// A number as an author would write it.
fn figure(value: f64) -> String {
    let size = value.abs();
    if size > 0.0 && !(1e-3..1e5).contains(&size) {
        format!("{value:e}")
    } else {
        value.to_string()
    }
}

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
}

impl<'t> Value<'t> {
    pub(super) const fn new(
        findings: &'t Findings<'t>,
        label: String,
        node: &'t Spanned<DeValue<'t>>,
    ) -> Self {
        Self {
            findings,
            label,
            node,
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

    /// A finite number within limits.
    pub(super) fn number(&self, limits: Limits) -> Option<f64> {
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

    /// A whole number within limits.
    pub(super) fn integer(&self, limits: RangeInclusive<i64>) -> Option<i64> {
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

    /// A whole number from 0 to `most`.
    pub(super) fn count(&self, most: u32) -> Option<u32> {
        self.integer(0..=i64::from(most))
            .and_then(|count| u32::try_from(count).ok())
    }

    /// Minutes, to the hundredth.
    pub(super) fn minutes(&self) -> Option<Minutes> {
        self.minutes_from(0.0)
    }

    /// Minutes, to the hundredth, of something that takes at least so many.
    pub(super) fn minutes_from(&self, least: f64) -> Option<Minutes> {
        let hundredths = self.number(Limits::from(least, MINUTES_MAX))? * 100.0;
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

    /// The position of a word in a list of those that can stand here.
    pub(super) fn one_of(&self, words: &[&str]) -> Option<usize> {
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

    /// The entries of a list with a bounded number of them.
    pub(super) fn list(&self, count: RangeInclusive<usize>) -> Option<Vec<Self>> {
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
                .map(|node| Self::new(self.findings, label.clone(), node))
                .collect(),
        )
    }

    /// A list of different names, each at most `chars_max` long.
    pub(super) fn names(
        &self,
        count: RangeInclusive<usize>,
        chars_max: usize,
    ) -> Option<Vec<Name>> {
        let mut names: Vec<Name> = Vec::new();
        for entry in self.list(count)? {
            let Some(Named { name, .. }) = entry.name() else {
                continue;
            };
            if names.contains(&name) {
                entry.error(
                    Code::DuplicateId,
                    format_args!("is `{name}`, which is in the list already"),
                    None,
                );
            } else if name.as_str().len() > chars_max {
                entry.error(
                    Code::BadName,
                    format_args!("is longer than {chars_max} characters"),
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
        match self.node.get_ref() {
            DeValue::Table(table) => Some(Section::new(self.findings, table, what, key)),
            _ => self.wrong_type("a table"),
        }
    }
}

fn whole(integer: &DeInteger<'_>) -> Option<i64> {
    i64::from_str_radix(integer.as_str(), integer.radix()).ok()
}
