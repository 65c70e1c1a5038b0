//! What was told of a write-up that was not handed over: it is kept, and goes with the next hand-over.

use groundside_engine::world::TEXT_MAX;

use super::*;
use crate::language::HalfRead;

/// What was told of a write-up so far.
#[derive(Default)]
pub(super) struct Kept {
    /// The parts that were understood.
    pub(super) draft: WriteUp,
    /// Parts that name nothing, by their names, each with the words for it, which go into the note.
    unread: Vec<(&'static str, String)>,
}

impl Kept {
    pub(super) fn is_empty(&self) -> bool {
        self.unread.is_empty() && self.draft == WriteUp::default()
    }

    /// Takes over what could be read of a hand-over, and the words of what could not.
    fn take(&mut self, half: &HalfRead) {
        self.draft = self.beside(half.write_up.clone());
        let told = |part: &str| half.unread.iter().any(|unread| unread.part == part);
        let draft = &self.draft;
        self.unread
            .retain(|(part, _)| !told(part) && is_open(draft, part));
        let words = half.unread.iter();
        let words = words.filter(|unread| !unread.words.is_empty());
        self.unread
            .extend(words.map(|unread| (unread.part, unread.words.clone())));
    }

    /// A write-up with what was kept where it says nothing.
    pub(super) fn beside(&self, mut write_up: WriteUp) -> WriteUp {
        let draft = &self.draft;
        write_up.complaint = write_up.complaint.or(draft.complaint);
        write_up.cause = write_up.cause.or(draft.cause);
        write_up.correction = write_up.correction.or(draft.correction);
        if write_up.text.is_empty() {
            write_up.text.clone_from(&draft.text);
        }
        write_up
    }

    /// The same as it is handed over: words that named nothing stand in the note, unless their part was told since.
    pub(super) fn handed_over(&self, write_up: WriteUp) -> WriteUp {
        let mut write_up = self.beside(write_up);
        let open = self.unread.iter();
        let open = open.filter(|(part, _)| is_open(&write_up, part));
        let mut texts: Vec<String> = open
            .map(|(part, words)| format!("{part}: {words}"))
            .collect();
        texts.push(std::mem::take(&mut write_up.text));
        texts.retain(|text| !text.is_empty());
        write_up.text = texts.join("; ").chars().take(TEXT_MAX).collect();
        write_up
    }
}

fn is_open(write_up: &WriteUp, part: &str) -> bool {
    match part {
        "complaint" => write_up.complaint.is_none(),
        "cause" => write_up.cause.is_none(),
        _ => write_up.correction.is_none(),
    }
}

impl Session<'_> {
    /// Keeps what could be read of a hand-over, says what could not and what there is instead.
    pub(super) fn keep(
        &mut self,
        half: &HalfRead,
        line: &str,
        script: bool,
        io: &mut Io<'_>,
    ) -> Result<Flow, Failure> {
        self.kept.take(half);
        let mut page = Page::default();
        for unread in &half.unread {
            page.extend(help::misread(&unread.problem));
        }
        let parts: Vec<&str> = half.unread.iter().map(|unread| unread.part).collect();
        let again = format!("hand over {} ...", parts.join(" ... "));
        let understood = write_up::parts(&self.kept.draft, self.vehicle);
        let mut told = match understood.is_empty() {
            true => "Not handed over yet".to_owned(),
            false => format!("Not handed over yet; kept: {}", understood.join("; ")),
        };
        told.push_str(&format!(
            ". Say the {} again, as `{again}`, and what is kept goes with it.",
            listed(&parts, "and")
        ));
        let books = half.unread.iter().filter_map(|unread| match unread.part {
            "complaint" => Some("`data symptoms`"),
            "cause" => Some("`data failures`"),
            _ => None,
        });
        let books: Vec<&str> = books.collect();
        if !books.is_empty() {
            told.push_str(&format!(" The words for it: {}.", listed(&books, "and")));
        }
        if script {
            told.push_str(
                " The end of the script hands it over as it stands, your words in the note.",
            );
        }
        page.add(Tone::Plain, told);
        let refused = half.unread.iter();
        let refused: Vec<&str> = refused
            .map(|unread| unread.problem.message.as_str())
            .collect();
        let reply = Reply {
            command: line.to_owned(),
            page,
            refused: Some(refused.join(" ")),
            ..Reply::default()
        };
        self.send(reply, io).map(|()| Flow::Stop)
    }
}
