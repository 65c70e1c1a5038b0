//! The learner's language: one typed line into commands, against a vehicle and a scenario.
//!
//! Forgiving trade English: short forms, abbreviations of three letters and more, synonyms, small words
//! passed over, and "did you mean" when nothing fits. The vocabulary is data ([`verbs`] and the
//! vehicle's own names), so the reader is a matcher and no grammar.
//!
//! Nothing here sees a world. What a line means, how it is refused, completed and hinted at depends on
//! the sound vehicle, the scenario and the line, so it is the same whatever is wrong with the vehicle.

mod across;
mod acts;
mod asked;
mod asking;
mod battery;
mod checking;
mod common;
mod complete;
mod conditions;
mod controls;
mod half_read;
mod hints;
mod modes;
mod names;
mod nouns;
mod otherwise;
mod points;
mod problem;
mod refused;
mod repairs;
mod set_first;
mod start;
mod things;
mod together;
mod token;
mod told;
mod turned;
mod verbs;
mod verdicts;
mod waits;
mod wires;
mod words;

#[cfg(test)]
mod tests;

use groundside_engine::scenario::{Scenario, Symptom};
use groundside_engine::vehicle::{ComponentId, ModeId, Point, Vehicle};
use groundside_engine::world::{Action, Sense};

pub use half_read::{HalfRead, Unread};
use names::Lexicon;
pub use problem::Problem;
use problem::{choices, listed};
use start::{Start, exact_verb, near_verbs, verb_words};
pub use token::LINE_MAX;
use token::Words;
pub use verbs::{Does, Verb};
pub use words::TOPICS;

/// Most commands on one line.
pub const COMMANDS_MAX: usize = 40;

/// What a learner asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Command {
    /// Something done in the world.
    Act(Action),
    /// Something read or written beside it, which takes no time.
    Paper(Paper),
    /// Something done to what is not named, as there is one such thing: which, the bench knows.
    Only(Only),
}

/// What is done to the only thing there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Only {
    /// Putting the old part back where one known good part is in.
    SwapBack,
    /// Handing over with the noted verdict that there is no fault.
    NoFaultFound,
    /// Putting together what is apart: connectors, nuts and links, covers, or one of these sorts by its verb.
    Together(Option<Does>),
    /// Taking all jumper leads off, the last first.
    Jumpers {
        /// Whether to wait until the blades are at mid-glass.
        at_mid_glass: bool,
    },
    /// Amps between the two ends of a strap: through the meter where it is off, else around it with the clamp.
    AmpsOfStrap {
        /// The strap.
        strap: ComponentId,
        /// Where the red lead goes.
        red: Point,
        /// And the black one.
        black: Point,
    },
}

/// What is done beside the world.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Paper {
    /// Showing the wiring diagram.
    Diagram,
    /// Showing the workshop's book: all of it, or what fits some words.
    Data(Option<String>),
    /// Showing all readings so far.
    Readings,
    /// Showing how points are named.
    Points,
    /// Showing help: all of it, or a verb's.
    Help(Option<&'static Verb>),
    /// Showing what can hurt, and what going on does.
    Hazards,
    /// Showing place, covers, connectors, controls and minutes.
    Where,
    /// Asking for the write-up part by part, then handing over.
    HandOverForm,
    /// Leaving with the record kept.
    Pause,
}

/// The table of verbs, in the order of the help page.
#[must_use]
pub fn verbs() -> &'static [Verb] {
    &verbs::VERBS
}

/// Reads lines against a vehicle and a scenario.
#[derive(Clone, Debug)]
pub struct Language<'a> {
    vehicle: &'a Vehicle,
    scenario: &'a Scenario,
    components: Lexicon<ComponentId>,
    controls: Lexicon<ComponentId>,
    places: Lexicon<usize>,
    covers: Lexicon<usize>,
    symptoms: Lexicon<Symptom>,
    /// Failure modes by component and place, with their names; only the engine makes their ids.
    modes: Vec<Vec<(ModeId, String)>>,
    /// Every word of the vehicle's names, to put spelling right with.
    vocabulary: Vec<String>,
}

