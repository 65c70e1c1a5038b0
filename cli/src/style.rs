//! What text looks like: tones that become colour on a terminal only, 80 columns, and nothing that could
//! make a terminal do something.

use anstyle::{AnsiColor, Style};

/// Width of everything that is printed.
pub(crate) const WIDTH: usize = 80;

/// What a line is, which decides its colour where there is any.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tone {
    /// Ordinary text.
    Plain,
    /// What was measured or perceived, and headings.
    Strong,
    /// The state it was taken in, minutes, hints.
    Quiet,
    /// What can hurt.
    Caution,
    /// What was not done.
    Refused,
}

/// A line of output.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    /// What it is.
    pub(crate) tone: Tone,
    /// Its text, without escapes.
    pub(crate) text: String,
}

/// Lines of output being put together, wrapped to [`WIDTH`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Page(pub(crate) Vec<Line>);

impl Page {
    /// A page with one piece of text.
    pub(crate) fn of(tone: Tone, text: impl AsRef<str>) -> Self {
        let mut page = Self::default();
        page.add(tone, text);
        page
    }

    /// Adds a piece of text, wrapped.
    pub(crate) fn add(&mut self, tone: Tone, text: impl AsRef<str>) {
        self.hanging(tone, text, "");
    }

    /// Adds a piece of text, wrapped, with what follows the first line set in by `indent`.
    pub(crate) fn hanging(&mut self, tone: Tone, text: impl AsRef<str>, indent: &str) {
        let text = text.as_ref();
        if text.is_empty() {
            self.0.push(Line {
                tone,
                text: String::new(),
            });
        }
        for paragraph in text.lines() {
            let options = textwrap::Options::new(WIDTH).subsequent_indent(indent);
            for line in textwrap::wrap(paragraph, options) {
                self.0.push(Line {
                    tone,
                    text: neutral(line.trim_end()),
                });
            }
        }
    }

    /// Adds a line as it is: a row of a table or of a drawing.
    pub(crate) fn row(&mut self, text: impl AsRef<str>) {
        self.0.push(Line {
            tone: Tone::Plain,
            text: neutral(text.as_ref().trim_end()),
        });
    }

    /// Adds all lines of another page.
    pub(crate) fn extend(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// The text, lines joined.
    pub(crate) fn text(&self) -> String {
        let lines: Vec<&str> = self.0.iter().map(|line| line.text.as_str()).collect();
        lines.join("\n")
    }
}

/// Puts colour on lines, or leaves it off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Paint {
    /// Whether there is colour.
    pub(crate) colour: bool,
}

impl Paint {
    /// A line as it is written.
    pub(crate) fn line(self, line: &Line) -> String {
        let style = match line.tone {
            Tone::Plain => Style::new(),
            Tone::Strong => Style::new().bold(),
            Tone::Quiet => Style::new().dimmed(),
            Tone::Caution => Style::new().bold().fg_color(Some(AnsiColor::Yellow.into())),
            Tone::Refused => Style::new().fg_color(Some(AnsiColor::Red.into())),
        };
        if self.colour && line.tone != Tone::Plain && !line.text.is_empty() {
            format!("{style}{}{style:#}", line.text)
        } else {
            line.text.clone()
        }
    }
}

/// The text with every character written as an escape that could make a terminal do or show something
/// else than the text says.
pub(crate) fn neutral(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        let reorders = matches!(character, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        if character.is_control() || reorders {
            out.extend(character.escape_unicode());
        } else {
            out.push(character);
        }
    }
    out
}

/// `a, b and c`.
pub(crate) fn listed<T: AsRef<str>>(items: &[T], joint: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [rest @ .., last] => {
            let rest: Vec<&str> = rest.iter().map(AsRef::as_ref).collect();
            format!("{} {joint} {}", rest.join(", "), last.as_ref())
        }
    }
}

/// The text with its first letter made large.
pub(crate) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Rows set in columns, two spaces between, the last column not padded.
pub(crate) fn columns(rows: &[Vec<String>]) -> Vec<String> {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..count).map(width).collect();
    rows.iter()
        .map(|row| {
            let cells = row.iter().zip(&widths).map(|(cell, width)| {
                let padding = width.saturating_sub(cell.chars().count());
                format!("{cell}{}", " ".repeat(padding))
            });
            cells.collect::<Vec<_>>().join("  ").trim_end().to_owned()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_at_most_eighty_columns_and_carry_no_escape() {
        let mut page = Page::default();
        page.add(Tone::Plain, "word ".repeat(60) + "\u{1b}[2J\u{202e}x");
        assert!(page.0.len() > 3);
        assert!(
            page.0
                .iter()
                .all(|line| line.text.chars().count() <= WIDTH && !line.text.contains('\u{1b}'))
        );
    }

    #[test]
    fn without_colour_a_line_is_its_text() {
        let line = Line {
            tone: Tone::Caution,
            text: "mind the arm".to_owned(),
        };
        assert_eq!(Paint { colour: false }.line(&line), "mind the arm");
        assert!(Paint { colour: true }.line(&line).contains("\u{1b}["));
    }

    #[test]
    fn columns_line_up() {
        let rows = [
            vec!["a".to_owned(), "bb".to_owned()],
            vec!["ccc".to_owned(), "d".to_owned()],
        ];
        assert_eq!(columns(&rows), ["a    bb", "ccc  d"]);
    }
}
