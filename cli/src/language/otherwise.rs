//! What is said without a verb of the table and means something all the same: questions to the book, remarks, a battery
//! that is taken off, volts that are put somewhere.

use groundside_engine::vehicle::{ComponentId, Kind};
use groundside_engine::world::{Action, TEXT_MAX};

use super::names::Named;
use super::token::Words;
use super::words::is_filler;
use super::{Command, Language, Paper, Problem, choices};

/// Words that ask.
const ASKING: [&str; 5] = ["how", "what", "whats", "which", "where"];
/// Words of how an attempt is marked.
const MARKING: [&str; 6] = [
    "marked", "marking", "scored", "scoring", "graded", "grading",
];
/// Words of how large a fuse is.
const SIZE: [&str; 6] = ["size", "rating", "rated", "amp", "amps", "big"];
/// Beginnings of what is no command but worth a note.
const REMARKS: [&[&str]; 9] = [
    &["theyre"],
    &["they", "are"],
    &["they", "dont"],
    &["they", "do"],
    &["they", "wont"],
    &["it", "wont"],
    &["still", "dead"],
    &["nothing", "happens"],
    &["nothing", "moves"],
];

impl Language<'_> {
    /// What the words from `at` on mean, where they begin with no verb; `None` where it is for others to say.
    pub(super) fn otherwise(
        &self,
        words: &Words<'_>,
        at: usize,
    ) -> Option<Result<Command, Problem>> {
        let any = |known: &[&str]| (at..words.len()).any(|n| known.contains(&words.text(n)));
        let book = |topic: &str| Some(Ok(Command::Paper(Paper::Data(Some(topic.to_owned())))));
        let asks = ASKING.contains(&words.text(at));
        if asks && any(&MARKING) {
            return book("marking");
        }
        if (asks || words.text(at).starts_with("fuse")) && any(&["fuse", "fuses"]) && any(&SIZE) {
            return book("protection");
        }
        if REMARKS.iter().any(|remark| words.have(at, remark)) {
            let text: String = words
                .whole(at..words.len())
                .chars()
                .take(TEXT_MAX)
                .collect();
            return Some(Ok(Command::Act(Action::Note(text))));
        }
        if ["lower", "drop"].contains(&words.text(at)) && !self.arms_named(words, at + 1).is_empty()
        {
            let message = "An arm that is moved by hand is let down again with it.";
            let arms = self.arms_named(words, at + 1).into_iter();
            let ways = arms.map(|id| format!("move {}", self.vehicle.component(id).id));
            let move_it = Problem::at(words, at, message).offering(ways);
            return Some(Err(move_it));
        }
        let told = self
            .shorted(words, at)
            .or_else(|| self.asked(words, at))
            .or_else(|| Self::marked(words, at))
            .or_else(|| self.ordered(words, at));
        if let Some(problem) = told {
            return Some(Err(problem));
        }
        self.battery_off(words, at)
            .map(|action| Ok(Command::Act(action)))
    }

    /// What to say to `mark the arms`: what comes off the shaft goes back by how the motor stands.
    fn marked(words: &Words<'_>, at: usize) -> Option<Problem> {
        const OF: [&str; 10] = [
            "arm",
            "arms",
            "blade",
            "blades",
            "crank",
            "nut",
            "spline",
            "splines",
            "position",
            "positions",
        ];
        let of = |n: usize| OF.contains(&words.text(n));
        if !["mark", "chalk", "scribe"].contains(&words.text(at)) || !(at + 1..words.len()).any(of)
        {
            return None;
        }
        let message = "Nothing is marked here. The arms stay on, and the crank goes back right once the motor has run \
                       to park: `wiper off; look`, then `tighten crank nut`.";
        let ways = ["wiper off; look", "tighten crank nut", "look linkage"];
        Some(Problem::at(words, at, message).offering(ways.map(str::to_owned)))
    }

    /// What to say to `order a new wiper switch`: what fits it.
    pub(super) fn ordered(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        const NEW: [&str; 7] = ["a", "an", "new", "another", "good", "spare", "me"];
        let small = |n: &usize| NEW.contains(&words.text(*n)) || is_filler(words.text(*n));
        let from = at + 1 + (at + 1..words.len()).take_while(small).count();
        let ordered = match words.text(at) {
            "order" | "buy" | "fetch" => true,
            "get" => (at + 1..from).any(|n| words.text(n) == "new"),
            _ => false,
        };
        if !ordered {
            return None;
        }
        let parts = match self.components.whole(words.list(), from, |_| true) {
            Named::None => Vec::new(),
            Named::One(id) => vec![id],
            Named::Several(all) => all,
        };
        let each = |id: &ComponentId| {
            let part = self.vehicle.component(*id);
            let good = Self::has_known_good(part).then(|| format!("substitute {}", part.id));
            let repairs = part.repairs.iter();
            let repairs = repairs.map(|repair| format!("repair {} {}", part.id, repair.name));
            repairs.chain(good).collect::<Vec<String>>()
        };
        let mut ways: Vec<String> = parts.iter().flat_map(each).collect();
        if ways.is_empty() {
            ways.push("data repairs and prices".to_owned());
        }
        let message = format!(
            "Nothing has to be ordered here; a part comes with its repair: {}.",
            choices(&ways)
        );
        Some(Problem::at(words, at, message).offering(ways))
    }

    /// The arms that the words from `at` on name, alike.
    pub(super) fn arms_named(&self, words: &Words<'_>, at: usize) -> Vec<ComponentId> {
        let arm = |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Arm { .. });
        match self.components.whole(words.list(), at, arm) {
            Named::None => Vec::new(),
            Named::One(id) => vec![id],
            Named::Several(all) => all,
        }
    }

    /// The question back to `short the switch`, `short wiper breaker`; a failure that begins so is none.
    fn shorted(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        if words.text(at) != "short" {
            return None;
        }
        match self.bridged(words, at + 1) {
            Ok((first, second)) => {
                let [first, second] = [first, second].map(|point| self.vehicle.point_name(point));
                let way = format!("jumper {first} {second}");
                let message = format!("What bridges a part is a fused lead: `{way}`.");
                Some(Problem::at(words, at, message).offering([way]))
            }
            Err(problem) => {
                let mut offers = problem.suggestions.iter();
                let leads = offers.any(|offer| offer.starts_with("jumper "));
                leads.then_some(problem)
            }
        }
    }

    /// `battery off`, `battery back on`: its ground strap.
    fn battery_off(&self, words: &Words<'_>, at: usize) -> Option<Action> {
        let last = words.len().checked_sub(1).filter(|last| *last > at)?;
        let off = match words.text(last) {
            "off" => true,
            "on" => false,
            _ => return None,
        };
        let end = if words.text(last - 1) == "back" {
            last - 1
        } else {
            last
        };
        let battery = words.until(end);
        let is_battery =
            |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Battery(_));
        let named = self.components.whole(battery.list(), at, is_battery);
        let word = battery.text(end.saturating_sub(1));
        if !matches!(named, Named::One(_)) || !word.starts_with("bat") {
            return None;
        }
        self.plug_of(&battery, at, off)
    }

    /// The question back where volts are to be put somewhere by a verb that works controls: `put 12 volts on 53`, `run the
    /// motor off the battery`.
    pub(super) fn fed(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        let said = |known: &[&str]| (at..words.len()).any(|n| known.contains(&words.text(n)));
        let volts = said(&["volts", "volt", "12v", "power", "supply", "current"])
            || said(&["motor"]) && said(&["battery", "leads", "lead"]);
        if !volts {
            return None;
        }
        let motor = self
            .vehicle
            .ids()
            .find(|&id| matches!(self.vehicle.component(id).kind, Kind::Motor(_)))?;
        let motor = self.vehicle.component(motor);
        let named = |name: &str| (at..words.len()).any(|n| words.text(n) == name);
        let fed = motor
            .terminals
            .iter()
            .filter(|terminal| named(terminal.name.as_str()))
            .map(|terminal| format!("jumper {} {} battery pos", motor.id, terminal.name));
        let ways: Vec<String> = fed
            .chain(["data in-place tests", "help jumper"].map(str::to_owned))
            .collect();
        let message = format!(
            "A part is fed by fused leads, the motor's end first: {}.",
            choices(&ways)
        );
        Some(Problem::at(words, at, message).offering(ways))
    }

    /// Whether nothing is named but `it` or `them`.
    pub(super) fn only_it(words: &Words<'_>, at: usize) -> bool {
        let named = |n: &usize| !is_filler(words.text(*n));
        let mut rest = (at..words.len()).filter(named);
        let first = rest
            .next()
            .is_some_and(|n| ["it", "them"].contains(&words.text(n)));
        first && rest.next().is_none()
    }
}
