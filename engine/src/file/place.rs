//! Where things stand in the text of a file that was read before, for findings that only a run of what it describes can
//! make; and which of the two kinds of file a text is.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::document;
use super::finding::{Code, Finding, Findings, did_you_mean};

/// What a file describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A vehicle: it has a table `[vehicle]`.
    Vehicle,
    /// A scenario: it has a table `[scenario]` and no `[vehicle]`.
    Scenario,
}

impl FileKind {
    /// Both, each with the table that tells it.
    const TOLD_BY: [(Self, &'static str); 2] =
        [(Self::Vehicle, "vehicle"), (Self::Scenario, "scenario")];

    /// Which of the two a text is, by its tables. A text with mistakes is told by what can be read of it.
    ///
    /// # Errors
    /// What is wrong with a text that has neither table: that it is no TOML, or that.
    pub fn of(text: &str) -> Result<Self, Vec<Finding>> {
        let findings = Findings::new(text);
        let table = match document(text, &findings) {
            Some(table) => table,
            // Too large a text is not gone through once more.
            None if text.len() > super::FILE_BYTES_MAX => return Err(findings.into_list()),
            None => DeTable::parse_recoverable(text).0,
        };
        let table = table.get_ref();
        let mut told = Self::TOLD_BY.into_iter();
        if let Some((kind, _)) = told.find(|(_, key)| table.contains_key(*key)) {
            return Ok(kind);
        }
        if findings.errors() == 0 {
            let near = table.iter().find_map(|(key, _)| {
                let help = did_you_mean(key.get_ref(), Self::TOLD_BY.map(|(_, key)| key))?;
                Some((key.span(), help))
            });
            let (span, help) = near.unwrap_or_else(|| {
                let help = "begin with `format = 1` and one of the two";
                (0..0, help.to_owned())
            });
            let message = "the file needs a table [vehicle] or [scenario]";
            findings.error(Code::MissingKey, span, message, Some(help));
        }
        Err(findings.into_list())
    }
}

/// The places of a file, and the findings that are made at them.
#[derive(Debug)]
pub(crate) struct Places<'t> {
    pub(crate) findings: Findings<'t>,
    root: Option<Spanned<DeTable<'t>>>,
}

impl<'t> Places<'t> {
    /// Those of a text that was read without an error.
    pub(crate) fn of(text: &'t str) -> Self {
        Self {
            findings: Findings::new(text),
            root: document(text, &Findings::new(text)),
        }
    }

    /// The name of a component in the header of its table.
    pub(crate) fn component(&self, id: &str) -> Range<usize> {
        let tables = self.root.iter().flat_map(|root| root.get_ref().iter());
        let named = tables.filter_map(|(kind, table)| match table.get_ref() {
            // A place or a cover may have the name of a component.
            DeValue::Table(table) if !["place", "cover"].contains(&kind.get_ref().as_ref()) => {
                table.get_key_value(id)
            }
            _ => None,
        });
        let mut spans = named
            .filter(|(_, value)| matches!(value.get_ref(), DeValue::Table(_)))
            .map(|(key, _)| key.span());
        spans.next().unwrap_or(0..0)
    }

    /// The name of a table of the file; its beginning where there is none.
    pub(crate) fn table(&self, name: &str) -> Range<usize> {
        let root = self.root.as_ref().map(Spanned::get_ref);
        root.and_then(|root| root.get_key_value(name))
            .map_or(0..0, |(key, _)| key.span())
    }

    /// A key of a table of the file; the table's name where it has no such key.
    pub(crate) fn key(&self, table: &str, key: &str) -> Range<usize> {
        let found = self.entry(table).and_then(|table| table.get_key_value(key));
        found.map_or_else(|| self.table(table), |(key, _)| key.span())
    }

    /// An entry of a list in a table of the file; the key where it is left out.
    pub(crate) fn item(&self, table: &str, key: &str, index: usize) -> Range<usize> {
        let value = self.entry(table).and_then(|table| table.get(key));
        let item = value.and_then(|value| match value.get_ref() {
            DeValue::Array(list) => list.get(index),
            _ => None,
        });
        item.map_or_else(|| self.key(table, key), Spanned::span)
    }

    fn entry(&self, table: &str) -> Option<&DeTable<'t>> {
        let root = self.root.as_ref().map(Spanned::get_ref)?;
        match root.get(table)?.get_ref() {
            DeValue::Table(table) => Some(table),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_told_by_its_tables() {
        assert_eq!(FileKind::of("[vehicle]\n"), Ok(FileKind::Vehicle));
        assert_eq!(FileKind::of("[scenario]\n"), Ok(FileKind::Scenario));
        // What is wrong with it is for the reader of that kind to say.
        assert_eq!(FileKind::of("[vehicle]\nid = \n"), Ok(FileKind::Vehicle));
        for (text, told) in [
            (
                "",
                "1:1: error [missing-key]: the file needs a table [vehicle] or [scenario]; begin with",
            ),
            (
                "format = 1\n[vehicel]\n",
                "2:2: error [missing-key]: the file needs a table [vehicle] or [scenario]; did you mean `vehicle`?",
            ),
            ("= 3", "1:1: error [syntax]"),
        ] {
            let findings = FileKind::of(text).unwrap_err();
            assert_eq!(findings.len(), 1, "{text}");
            assert!(findings[0].to_string().starts_with(told), "{}", findings[0]);
        }
    }

    #[test]
    fn places_are_found_again() {
        let text = "[place.horn]\n[consumer.horn]\n[scenario]\npool = [\"switch\", \"horn\"]\n";
        let places = Places::of(text);
        let at = |span: Range<usize>| (span.start, text.get(span).unwrap_or_default());
        assert_eq!(at(places.component("horn")), (23, "horn"));
        assert_eq!(at(places.component("bell")), (0, ""));
        assert_eq!(at(places.key("scenario", "pool")).1, "pool");
        assert_eq!(at(places.key("scenario", "id")).1, "scenario");
        assert_eq!(at(places.item("scenario", "pool", 1)).1, "\"horn\"");
        assert_eq!(at(places.item("scenario", "pool", 2)).1, "pool");
        assert_eq!(at(places.table("complaints")), (0, ""));
    }
}
