//! What is told only to say with what, what for or by whom, and what to say where too little or the wrong
//! thing is told behind a verb.

use groundside_engine::vehicle::{Component, ComponentId};

use super::acts::implied;
use super::names::{Named, trimmed};
use super::things::is_connector;
use super::token::Words;
use super::words::is_filler;
use super::{Does, Language, Problem, Verb, choices, exact_verb, listed};

/// Words that say which lead goes where, which the order says already.
const LEADS: &[&str] = &[
    "red",
    "black",
    "probe",
    "with",
    "against",
    "versus",
    "terminals",
    "posts",
    "poles",
    "clamps",
    "back",
];

/// Words for a part of the workshop's that another is swapped for.
const GOOD: [&str; 12] = [
    "a",
    "an",
    "good",
    "known",
    "new",
    "spare",
    "fresh",
    "another",
    "different",
    "one",
    "part",
    "workshops",
];

impl Language<'_> {
    /// The words that say what is done, without those that only say with what or what for: `amps in ...`,
    /// `feel motor for heat`, `move left arm by hand`, `plug motor back in`.
    pub(super) fn told_only<'t>(&self, words: &Words<'t>, does: Does, at: usize) -> Words<'t> {
        let last = |words: &Words<'t>| words.text(words.len().saturating_sub(1)).to_owned();
        match does {
            Does::Volts
            | Does::Drop
            | Does::Ohms
            | Does::Continuity
            | Does::Diode
            | Does::Lamp
            | Does::Load
            | Does::Clip
            | Does::Jumper => {
                let clip =
                    |word: &str| ["meter", "volts", "voltmeter"].contains(&word) || is_filler(word);
                let words = words.without(at, |word| does == Does::Clip && clip(word));
                words.sifted(at, LEADS)
            }
            Does::Amps | Does::Clamp | Does::Trace => {
                let small = [
                    "in", "through", "around", "round", "into", "current", "amps", "draw", "drawn",
                    "by",
                ];
                words.without(at, |word| small.contains(&word) || is_filler(word))
            }
            // `look for corrosion at the cowl ground`
            Does::Look | Does::Smell | Does::Listen if words.text(at) == "for" => {
                let place =
                    (at..words.len()).find(|n| ["at", "on", "in"].contains(&words.text(*n)));
                match place {
                    Some(place) if does != Does::Listen => words.cut(at..place),
                    None if does == Does::Look => words.clone(),
                    _ => words.until(at),
                }
            }
            Does::Listen => {
                let what_for = (at..words.len()).find(|n| words.text(*n) == "for");
                words.until(what_for.unwrap_or(words.len()))
            }
            // `feel if the motor is hot`
            Does::Feel if ["if", "whether", "how"].contains(&words.text(at)) => {
                let told = words.without(at, |word| {
                    ["if", "whether", "how", "hot", "warm"].contains(&word) || is_filler(word)
                });
                let is = (at..told.len()).find(|n| told.text(*n) == "is");
                told.until(is.unwrap_or(told.len()))
            }
            // `put a good breaker in`, `put a new relay in`
            Does::Substitute | Does::Repair if last(words) == "in" => words.until(words.len() - 1),
            // `swap the relay with a good one`, but not one for another part
            Does::Substitute => {
                let good = |n: usize| GOOD.contains(&words.text(n)) || is_filler(words.text(n));
                let behind = |n: &usize| match words.text(*n) {
                    "for" => {
                        let named = self.components.whole(words.list(), n + 1, |_| true);
                        named == Named::None
                    }
                    "with" | "against" => (n + 1..words.len()).all(good),
                    _ => false,
                };
                let cut = (at + 1..words.len()).find(behind);
                words.until(cut.unwrap_or(words.len()))
            }
            Does::Feel | Does::Smell | Does::Wiggle | Does::Look => {
                let what_for = (at + 1..words.len()).find(|n| words.text(*n) == "for");
                words.until(what_for.unwrap_or(words.len()))
            }
            Does::Move | Does::Assist | Does::Hold if last(words) == "hand" => {
                words.until(words.len() - 2)
            }
            Does::Plug => {
                let mut cut = words.clone();
                while cut.len() > at + 1 && ["back", "in", "again"].contains(&last(&cut).as_str()) {
                    cut = cut.until(cut.len() - 1);
                }
                cut
            }
            _ => words.clone(),
        }
    }

    /// What to say when the helper is asked for what is no control: what comes behind is for oneself.
    pub(super) fn not_for_helper(
        &self,
        words: &Words<'_>,
        from: usize,
        problem: Problem,
    ) -> Problem {
        let other = exact_verb(words, from).filter(|(verb, _, _)| verb.does != Does::Set);
        let rest = words.typed(from..words.len());
        if other.is_none() || self.read_line(&rest, None).is_err() {
            return problem;
        }
        let message = format!(
            "The helper only works controls, as in `helper wiper low`; `{rest}` is for yourself."
        );
        Problem::at(words, from, message).offering([rest])
    }

    /// What to say when a plug, or what has one, is pulled at as a whole.
    pub(super) fn pulled_apart(
        &self,
        words: &Words<'_>,
        at: usize,
        word: &str,
        problem: Problem,
    ) -> Problem {
        let Named::One(id) = self.components.whole(words.list(), at, |_| true) else {
            let (from, to) = trimmed(words.list(), at);
            let unread = (from..to).any(|n| !self.points_at(words, n).is_empty());
            let of_kind = || {
                let none = self.none_of_kind(
                    words,
                    from..to,
                    |_| true,
                    |id| vec![format!("wiggle {}", self.vehicle.component(id).id)],
                );
                none.filter(|_| !unread)
            };
            return self.fuses(words, at).or_else(of_kind).unwrap_or(problem);
        };
        if self.vehicle.component(id).is_conductor() {
            return self.one_end(words, at, (id, word), problem);
        }
        let plug = if is_connector(self.vehicle.component(id)) {
            Some(id)
        } else {
            self.connector_of(id)
        };
        if plug.is_none() && word == "pull" {
            return self.no_plug(words, at, id, problem);
        }
        let Some(plug) = plug.filter(|_| word.starts_with("pull")) else {
            return problem;
        };
        let plug = &self.vehicle.component(plug).id;
        let mut told = problem;
        told.message = format!(
            "To take it apart, `unplug {plug}`; to pull at one terminal, name it. {}",
            told.message
        );
        told.suggestions.insert(0, format!("unplug {plug}"));
        told
    }

    /// What to say when a wire or strap is pulled at as a whole: one end at a time.
    fn one_end(
        &self,
        words: &Words<'_>,
        at: usize,
        (id, word): (ComponentId, &str),
        problem: Problem,
    ) -> Problem {
        let component = self.vehicle.component(id);
        let ends = self.ends_of(id, "").map(|(p, n)| [p, n]);
        let Some(ends) = ends else { return problem };
        let own = ends.map(|end| format!("tug {}", self.vehicle.point_name(end)));
        let mut ways: Vec<String> = own.into_iter().collect();
        ways.push(format!("wiggle {}", component.id));
        if is_connector(component) && word.starts_with("pull") {
            ways.insert(0, format!("unplug {}", component.id));
        }
        let message = format!(
            "One end of {} is pulled at, or all of it shaken: {}.",
            component.id,
            choices(&ways)
        );
        Problem::at(words, at, message).offering(ways)
    }

    /// What to say when a part without a plug is pulled: what can be done with it whole, and how one terminal is pulled at.
    fn no_plug(
        &self,
        words: &Words<'_>,
        at: usize,
        id: ComponentId,
        mut problem: Problem,
    ) -> Problem {
        let component = self.vehicle.component(id);
        let name = &component.id;
        let mut ways = vec![format!("look {name}")];
        if Self::has_known_good(component) {
            ways.push(format!("substitute {name}"));
        }
        let repairs = component.repairs.iter();
        ways.extend(repairs.map(|repair| format!("repair {name} {}", repair.name)));
        let mut message = format!(
            "{name} has no plug of its own and does not come out by itself: {}.",
            choices(&ways)
        );
        if let Some(terminal) = component.terminals.first() {
            let pull = format!("tug {name} {}", terminal.name);
            message.push_str(&format!(
                " One terminal is pulled at by its name: `{pull}`."
            ));
            ways.push(pull);
        }
        problem.message = message;
        problem.column = words.column(at);
        problem.suggestions = ways;
        problem
    }

    /// What to say to a verb that stands alone and needs more.
    pub(super) fn nothing_named(
        &self,
        words: &Words<'_>,
        verb: &'static Verb,
        word: &str,
    ) -> Problem {
        // A bare `h` is more often a cry for help than for the helper.
        if verb.does == Does::Helper {
            let message = "The helper works a control: `helper wiper off`; for help type `help`.";
            return Problem::at(words, words.len(), message)
                .offering([verb.example.to_owned(), "help".to_owned()]);
        }
        if verb.does == Does::Set && !word.is_empty() && word != verb.word {
            let position = implied(word).unwrap_or("on");
            let has = |c: &&Component| c.positions().contains(&position);
            let ways: Vec<String> = self
                .vehicle
                .controls()
                .map(|(_, c)| c)
                .filter(has)
                .filter_map(|c| Some(format!("{} {position}", c.control.as_ref()?)))
                .collect();
            let message = format!("What is to be worked: {}?", listed(&ways, "or"));
            return Problem::at(words, words.len(), message).offering(ways);
        }
        let message = format!(
            "`{}` needs more: `{} {}`.",
            verb.word, verb.word, verb.arguments
        );
        Problem::at(words, words.len(), message).offering([verb.example.to_owned()])
    }
}
