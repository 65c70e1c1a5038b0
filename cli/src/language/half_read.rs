//! A hand-over on one line that cannot be read as a whole: what of it can, part by part.

use groundside_engine::world::{Action, WriteUp};

use super::token::Words;
use super::verdicts::{PARTS, Part};
use super::{Command, Does, Language, Problem, Start};

/// A hand-over some parts of which name nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HalfRead {
    /// The parts that were understood; the others are open.
    pub write_up: WriteUp,
    /// The parts that were not, in the order told.
    pub unread: Vec<Unread>,
}

/// A part of a hand-over that names nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// The part, by the word that begins it: `complaint`, `cause` or `correction`.
    pub part: &'static str,
    /// What was told of it.
    pub words: String,
    /// Why it cannot be read; suggestions are hand-overs of that part alone.
    pub problem: Problem,
}

impl Language<'_> {
    /// What can be read of the hand-over on a line that [`Language::read`] refuses for some of its parts. `None` when the
    /// line hands nothing over, or is refused for something else.
    #[must_use]
    pub fn half_read(&self, line: &str) -> Option<HalfRead> {
        let commands = self.commands_of(line);
        let (words, at) = commands.iter().find_map(|words| match self.start(words) {
            Start::Verb(verb, _, next) if verb.does == Does::HandOver => Some((words, next)),
            _ => None,
        })?;
        let mut write_up = WriteUp::default();
        let mut unread: Vec<Unread> = Vec::new();
        for part in Self::parts_told(words, at).ok()? {
            if let Err(problem) = self.read_part(words, &part, &mut write_up) {
                let told = self.unread(words, &part, problem);
                // A part that is told twice is asked for once.
                if unread.iter().all(|known| known.part != told.part) {
                    unread.push(told);
                }
            }
        }
        (!unread.is_empty()).then_some(HalfRead { write_up, unread })
    }

    /// Why a part alone cannot be read, with the choices there are.
    fn unread(&self, words: &Words<'_>, part: &Part, problem: Problem) -> Unread {
        let name = PARTS[part.which][0];
        let told = words.whole(part.begin..part.end);
        let alone = match part.which {
            0 => self.read_symptom(&told).err(),
            1 => self.read_verdict(&told).err(),
            _ => self.read_correction(&told).err(),
        };
        let problem = match alone.filter(|_| !told.is_empty()) {
            Some(alone) => {
                let ways = alone.suggestions.into_iter();
                let ways: Vec<String> = ways.map(|way| format!("hand over {name} {way}")).collect();
                Problem::at(words, part.begin, alone.message).offering(ways)
            }
            None => problem,
        };
        let reads = |line: &str| {
            let read = self.read(line, None);
            matches!(read.as_deref(), Ok([Command::Act(Action::HandOver(_))]))
        };
        Unread {
            part: name,
            words: told,
            problem: problem.keeping(reads),
        }
    }
}
