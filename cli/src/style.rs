//! What text looks like: tones that become colour on a terminal only, 80 columns, and nothing that could
//! make a terminal do something.

use anstyle::{AnsiColor, Style};

/// Width of everything that is printed, where the screen is not narrower.
pub(crate) const WIDTH: usize = 80;
/// Narrowest width that prose is wrapped to.
const WIDTH_MIN: usize = 30;

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
    /// What it is a part of, which decides what becomes of it on a narrow screen.
    pub(crate) part: Part,
}

/// What a line is a part of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// A table or a drawing, which keeps its width.
    Row,
    /// Prose, of which it is the first line: the whole of it, and what later lines are set in by.
    Prose {
        /// The paragraph in one piece.
        whole: String,
        /// The indent.
        indent: String,
    },
    /// The prose begun above.
    MoreProse,
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
                part: Part::Row,
            });
        }
        for paragraph in text.lines() {
            for (n, line) in wrapped(paragraph, WIDTH, indent).into_iter().enumerate() {
                let part = if n == 0 {
                    Part::Prose {
                        whole: paragraph.to_owned(),
                        indent: indent.to_owned(),
                    }
                } else {
                    Part::MoreProse
                };
                self.0.push(Line {
                    tone,
                    text: line,
                    part,
                });
            }
        }
    }

    /// The page as a screen of `width` columns has it: prose wrapped to it, tables and drawings as they
    /// are.
    pub(crate) fn fitted(self, width: Option<usize>) -> Self {
        let Some(width) = width.filter(|width| *width < WIDTH) else {
            return self;
        };
        let mut page = Self::default();
        for line in self.0 {
            match line.part {
                Part::Row => page.0.push(line),
                Part::Prose { whole, indent } => {
                    let lines = wrapped(&whole, width.max(WIDTH_MIN), &indent);
                    page.0.extend(lines.into_iter().map(|text| Line {
                        tone: line.tone,
                        text,
                        part: Part::Row,
                    }));
                }
                Part::MoreProse => {}
            }
        }
        page
    }

    /// Cuts prose after some lines.
    pub(crate) fn cut(&mut self, tone: Tone, lines: usize) {
        self.0.truncate(lines);
        let kept = self.text().replace('\n', " ");
        *self = Self::of(tone, kept);
    }

    /// Adds a line as it is: a row of a table or of a drawing.
    pub(crate) fn row(&mut self, text: impl AsRef<str>) {
        self.0.push(Line {
            tone: Tone::Plain,
            text: neutral(text.as_ref().trim_end()),
            part: Part::Row,
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

/// A paragraph in lines of at most `width`, without escapes.
fn wrapped(paragraph: &str, width: usize, indent: &str) -> Vec<String> {
    // Names and words with hyphens (`motor-plug`, `cuts-out`) are read, typed and copied as one word.
    let options = textwrap::Options::new(width)
        .subsequent_indent(indent)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    let lines = textwrap::wrap(paragraph, options);
    lines.iter().map(|line| neutral(line.trim_end())).collect()
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

/// What a title names, without the note behind its comma: `steering column shroud, airbag wait included`.
pub(crate) fn named(title: &str) -> &str {
    title.split_once(", ").map_or(title, |(name, _)| name)
}

/// `is`, or `are` of what is named in the plural or is several things: `arms and cowl screen`.
pub(crate) fn is_or_are(name: &str) -> &'static str {
    let several = name.contains(" and ") || (name.ends_with('s') && !name.ends_with("ss"));
    if several { "are" } else { "is" }
}

/// Rows whose last column is broken at spaces, so that none is wider than `width`; what it goes on with has empty cells
/// before it.
pub(crate) fn fitted(rows: &[Vec<String>], width: usize) -> Vec<Vec<String>> {
    let last = rows.iter().map(Vec::len).max().unwrap_or(0);
    let Some(last) = last.checked_sub(1) else {
        return rows.to_vec();
    };
    let widest = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let before: usize = (0..last).map(|column| widest(column) + 2).sum();
    let room = width.saturating_sub(before).max(1);
    let mut all = Vec::new();
    for row in rows {
        let mut row = row.clone();
        let Some(cell) = row.get_mut(last).map(std::mem::take) else {
            all.push(row);
            continue;
        };
        for line in broken(&cell, room) {
            row[last] = line;
            all.push(std::mem::replace(&mut row, vec![String::new(); last + 1]));
        }
    }
    all
}

/// A text broken at spaces into lines of at most so many characters.
pub(crate) fn broken(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let last = lines.len() - 1;
        let line = &mut lines[last];
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
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
    fn prose_is_wrapped_to_a_narrow_screen_and_tables_are_not() {
        let mut page = Page::default();
        page.hanging(Tone::Plain, "motor-plug ".repeat(12), "  ");
        page.row("-".repeat(78));
        let whole = page.clone();
        let narrow = page.clone().fitted(Some(43));
        assert_eq!(page.clone().fitted(None), whole);
        assert_eq!(page.fitted(Some(100)), whole);
        let (rows, prose): (Vec<&Line>, Vec<&Line>) = narrow
            .0
            .iter()
            .partition(|line| line.text.starts_with("---"));
        assert_eq!(rows.len(), 1);
        assert!(prose.len() > whole.0.len());
        assert!(prose.iter().all(|line| line.text.chars().count() <= 43));
        assert!(prose.iter().skip(1).all(|line| line.text.starts_with("  ")));
        let letters = |page: &Page| page.text().replace([' ', '\n'], "");
        assert_eq!(letters(&narrow), letters(&whole));
    }

    #[test]
    fn a_word_with_a_hyphen_is_not_parted() {
        let mut page = Page::default();
        page.add(Tone::Plain, "cuts-out does-not-park ".repeat(20));
        assert!(page.0.len() > 3);
        assert!(page.0.iter().all(|line| !line.text.ends_with('-')));
    }

    #[test]
    fn without_colour_a_line_is_its_text() {
        let line = Line {
            tone: Tone::Caution,
            text: "mind the arm".to_owned(),
            part: Part::Row,
        };
        assert_eq!(Paint { colour: false }.line(&line), "mind the arm");
        assert!(Paint { colour: true }.line(&line).contains("\u{1b}["));
    }

    #[test]
    fn a_note_is_no_part_of_a_name_and_several_things_are() {
        let title = "steering column shroud, airbag wait included";
        assert_eq!(named(title), "steering column shroud");
        assert_eq!(named("bonnet"), "bonnet");
        for (name, verb) in [
            ("arms and cowl screen", "are"),
            ("wipers", "are"),
            ("switch panel", "is"),
            ("glass", "is"),
        ] {
            assert_eq!(is_or_are(name), verb, "{name}");
        }
    }

    #[test]
    fn a_last_column_goes_on_below_itself() {
        let row = |cells: [&str; 2]| cells.map(str::to_owned).to_vec();
        let rows = fitted(&[row(["name", "what it is"]), row(["a", "b c"])], 12);
        assert_eq!(columns(&rows), ["name  what", "      it is", "a     b c"]);
        assert_eq!(fitted(&[], 12), Vec::<Vec<String>>::new());
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