impl<'a> Language<'a> {
    /// The language of the *sound* vehicle in a scenario.
    #[must_use]
    pub fn new(vehicle: &'a Vehicle, scenario: &'a Scenario) -> Self {
        let mut language = Self {
            vehicle,
            scenario,
            components: Lexicon::new(),
            controls: Lexicon::new(),
            places: Lexicon::new(),
            covers: Lexicon::new(),
            symptoms: Lexicon::new(),
            modes: vec![Vec::new(); vehicle.components.len()],
            vocabulary: vocabulary(vehicle),
        };
        for (id, component) in vehicle.ids().zip(&vehicle.components) {
            let (name, title) = (component.id.as_str(), component.title.as_str());
            if component.is_conductor() {
                language.components.add_between(id, name, title);
            } else {
                language.components.add(id, name);
                if common::mentions(title) {
                    language.components.add_mentioning(id, title);
                } else {
                    language.components.add_other(id, title);
                }
            }
            if let Some(control) = &component.control {
                let shorts = words::CONTROL_SHORTS;
                language.controls.add(id, control.as_str());
                for (short, _) in shorts.iter().filter(|(_, word)| *word == control.as_str()) {
                    language.controls.add(id, short);
                }
                language.controls.add_other(id, name);
                language.controls.add_other(id, title);
                if control.as_str() == "wiper" {
                    for whole in words::LEVERS {
                        language.controls.add_whole(id, whole);
                    }
                }
                if control.as_str() == "engine" {
                    // `start the car`
                    for whole in words::VEHICLES {
                        language.controls.add_whole(id, whole);
                    }
                }
            }
        }
        for (component, mode, data) in vehicle.faults() {
            language.modes[component.index()].push((mode, data.name.to_string()));
        }
        language.add_common_names();
        for (at, place) in vehicle.layout.places.iter().enumerate() {
            language.places.add(at, place.id.as_str());
            language.places.add_other(at, &place.title);
            for other in words::place_words(place.id.as_str()) {
                language.places.add_other(at, other);
            }
        }
        for (at, cover) in vehicle.layout.covers.iter().enumerate() {
            language.covers.add(at, cover.id.as_str());
            language.covers.add_other(at, &cover.title);
            for other in words::place_words(cover.id.as_str()) {
                language.covers.add_other(at, other);
            }
        }
        for symptom in Symptom::ALL {
            language.symptoms.add(symptom, symptom.word());
        }
        for (phrase, word) in words::SYMPTOM_WORDS {
            if let Some(symptom) = Symptom::from_word(word) {
                language.symptoms.add_other(symptom, phrase);
            }
        }
        language
    }

    /// Reads a line; `last` is the line that `again` stands for, itself without `again`. A line of
    /// blanks is no command and no problem.
    ///
    /// # Errors
    /// [`Problem`] for the first command on the line that cannot be read. None of the line is to be
    /// carried out then.
    pub fn read(&self, line: &str, last: Option<&str>) -> Result<Vec<Command>, Problem> {
        self.read_line(line, last)
            .map_err(|problem| problem.keeping(|text| self.read_line(text, last).is_ok()))
    }

    fn read_line(&self, line: &str, last: Option<&str>) -> Result<Vec<Command>, Problem> {
        if line.chars().count() > LINE_MAX {
            return Err(Problem {
                column: LINE_MAX + 1,
                message: format!("A line has at most {LINE_MAX} characters."),
                suggestions: Vec::new(),
            });
        }
        let mut commands = Vec::new();
        for words in self.commands_of(line) {
            if words.len() == 1 && words::ANSWERS.contains(&words.text(0)) {
                let message = "Nothing was asked, so there is nothing to answer.";
                return Err(Problem::at(&words, 0, message));
            }
            match (self.start(&words), last) {
                (Start::Verb(verb, _, next), Some(last)) if verb.does == Does::Again => {
                    self.nothing_after(&words, verb, next)?;
                    commands.extend(self.read_line(last, None)?);
                }
                (start, _) => match self.command(&words, start) {
                    Ok(command) => commands.push(command),
                    Err(problem) => {
                        let several = self.one_by_one(&words).map(Ok);
                        match several.or_else(|| self.in_position(&words)) {
                            Some(several) => commands.extend(several?),
                            None => return Err(self.respelled(&words, problem)),
                        }
                    }
                },
            }
            if commands.len() > COMMANDS_MAX {
                let message = format!("A line has at most {COMMANDS_MAX} commands.");
                return Err(Problem::at(&words, 0, message));
            }
        }
        Ok(commands)
    }

