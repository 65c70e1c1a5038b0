//! What a person at a screen is told while something takes seconds: how far it is, in one line that goes when it is done.

use std::io::Write;

use groundside_engine::marking::Progress;

use crate::Io;

/// A line on the errors that says how far something is; nothing where they go to no screen.
pub(crate) struct Waiting<'w> {
    errors: Option<&'w mut dyn Write>,
    /// Whether the line can be written over.
    over: bool,
    doing: &'static str,
    what: &'static str,
    width: usize,
}

impl<'w> Waiting<'w> {
    /// Nothing is told yet: `marking 12 of 24 steps ...` is a doing and what it is counted in.
    pub(crate) fn new(doing: &'static str, what: &'static str, io: &'w mut Io<'_>) -> Self {
        let errors: &mut dyn Write = &mut *io.errors;
        Self {
            errors: io.host.errors_are_terminal.then_some(errors),
            over: !io.host.dumb,
            doing,
            what,
            width: 0,
        }
    }

    /// Tells that it has begun, before there is anything to count: what is thought over may be in its last step already.
    pub(crate) fn begin(&mut self) {
        let doing = self.doing;
        let end = if self.over { "" } else { "\n" };
        self.say(&format!("{doing} ...{end}"));
    }

    /// Tells how far it is; a terminal that cannot write over a line has it once.
    pub(crate) fn tell(&mut self, progress: Progress) {
        let Self { doing, what, .. } = *self;
        let line = match self.over {
            true => format!("{doing} {} of {} {what} ...", progress.done, progress.of),
            false if self.width == 0 => format!("{doing} ...\n"),
            false => return,
        };
        self.say(&line);
    }

    fn say(&mut self, line: &str) {
        self.width = self.width.max(line.chars().count());
        self.write(line);
    }

    /// Takes the line away.
    pub(crate) fn end(&mut self) {
        if self.over && self.width > 0 {
            self.write(&" ".repeat(self.width));
            self.write("");
        }
    }

    /// Writes from the beginning of the line. Nothing hangs on what is told here, so nothing does on whether it could
    /// be.
    fn write(&mut self, line: &str) {
        let back = if self.over { "\r" } else { "" };
        if let Some(errors) = &mut self.errors {
            let _ = write!(errors, "{back}{line}");
            let _ = errors.flush();
        }
    }
}
