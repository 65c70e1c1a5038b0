//! Commands typed at a terminal: editing, history, completion, hints.

use std::borrow::Cow;
use std::cell::Cell;
use std::path::PathBuf;

use rustyline::completion::Completer;
use rustyline::config::Config;
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::FileHistory;
use rustyline::validate::Validator;
use rustyline::{CompletionType, Context, Editor, Helper};

use crate::Io;
use crate::language::Language;
use crate::problem::Failure;
use crate::talk::{Answer, Question, Talk, Typed};

/// Most lines kept in the history.
const HISTORY_MAX: usize = 500;

/// A person at a terminal.
pub(crate) struct Terminal<'a> {
    editor: Editor<Assistant<'a>, FileHistory>,
    history: Option<PathBuf>,
}

/// Completes and hints by the learner's language.
struct Assistant<'a> {
    language: &'a Language<'a>,
    /// Whether there are hints.
    hints: bool,
    /// Whether hints may be dimmed.
    colour: bool,
    /// Whether a command is being typed, and not the answer to a question.
    commanding: Cell<bool>,
}

impl Completer for Assistant<'_> {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        pos: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        if self.commanding.get() {
            Ok(self.language.complete(line, pos))
        } else {
            Ok((pos, Vec::new()))
        }
    }
}

impl Hinter for Assistant<'_> {
    type Hint = Ghost;

    fn hint(&self, line: &str, pos: usize, _: &Context<'_>) -> Option<Ghost> {
        let wanted = self.hints && self.commanding.get() && pos == line.len();
        wanted
            .then(|| self.language.hint(line))
            .flatten()
            .map(Ghost)
    }
}

/// What may follow, shown behind the cursor; it cannot be taken over, as it is no command.
struct Ghost(String);

impl rustyline::hint::Hint for Ghost {
    fn display(&self) -> &str {
        &self.0
    }

    fn completion(&self) -> Option<&str> {
        None
    }
}

impl Highlighter for Assistant<'_> {
    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        if self.colour {
            let style = anstyle::Style::new().dimmed();
            Cow::Owned(format!("{style}{hint}{style:#}"))
        } else {
            Cow::Borrowed(hint)
        }
    }
}

impl Validator for Assistant<'_> {}

impl Helper for Assistant<'_> {}

impl<'a> Terminal<'a> {
    /// A terminal; `plain` is without hints and anything that repaints.
    pub(crate) fn new(
        language: &'a Language<'a>,
        plain: bool,
        io: &Io<'_>,
    ) -> Result<Self, Failure> {
        let config = Config::builder()
            .completion_type(CompletionType::List)
            .bracketed_paste(!plain)
            .max_history_size(HISTORY_MAX)
            .map_err(failed)?
            .build();
        let mut editor = Editor::with_config(config).map_err(failed)?;
        let colour = io.paint().colour && !plain;
        editor.set_helper(Some(Assistant {
            language,
            // Without a way to dim them, hints would look like typed text.
            hints: colour,
            colour,
            commanding: Cell::new(true),
        }));
        let history = io.host.state_dir.as_ref().map(|dir| dir.join("history"));
        if let Some(path) = &history {
            // A history that is not there yet, or not to be had, is no reason to stop.
            let _ = editor.load_history(path);
        }
        Ok(Self { editor, history })
    }

    /// Keeps a command for the next attempts.
    fn remember(&mut self, line: &str) {
        let _ = self.editor.add_history_entry(line);
        if let Some(path) = &self.history {
            let _ = self.editor.append_history(path);
        }
    }

    fn read(&mut self, prompt: &str, commanding: bool) -> Result<Typed, Failure> {
        if let Some(assistant) = self.editor.helper() {
            assistant.commanding.set(commanding);
        }
        match self.editor.readline(prompt) {
            Ok(line) => {
                if commanding && !line.trim().is_empty() {
                    self.remember(&line);
                }
                Ok(Typed::Line(line))
            }
            Err(ReadlineError::Interrupted) => Ok(Typed::Interrupted),
            Err(ReadlineError::Eof) => Ok(Typed::End),
            Err(error) => Err(failed(error)),
        }
    }
}

/// Columns of the terminal, if there is one.
pub(crate) fn columns() -> Option<usize> {
    let mut editor = Editor::<(), FileHistory>::new().ok()?;
    let (columns, _) = editor.dimensions()?;
    Some(usize::from(columns))
}

fn failed(error: ReadlineError) -> Failure {
    match error {
        ReadlineError::Io(error) => Failure::Output(error),
        other => Failure::Misuse(format!("the terminal cannot be used: {other}; try --plain")),
    }
}

impl Talk for Terminal<'_> {
    fn line(&mut self, _: &mut Io<'_>) -> Result<Typed, Failure> {
        self.read("> ", true)
    }

    fn answer(
        &mut self,
        last: &str,
        question: Question,
        _: &mut Io<'_>,
    ) -> Result<Answer, Failure> {
        let Typed::Line(line) = self.read(&format!("{last} "), false)? else {
            return Ok(Answer::No);
        };
        Ok(Answer::of(&line, question).unwrap_or_else(|| {
            self.remember(&line);
            Answer::Instead(line)
        }))
    }

    fn part(&mut self, prompt: &str, _: &mut Io<'_>) -> Result<Option<String>, Failure> {
        match self.read(prompt, false)? {
            Typed::Line(line) => Ok(Some(line)),
            Typed::Interrupted | Typed::End => Ok(None),
        }
    }

    fn is_script(&self) -> bool {
        false
    }
}