    /// What is no command as a whole may be several, told as one tells them: `key on and wiper low`, `key on,
    /// look`. Each has to begin with a verb or a control and to be whole by itself.
    fn one_by_one(&self, words: &Words<'_>) -> Option<Vec<Command>> {
        let parts = words.parts();
        if parts.len() < 2 {
            return None;
        }
        let read = |part: &Words<'_>| {
            let start = self.start(part);
            let told = match &start {
                Start::Verb(verb, ..) => verb.does != Does::Again,
                Start::Other(at) => !self.controls.at(part.list(), *at).is_empty(),
                Start::Several(..) | Start::Common(..) => false,
            };
            let command = told.then(|| self.command(part, start).ok()).flatten()?;
            // A word that is a consumer as well would be tried where another thing was listed.
            let tried = matches!(command, Command::Act(Action::Sense(Sense::Try(_))));
            (!tried).then_some(command)
        };
        parts.iter().map(read).collect()
    }

    /// The commands of a line.
    fn commands_of<'t>(&self, line: &'t str) -> Vec<Words<'t>> {
        let mut commands = self.segments(line);
        commands.retain(|words| !words.is_empty());
        commands
            .into_iter()
            .map(|words| self.joined(words))
            .collect()
    }

    /// A line cut at semicolons. A note takes the rest of the line, and so does the note of a hand-over;
    /// parts of a hand-over may stand apart by semicolons as well.
    fn segments<'t>(&self, line: &'t str) -> Vec<Words<'t>> {
        let mut segments = Vec::new();
        let mut from = 0;
        while from <= line.len() {
            let mut to = next_semicolon(line, from);
            // `key on then wiper low`; notes may tell what came then.
            let then = line[from..to].find(" then ").map(|at| from + at);
            let mut words = Words::new(line, from..to);
            match self.start(&words) {
                Start::Verb(verb, _, _) if verb.does == Does::Note => {
                    to = line.len();
                    words = Words::new(line, from..to);
                }
                Start::Verb(verb, _, next) if verb.does == Does::HandOver => {
                    to = verdicts::hand_over_end(line, &words, next, to);
                    words = Words::new(line, from..to);
                }
                Start::Verb(..) | Start::Several(..) | Start::Common(..) | Start::Other(_) => {
                    if let Some(then) = then {
                        to = then;
                        words = Words::new(line, from..to);
                    }
                }
            }
            segments.push(words);
            from = to + 1;
        }
        segments
    }

    fn command(&self, words: &Words<'_>, start: Start) -> Result<Command, Problem> {
        match start {
            Start::Verb(verb, word, next) => self
                .verb(words, verb, word, next)
                .or_else(|problem| self.verb_turned(words, (verb, word, next), problem)),
            Start::Several(at, could) => {
                let typed = words.typed(at..at + 1);
                let message = format!("`{typed}` could be short for {}.", listed(&could, "or"));
                let offers = could.iter().map(|word| words.with(at..at + 1, word));
                Err(Problem::at(words, at, message).offering(offers))
            }
            Start::Common(at, meant) => {
                let checks = matches!(words.text(at), "check" | "measure");
                // `measure the motor plug 53 drop`
                let last = checks.then(|| self.measured_last(words, at + 1)).flatten();
                if let Some(meant) = last {
                    return meant;
                }
                if let Some(question) = checks.then(|| self.which_check(words, at + 1)).flatten() {
                    return Err(question);
                }
                if checks && words.len() == at + 1 {
                    return Err(Self::checked_how(words, at, meant));
                }
                let typed = words.typed(at..at + 1);
                let message = format!(
                    "`{typed}` is not a command here; there is {}.",
                    listed(meant, "and")
                );
                let offers = meant.iter().flat_map(|word| {
                    [
                        words.with(at..at + 1, word),
                        words.with(at..words.len(), word),
                    ]
                });
                Err(Problem::at(words, at, message).offering(offers))
            }
            Start::Other(at) => self.without_verb(words, at),
        }
    }

    /// The question back to `measure` or `check` alone: each verb as it is typed.
    fn checked_how(words: &Words<'_>, at: usize, meant: &[&str]) -> Problem {
        let verbs = meant.iter().filter_map(|word| {
            let verb = verbs::VERBS.iter().find(|verb| verb.word == *word)?;
            Some(verb.example.to_owned())
        });
        let ways: Vec<String> = verbs.collect();
        let typed = words.typed(at..at + 1);
        let message = format!(
            "Say what to {typed} and where, by one of these: {}.",
            choices(&ways)
        );
        Problem::at(words, at, message).offering(ways)
    }

    fn nothing_after(&self, words: &Words<'_>, verb: &Verb, next: usize) -> Result<(), Problem> {
        let (from, to) = names::trimmed(words.list(), next);
        if from >= to {
            return Ok(());
        }
        // By the word that was typed: whoever washes knows of no `set`.
        let called = (0..next).find_map(|at| {
            let (named, word, _) = exact_verb(words, at)?;
            (named.does == verb.does).then_some(word)
        });
        let message = format!(
            "Nothing follows `{}`, so `{}` is too much.",
            called.unwrap_or(verb.word),
            words.typed(from..to)
        );
        Err(Problem::at(words, from, message).offering([words.with(next..words.len(), "")]))
    }
}

/// Where the command that begins at `from` ends, as far as semicolons tell.
fn next_semicolon(line: &str, from: usize) -> usize {
    let rest = line.get(from..).and_then(|rest| rest.find(';'));
    rest.map_or(line.len(), |at| from + at)
}

/// Words of the names of components, modes, repairs, places, covers and positions, each once.
fn vocabulary(vehicle: &Vehicle) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut add = |name: &str| {
        words.extend(
            names::split(name)
                .into_iter()
                .filter(|w| !names::has_digit(w)),
        )
    };
    for component in &vehicle.components {
        add(component.id.as_str());
        add(&component.title);
        component
            .control
            .iter()
            .for_each(|control| add(control.as_str()));
        component.positions().into_iter().for_each(&mut add);
        component
            .modes()
            .iter()
            .for_each(|mode| add(mode.name.as_str()));
        component
            .repairs
            .iter()
            .for_each(|repair| add(repair.name.as_str()));
    }
    vehicle
        .layout
        .places
        .iter()
        .for_each(|place| add(place.id.as_str()));
    vehicle
        .layout
        .covers
        .iter()
        .for_each(|cover| add(cover.id.as_str()));
    Symptom::ALL
        .into_iter()
        .for_each(|symptom| add(symptom.word()));
    words.sort_unstable();
    words.dedup();
    words
}
