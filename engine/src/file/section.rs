//! One table of a file: takes what it should hold and reports what it should not.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::finding::{Code, Findings, did_you_mean, quoted};
use super::keys::{Holds, Key, Table, Tables};
use super::value::{Named, Value};
use crate::ident::Name;
use crate::quantity::Minutes;

/// A table being read. Whatever is not declared for it is an unknown key.
#[derive(Debug)]
pub(super) struct Section<'t> {
    pub(super) findings: &'t Findings<'t>,
    table: &'t DeTable<'t>,
    declared: &'static Table,
    /// Keys that would make it another table than the one that is declared, for "did you mean".
    marks: Vec<&'static str>,
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
        declared: &'static Table,
        what: String,
        span: Range<usize>,
    ) -> Self {
        Self {
            findings,
            table,
            declared,
            marks: Vec::new(),
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
    pub(super) fn has(&self, key: &Key) -> bool {
        self.table.contains_key(key.name)
    }

    /// The key as it is declared for this table, which may have one of its own by that name.
    fn own(&self, key: &'static Key) -> &'static Key {
        let own = self.declared.key(key.name);
        debug_assert!(
            own.is_some(),
            "`{}` is not declared for {}",
            key.name,
            self.declared.head
        );
        own.unwrap_or(key)
    }

    /// The value of a key that may be left out.
    pub(super) fn may(&mut self, key: &'static Key) -> Option<Value<'t>> {
        let key = self.own(key);
        self.asked.push(key.name);
        self.table
            .get(key.name)
            .map(|node| Value::new(self.findings, format!("`{}`", key.name), node, &key.holds))
    }

    /// The value of a key that must be there.
    pub(super) fn need(&mut self, key: &'static Key) -> Option<Value<'t>> {
        let value = self.may(key);
        if value.is_none() {
            self.error(Code::MissingKey, &format!("needs `{}`", key.name), None);
        }
        value
    }

    /// A number that must be there; after a finding, one within its limits.
    pub(super) fn number(&mut self, key: &'static Key) -> f64 {
        let stand_in = match &self.own(key).holds {
            Holds::Number(limits) => limits.stand_in(),
            _ => f64::NAN,
        };
        self.need(key)
            .and_then(|value| value.number())
            .unwrap_or(stand_in)
    }

    /// Minutes that must be there.
    pub(super) fn minutes(&mut self, key: &'static Key) -> Minutes {
        self.need(key)
            .and_then(|value| value.minutes())
            .unwrap_or_default()
    }

    /// A text on one line that must be there.
    pub(super) fn line(&mut self, key: &'static Key) -> String {
        self.need(key)
            .and_then(|value| value.line())
            .unwrap_or_default()
    }

    /// A text that must be there.
    pub(super) fn text(&mut self, key: &'static Key) -> String {
        self.need(key)
            .and_then(|value| value.text())
            .unwrap_or_default()
    }

    /// A name that must be there.
    pub(super) fn name(&mut self, key: &'static Key) -> Option<Named> {
        self.need(key).and_then(|value| value.name())
    }

    /// A title, made from the name if it is left out.
    pub(super) fn title(&mut self, key: &'static Key, name: &Name) -> String {
        self.may(key)
            .and_then(|value| value.line())
            .unwrap_or_else(|| name.as_str().replace('-', " "))
    }

    /// A table that must be there.
    pub(super) fn section(&mut self, key: &'static Key) -> Option<Self> {
        let value = self.need(key)?;
        let span = self.key_span(key);
        value.section(key.name.to_owned(), span)
    }

    /// Where a key stands; the table's own place if it is not there.
    pub(super) fn key_span(&self, key: &Key) -> Range<usize> {
        self.table
            .get_key_value(key.name)
            .map_or(self.span.clone(), |(key, _)| key.span())
    }

    /// The tables in a table of named tables, in the order of the file; none if the key is left out.
    pub(super) fn named_sections(&mut self, key: &'static Key) -> Vec<(Name, Self)> {
        let most = match &self.own(key).holds {
            Holds::Tables(tables) => tables.most,
            _ => 0,
        };
        self.named_sections_to(key, most)
    }

    /// As [`Section::named_sections`], of which so many are read and no more, however few there should be.
    pub(super) fn named_sections_to(
        &mut self,
        key: &'static Key,
        most: usize,
    ) -> Vec<(Name, Self)> {
        let Some(value) = self.may(key) else {
            return Vec::new();
        };
        let (Some(table), Some(tables)) = (value.table(), value.tables()) else {
            return Vec::new();
        };
        if table.len() > most {
            let message = format!(
                "`{}` has {} entries; at most {most} are read",
                key.name,
                table.len()
            );
            self.findings
                .error(Code::TooLarge, self.key_span(key), message, None);
        }
        let mut entries: Vec<_> = table.iter().take(most).collect();
        entries.sort_by_key(|(name, _)| name.span().start);
        entries
            .into_iter()
            .filter_map(|(name, node)| self.named_section(key.name, tables, name, node))
            .collect()
    }

    fn named_section(
        &self,
        key: &str,
        tables: &'static Tables,
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
        let is_it = |declared: &&&Table| {
            let mark = declared.marked_by;
            mark.is_none_or(|mark| table.contains_key(mark.name))
        };
        let declared = tables.of.iter().find(is_it)?;
        let what = format!("{key} {text}");
        let mut section = Self::new(self.findings, table, declared, what, name.span());
        let marks = tables.of.iter().filter_map(|table| table.marked_by);
        section.marks = marks.map(|mark| mark.name).collect();
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
    pub(super) fn repeated_sections(&mut self, key: &'static Key) -> Vec<Self> {
        let Some(list) = self.may(key).and_then(|value| value.list()) else {
            return Vec::new();
        };
        list.into_iter()
            .filter_map(|value| value.section(key.name.to_owned(), value.span()))
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

    /// Reports the keys that are not declared.
    pub(super) fn close(self) {
        self.close_as(|_| Code::UnknownKey);
    }

    /// As [`Section::close`]; `code` says what an unknown key or table is here.
    pub(super) fn close_as(self, code: impl Fn(&DeValue<'_>) -> Code) {
        // A reader that has met an error may have left the rest unread.
        debug_assert!(
            self.findings.errors() > 0 || self.unread().next().is_none(),
            "no reader of {} asks for `{}`",
            self.declared.head,
            self.unread().collect::<Vec<_>>().join("`, `")
        );
        #[cfg(test)]
        super::tests::declared::closed(self.declared);
        for (key, value) in self.table {
            let name = key.get_ref().as_ref();
            if self.declared.key(name).is_some() {
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
            let known = self.declared.all().map(|key| key.name);
            let help = did_you_mean(name, known.chain(self.marks.iter().copied()));
            self.findings.error(code, key.span(), message, help);
        }
    }

    /// Declared keys that nobody asked for.
    fn unread(&self) -> impl Iterator<Item = &'static str> + '_ {
        let declared = self.declared.all().map(|key| key.name);
        declared.filter(|name| !self.asked.contains(name))
    }
}
