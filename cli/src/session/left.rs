//! What was typed and is not done any more: behind a refusal on its line, and behind the end of the attempt.

use super::*;

/// What is said to a line that comes behind the end.
const OVER: &str = "the attempt is over";

/// Most characters of a line that are told again.
const SHOWN: usize = 60;

/// Words that answer a question, whether it was asked or not: no loss when they come too late.
const ANSWERS: [&str; 4] = ["y", "yes", "n", "no"];

impl Session<'_> {
    /// Says that commands of a line were not done, where some are left.
    pub(super) fn commands_left(
        &mut self,
        left: usize,
        flow: Flow,
        line: &str,
        io: &mut Io<'_>,
    ) -> Result<(), Failure> {
        let over = self.attempt.is_over();
        if left == 0 || flow != Flow::Stop && !over {
            return Ok(());
        }
        let why = if over {
            format!(": {OVER}")
        } else {
            String::new()
        };
        let told = format!("Not done: the {left} after it on the line{why}.");
        match self.format {
            Format::Text => io.print(&Page::of(Tone::Quiet, told)),
            Format::Json if over => self.undone(line, told, io),
            // The reply to what was refused says so.
            Format::Json => Ok(()),
        }
    }

    /// Says that lines of a script were not done, where some are left behind the end of the attempt.
    pub(super) fn lines_left(
        &mut self,
        talk: &mut dyn Talk,
        io: &mut Io<'_>,
    ) -> Result<(), Failure> {
        let mut lines = talk.left();
        lines.retain(|line| !ANSWERS.contains(&line.to_ascii_lowercase().as_str()));
        let Some((first, more)) = lines.split_first() else {
            return Ok(());
        };
        if self.format == Format::Json {
            let each = |line: &String| self.undone(line, format!("Not done: {OVER}."), io);
            return lines.iter().try_for_each(each);
        }
        let more = match more.len() {
            0 => String::new(),
            1 => " and 1 line more".to_owned(),
            more => format!(" and {more} lines more"),
        };
        let first: String = neutral(first).chars().take(SHOWN).collect();
        let told = format!("Not done: `{first}`{more}; {OVER}.");
        io.print(&Page::of(Tone::Quiet, told))
    }

    /// A reply to what is not done any more.
    fn undone(&mut self, line: &str, told: String, io: &mut Io<'_>) -> Result<(), Failure> {
        let reply = Reply {
            command: line.to_owned(),
            page: Page::of(Tone::Quiet, told),
            refused: Some(OVER.to_owned()),
            ..Reply::default()
        };
        self.send(reply, io)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{scripted, seed_7};
    use super::*;

    #[test]
    fn what_comes_behind_the_hand_over_is_told_as_not_done() {
        let lines = "key on; low; look\nhand over complaint slow; listen; look\ny\n\nwhere\n# done\ndiagram\nlook\n";
        let shown = scripted(lines, &seed_7());
        let told = [
            "Handed over.",
            "Not done: the 2 after it on the line: the attempt is over.",
            "Not done: `where` and 2 lines more; the attempt is over.",
            "What was wrong",
        ];
        let at: Vec<Option<usize>> = told.iter().map(|told| shown.find(told)).collect();
        assert!(at.is_sorted() && at[0].is_some(), "{at:?} {shown}");
        let json = Practice {
            format: Format::Json,
            ..seed_7()
        };
        let replies = scripted(lines, &json);
        let undone = replies
            .matches(r#""refused":"the attempt is over""#)
            .count();
        assert_eq!(undone, 4, "{replies}");
        let last = replies.lines().last().unwrap();
        assert!(last.starts_with(r#"{"result""#), "{last}");
        for none in ["hand over complaint slow\ny\n", "give up\ny\nyes", "look"] {
            let shown = scripted(none, &seed_7());
            assert!(!shown.contains("Not done"), "{shown}");
        }
    }
}
