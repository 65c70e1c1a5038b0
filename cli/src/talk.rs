//! The other side of an attempt: whoever types, or a script.

use crate::Io;
use crate::problem::Failure;

/// What comes when a line is asked for.
#[derive(Debug)]
pub(crate) enum Typed {
    /// A line.
    Line(String),
    /// Ctrl-C.
    Interrupted,
    /// The end: Ctrl-D, or the end of a script.
    End,
}

/// What a question is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Question {
    /// Minutes or money.
    Minutes,
    /// Something that can hurt.
    Danger,
    /// The end of the attempt.
    End,
}

/// What was said to a question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Go on.
    Yes,
    /// Step back.
    No,
    /// Another command instead, which is a step back too.
    Instead(String),
}

impl Answer {
    /// What a line says to a question, if it is an answer to one; an empty line is a yes to minutes alone.
    pub(crate) fn of(line: &str, question: Question) -> Option<Self> {
        let said = line
            .trim()
            .trim_end_matches(['.', '!'])
            .to_ascii_lowercase();
        match said.as_str() {
            "y" | "yes" | "ok" | "okay" | "sure" | "yep" | "yeah" | "go on" | "go ahead"
            | "yes please" => Some(Self::Yes),
            "" if question == Question::Minutes => Some(Self::Yes),
            "" | "n" | "no" | "nope" | "cancel" | "back" | "leave it" | "no thanks" | "dont"
            | "don't" => Some(Self::No),
            _ => None,
        }
    }
}

/// The other side of the talk: a person at a terminal, or a script.
pub(crate) trait Talk {
    /// The next line.
    fn line(&mut self, io: &mut Io<'_>) -> Result<Typed, Failure>;

    /// The answer to a question whose text is already written, but for its last line.
    fn answer(
        &mut self,
        last: &str,
        question: Question,
        io: &mut Io<'_>,
    ) -> Result<Answer, Failure>;

    /// A part of the write-up; `None` when the form is left, by Ctrl-C or Ctrl-D.
    fn part(&mut self, prompt: &str, io: &mut Io<'_>) -> Result<Option<String>, Failure>;

    /// Whether it is a script.
    fn is_script(&self) -> bool;

    /// Lines of a script that have come and that nobody asks for any more. One that is still being written is not waited
    /// for.
    fn left(&mut self) -> Vec<String> {
        Vec::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_answer_is_a_command() {
        for (line, answer) in [
            ("y", Some(Answer::Yes)),
            ("OK.", Some(Answer::Yes)),
            ("Nope", Some(Answer::No)),
            ("volts motor 53", None),
            ("go under dash", None),
        ] {
            for question in [Question::Minutes, Question::Danger, Question::End] {
                assert_eq!(Answer::of(line, question), answer, "{line}");
            }
        }
        assert_eq!(Answer::of(" ", Question::Minutes), Some(Answer::Yes));
        assert_eq!(Answer::of("", Question::Danger), Some(Answer::No));
    }
}
