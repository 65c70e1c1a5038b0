//! One table of a file: takes what it should hold and reports what it should not.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::finding::{Code, Findings, did_you_mean, quoted};
use super::value::{Limits, Named, Value};
use crate::ident::Name;
use crate::quantity::Minutes;

/// A table being read. Whatever is not asked for before [`Section::close`] is an unknown key.
#[derive(Debug)]
pub(super) struct Section<'t> {
    pub(super) findings: &'t Findings<'t>,
    table: &'t DeTable<'t>,
    /// What it is called in messages: `wire motor-53`.
    pub(super) what: String,
    /// Its name in the file, which is where something missing is reported.
    pub(super) span: Range<usize>,
    asked: Vec<&'static str>,
}

impl<'t> Section<'t> {
    pub(super) const fn new(
        findings: &'t Findings<'t>,
        table: &'t DeTable<'t>,
        what: String,
        span: Range<usize>,
    ) -> Self {
        Self {
            findings,
            table,
            what,
            span,
            asked: Vec::new(),
        }
    }

    /// Reports something about the table as a whole.
    pub(super) fn error(&self, code: Code, message: &str, help: Option<String>) {
        self.findings.error(
            code,
            self.span.clone(),
            format!("{} {message}", self.what),
            help,
        );
    }

    /// Whether the key is there, without taking it.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// The value of a key that may be left out.
    pub(super) fn may(&mut self, key: &'static str) -> Option<Value<'t>> {
        self.asked.push(key);
        self.table
            .get(key)
            .map(|node| Value::new(self.findings, format!("`{key}`"), node))
    }

    /// The value of a key that must be there.
    pub(super) fn need(&mut self, key: &'static str) -> Option<Value<'t>> {
        let value = self.may(key);
        if value.is_none() {
            self.error(Code::MissingKey, &format!("needs `{key}`"), None);
        }
        value
    }

    /// A number that must be there; after a finding, one within the limits.
    pub(super) fn number(&mut self, key: &'static str, limits: Limits) -> f64 {
        self.need(key)
            .and_then(|value| value.number(limits))
            .unwrap_or_else(|| limits.stand_in())
    }

    /// Minutes that must be there.
    pub(super) fn minutes(&mut self, key: &'static str) -> Minutes {
        self.need(key)
            .and_then(|value| value.minutes())
            .unwrap_or_default()
    }

    /// A text on one line that must be there.
    pub(super) fn line(&mut self, key: &'static str) -> String {
        self.need(key)
            .and_then(|value| value.line())
            .unwrap_or_default()
    }

    /// A text that must be there.
    pub(super) fn text(&mut self, key: &'static str) -> String {
        self.need(key)
            .and_then(|value| value.text())
            .unwrap_or_default()
    }

    /// A name that must be there.
    pub(super) fn name(&mut self, key: &'static str) -> Option<Named> {
        self.need(key).and_then(|value| value.name())
    }

    /// A title, made from the name if it is left out.
    pub(super) fn title(&mut self, name: &Name) -> String {
        self.may("title")
            .and_then(|value| value.line())
            .unwrap_or_else(|| name.as_str().replace('-', " "))
    }

    /// A table that must be there.
    pub(super) fn section(&mut self, key: &'static str) -> Option<Self> {
        let value = self.need(key)?;
        let span = self.key_span(key);
        value.section(key.to_owned(), span)
    }

    /// Where a key stands; the table's own place if it is not there.
    pub(super) fn key_span(&self, key: &str) -> Range<usize> {
        self.table
            .get_key_value(key)
            .map_or(self.span.clone(), |(key, _)| key.span())
    }

    /// The tables in a table of named tables, in the order of the file; none if the key is left out.
    pub(super) fn named_sections(&mut self, key: &'static str, most: usize) -> Vec<(Name, Self)> {
        let Some(value) = self.may(key) else {
            return Vec::new();
        };
        let Some(Self { table, .. }) = value.section(key.to_owned(), self.key_span(key)) else {
            return Vec::new();
        };
        if table.len() > most {
            let message = format!(
                "`{key}` has {} entries; at most {most} are read",
                table.len()
            );
            self.findings
                .error(Code::TooLarge, self.key_span(key), message, None);
        }
        let mut entries: Vec<_> = table.iter().take(most).collect();
        entries.sort_by_key(|(name, _)| name.span().start);
        entries
            .into_iter()
            .filter_map(|(name, node)| self.named_section(key, name, node))
            .collect()
    }

    fn named_section(
        &self,
        key: &str,
        name: &Spanned<std::borrow::Cow<'t, str>>,
        node: &'t Spanned<DeValue<'t>>,
    ) -> Option<(Name, Self)> {
        let text = name.get_ref();
        let DeValue::Table(table) = node.get_ref() else {
            let message = format!("{} is not a table under `{key}`", quoted(text));
            let help = format!("each {key} has a name and a table of its own, as in [{key}.NAME]");
            self.findings
                .error(Code::WrongType, name.span(), message, Some(help));
            return None;
        };
        let section = Self::new(self.findings, table, format!("{key} {text}"), name.span());
        match Name::new(text) {
            Ok(name) => Some((name, section)),
            Err(error) => {
                let message = format!("{} cannot name a {key}", quoted(text));
                self.findings
                    .error(Code::BadName, name.span(), message, Some(error.to_string()));
                None
            }
        }
    }

    /// The tables of an array of tables; none if the key is left out.
    pub(super) fn repeated_sections(&mut self, key: &'static str, most: usize) -> Vec<Self> {
        let Some(list) = self.may(key).and_then(|value| value.list(0..=most)) else {
            return Vec::new();
        };
        list.into_iter()
            .filter_map(|value| value.section(key.to_owned(), value.span()))
            .collect()
    }

    /// Which of `ids` a name means; `what` they are, for messages.
    pub(super) fn position<'a>(
        &self,
        named: &Named,
        what: &str,
        ids: impl Iterator<Item = &'a str> + Clone,
    ) -> Option<usize> {
        let name = named.name.as_str();
        let found = ids.clone().position(|id| id == name);
        if found.is_none() {
            let message = format!("there is no {what} `{name}`");
            self.findings.error(
                Code::UnknownWord,
                named.span.clone(),
                message,
                did_you_mean(name, ids),
            );
        }
        found
    }

    /// Reports the keys that nobody asked for.
    pub(super) fn close(self) {
        self.close_as(|_| Code::UnknownKey);
    }

    /// As [`Section::close`]; `code` says what an unknown key or table is here.
    pub(super) fn close_as(self, code: impl Fn(&DeValue<'_>) -> Code) {
        for (key, value) in self.table {
            let name = key.get_ref().as_ref();
            if self.asked.contains(&name) {
                continue;
            }
            if self.findings.full() {
                return;
            }
            let code = code(value.get_ref());
            let message = match code {
                Code::UnknownKind => format!("{} is not a kind of component", quoted(name)),
                _ => format!("{} is not a key of {}", quoted(name), self.what),
            };
            let help = did_you_mean(name, self.asked.iter().copied());
            self.findings.error(code, key.span(), message, help);
        }
    }
}
