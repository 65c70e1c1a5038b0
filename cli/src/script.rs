//! Commands from a script: a file, or standard input that is not a terminal.

use std::io::{BufRead, BufReader, Read as _, Write as _};

use crate::Io;
use crate::problem::Failure;
use crate::style::neutral;
use crate::talk::{Answer, Question, Talk, Typed};

/// Longest line that is taken from a script, bytes; the language allows less.
const LINE_BYTES_MAX: u64 = 64 * 1024;

/// Bytes that are taken in at once, as far as they have come.
const TAKEN_AT_ONCE: usize = 64 * 1024;

/// A script being read line by line.
pub(crate) struct Script<'a> {
    /// With a buffer of its own, which tells what has come already.
    lines: BufReader<Box<dyn BufRead + 'a>>,
    /// A line that was looked at and belongs to what comes next.
    ahead: Option<String>,
    /// Whether lines are shown as if typed.
    echo: bool,
}

impl<'a> Script<'a> {
    /// A script on a stream; with `echo` its lines are shown as if typed.
    pub(crate) fn new(lines: Box<dyn BufRead + 'a>, echo: bool) -> Self {
        Self {
            lines: BufReader::with_capacity(TAKEN_AT_ONCE, lines),
            ahead: None,
            echo,
        }
    }

    /// The next line that is neither blank nor a comment; `None` at the end.
    fn next(&mut self) -> Result<Option<String>, Failure> {
        if let Some(line) = self.ahead.take() {
            return Ok(Some(line));
        }
        loop {
            let mut bytes = Vec::new();
            let taken = (&mut self.lines)
                .take(LINE_BYTES_MAX)
                .read_until(b'\n', &mut bytes);
            let read = taken.map_err(|error| {
                Failure::file("the script".as_ref(), "could not be read", error)
            })?;
            if read == 0 {
                return Ok(None);
            }
            if let Some(line) = line_of(&bytes) {
                return Ok(Some(line));
            }
        }
    }
}

/// A line that is neither blank nor a comment.
fn line_of(bytes: &[u8]) -> Option<String> {
    let line = String::from_utf8_lossy(bytes);
    let line = line.trim();
    (!line.is_empty() && !line.starts_with('#')).then(|| line.to_owned())
}

impl Talk for Script<'_> {
    fn line(&mut self, io: &mut Io<'_>) -> Result<Typed, Failure> {
        let Some(line) = self.next()? else {
            return Ok(Typed::End);
        };
        if self.echo {
            writeln!(io.output, "> {}", neutral(&line))?;
        }
        Ok(Typed::Line(line))
    }

    fn answer(&mut self, _: &str, question: Question, io: &mut Io<'_>) -> Result<Answer, Failure> {
        let next = self.next()?;
        let said = match next.as_deref().map(str::to_ascii_lowercase).as_deref() {
            Some("y" | "yes") => Some(Answer::Yes),
            Some("n" | "no") => Some(Answer::No),
            _ => None,
        };
        let (answer, shown) = match (said, question) {
            (Some(answer), _) => (answer, format!(" {}", next.unwrap_or_default())),
            (None, question) => {
                self.ahead = next;
                match question {
                    Question::Minutes => (Answer::Yes, String::new()),
                    Question::Danger | Question::End => {
                        let told =
                            "\n(No answer, so it is left alone: a script must say y to do it.)";
                        (Answer::No, told.to_owned())
                    }
                }
            }
        };
        if self.echo {
            writeln!(io.output, "{shown}")?;
        }
        Ok(answer)
    }

    fn part(&mut self, _: &str, _: &mut Io<'_>) -> Result<Option<String>, Failure> {
        Ok(None)
    }

    fn is_script(&self) -> bool {
        true
    }

    fn left(&mut self) -> Vec<String> {
        let lines = self.lines.buffer().split(|byte| *byte == b'\n');
        self.ahead
            .take()
            .into_iter()
            .chain(lines.filter_map(line_of))
            .collect()
    }
}
