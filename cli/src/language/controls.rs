//! Controls and their positions, and commands that begin with no verb, most of which are such.

use groundside_engine::ident::Name;
use groundside_engine::vehicle::{ComponentId, Region};
use groundside_engine::world::{Action, Sense};

use super::conditions::behind_no_fault;
use super::names::{Best, EXACT, Named, OTHER_NAME};
use super::things::is_consumer;
use super::token::Words;
use super::words::{CONTROL_NOUNS, MID_GLASS, POSITION_WORDS, is_filler};
use super::{Command, Does, Language, Problem, exact_verb, listed, names, near_verbs};

impl Language<'_> {
    /// Reads a control and its position, in any order; `implied` is the position that the verb says where no
    /// other is told: `start the engine`.
    pub(super) fn control(
        &self,
        words: &Words<'_>,
        at: usize,
        by_helper: bool,
        implied: Option<&str>,
    ) -> Result<Action, Problem> {
        let mut best = Best::new();
        let mut refused: Option<(usize, usize, Problem)> = None;
        for from in at..words.len() {
            for found in self.controls.at(words.list(), from) {
                let rest = (at..from)
                    .chain(found.next..words.len())
                    .collect::<Vec<usize>>();
                match self.position(words, found.item, &rest, implied) {
                    Ok((position, mid)) => best.offer((found.item, position, mid), found.rank),
                    Err(problem) => {
                        // The control named with most words is the one that was meant.
                        let used = found.next - from;
                        if refused.as_ref().is_none_or(|(_, most, _)| used > *most) {
                            refused = Some((from, used, problem));
                        }
                    }
                }
            }
        }
        if let (Named::None, None) = (best.clone().named(), &refused) {
            let rest: Vec<usize> = (at..words.len()).collect();
            // A bare position is the wiper switch's when it has one of that name: `low`, `off`.
            for wiper in [true, false] {
                if matches!(best.clone().named(), Named::None) {
                    for (id, component) in self.vehicle.controls() {
                        let read = self.position(words, id, &rest, None);
                        if let Ok((position, mid)) = read
                            && wiper
                                == component
                                    .control
                                    .as_ref()
                                    .is_some_and(|word| word.as_str() == "wiper")
                        {
                            best.offer((id, position, mid), EXACT);
                        }
                    }
                }
            }
        }
        match best.named() {
            Named::One((component, position, at_mid_glass)) => Ok(Action::Control {
                component,
                position,
                at_mid_glass,
                by_helper,
            }),
            Named::Several(all) => {
                let control = |id: ComponentId| {
                    let data = self.vehicle.component(id);
                    data.control.as_ref().unwrap_or(&data.id).to_string()
                };
                let named = |&(id, position, _): &(ComponentId, usize, bool)| {
                    format!(
                        "{} {}",
                        control(id),
                        self.vehicle.component(id).positions()[position]
                    )
                };
                let all: Vec<String> = all.iter().map(named).collect();
                let message = format!(
                    "`{}` could be {}.",
                    words.typed(at..words.len()),
                    listed(&all, "or")
                );
                Err(Problem::at(words, at, message)
                    .offering(all.iter().map(|way| words.with(at..words.len(), way))))
            }
            Named::None => Err(refused.map_or_else(
                || {
                    let all: Vec<&str> = self.control_names().collect();
                    let typed = words.typed(at..words.len());
                    let message = format!(
                        "There is no control in `{typed}`; there is {}.",
                        listed(&all, "and")
                    );
                    Problem::at(words, at, message)
                },
                |(_, _, problem)| problem,
            )),
        }
    }

    /// The position that words, by number, put a control in, and whether at mid-glass.
    fn position(
        &self,
        words: &Words<'_>,
        id: ComponentId,
        rest: &[usize],
        implied: Option<&str>,
    ) -> Result<(usize, bool), Problem> {
        let component = self.vehicle.component(id);
        let control = component.control.as_ref().unwrap_or(&component.id).as_str();
        let positions = component.positions();
        let mut chosen: Option<usize> = None;
        let mut mid = false;
        let offers = || {
            positions
                .iter()
                .map(|name| words.with(0..words.len(), &format!("{control} {name}")))
        };
        let all = || listed(&positions, "or");
        for &n in rest {
            let word = words.text(n);
            let word = match POSITION_WORDS.iter().find(|(typed, _)| *typed == word) {
                Some(("park", _)) if component.region != Region::Switch => word,
                Some((_, meant)) if !positions.contains(&word) => meant,
                _ => word,
            };
            let exact = positions.iter().position(|name| *name == word);
            let exact = exact.or_else(|| numbered(words.text(n), &positions));
            let short: Vec<usize> = (0..positions.len())
                .filter(|&p| names::is_short_for(word, positions[p]))
                .collect();
            let found = exact.or(if short.len() == 1 {
                Some(short[0])
            } else {
                None
            });
            if MID_GLASS.contains(&word) {
                mid = true;
            } else if let Some(found) = found {
                if chosen.is_some_and(|other| other != found) {
                    let message =
                        format!("The {control} stands in one position at a time: {}.", all());
                    return Err(Problem::at(words, n, message).offering(offers()));
                }
                chosen = Some(found);
            } else if !is_filler(word) && !CONTROL_NOUNS.contains(&word) {
                let typed = words.typed(n..n + 1);
                let message = format!("The {control} has no position `{typed}`; it has {}.", all());
                return Err(Problem::at(words, n, message).offering(offers()));
            }
        }
        let implied = implied.and_then(|word| positions.iter().position(|name| *name == word));
        match chosen.or(implied) {
            Some(position) => Ok((position, mid)),
            None => {
                // `turn on the wipers` is to one of several positions, none of which is off.
                let on = rest.iter().any(|n| words.text(*n) == "on");
                let besides: Vec<&str> = positions
                    .iter()
                    .copied()
                    .filter(|name| *name != "off")
                    .collect();
                if on && besides.len() < positions.len() {
                    let message = format!("On is {} with the {control}.", listed(&besides, "or"));
                    let offers = besides
                        .iter()
                        .map(|name| words.with(0..words.len(), &format!("{control} {name}")));
                    return Err(Problem::at(words, words.len(), message).offering(offers));
                }
                let message = format!("The {control} goes to {}.", all());
                Err(Problem::at(words, words.len(), message).offering(offers()))
            }
        }
    }

    /// The wiper's position that a word alone is short for: `int`. Positions that this vehicle has not are told from words
    /// that are none.
    fn cut_position(&self, words: &Words<'_>, at: usize) -> Option<Result<Action, Problem>> {
        const ELSEWHERE: [&str; 4] = ["int", "interval", "med", "medium"];
        let word = words.text(at);
        let (id, wiper) = self.vehicle.controls().find(|(_, component)| {
            let control = component.control.as_ref();
            control.is_some_and(|control| control.as_str() == "wiper")
        })?;
        let meant = POSITION_WORDS.iter().find(|(typed, _)| *typed == word);
        let meant = meant.map_or(word, |(_, meant)| *meant);
        let mut positions = wiper.positions().into_iter();
        let short = positions.any(|name| names::is_short_for(word, name));
        if words.len() != at + 1 || !(short || ELSEWHERE.contains(&meant)) {
            return None;
        }
        let read = self.position(words, id, &[at], None);
        Some(read.map(|(position, at_mid_glass)| Action::Control {
            component: id,
            position,
            at_mid_glass,
            by_helper: false,
        }))
    }

    /// The words that controls are worked by.
    pub(super) fn control_names(&self) -> impl Iterator<Item = &str> {
        self.vehicle
            .controls()
            .filter_map(|(_, c)| c.control.as_ref().map(Name::as_str))
    }

    /// A measurement whose verb comes last: `motor 53 volts`, `battery voltage`, `motor plug 53 drop`.
    fn verb_last(&self, words: &Words<'_>, at: usize) -> Option<Command> {
        self.measured_last(words, at)?.ok()
    }

    /// The same with the question back where what is measured is not told well enough.
    pub(super) fn measured_last(
        &self,
        words: &Words<'_>,
        at: usize,
    ) -> Option<Result<Command, Problem>> {
        let last = words.len().checked_sub(1).filter(|last| *last > at)?;
        let (verb, word, _) = exact_verb(words, last)?;
        let measures = matches!(
            verb.does,
            Does::Volts | Does::Drop | Does::Ohms | Does::Amps
        );
        // A short form there is sooner the name of something.
        let spelled = word != verb.short;
        let moved = words.moved(last, at);
        (measures && spelled).then(|| self.verb(&moved, verb, word, at + 1))
    }

    /// Reads a command that begins with no verb: a control, a consumer, a position, a place.
    pub(super) fn without_verb(&self, words: &Words<'_>, at: usize) -> Result<Command, Problem> {
        let list = words.list();
        if at >= words.len() {
            return Err(Problem::at(
                words,
                at,
                "Say what to do; `help` shows the commands.",
            ));
        }
        if let Some(command) = self.verb_last(words, at) {
            return Ok(command);
        }
        if behind_no_fault(words, at).is_some() {
            return match self.verdict(words, at) {
                Ok(verdict) => Ok(Command::Act(Action::Conclude(verdict))),
                Err(mut problem) => {
                    for suggestion in &mut problem.suggestions {
                        *suggestion = format!("conclude {suggestion}");
                    }
                    Err(problem)
                }
            };
        }
        if let Some(meant) = self.otherwise(words, at) {
            return meant;
        }
        if let Some(problem) = Self::known_elsewhere(words, at) {
            return Err(problem);
        }
        let point = self
            .points(words, at, 1..=1)
            .ok()
            .and_then(|points| points.first().copied());
        let only_a_point = |point| {
            let name = self.vehicle.point_name(point);
            let message = format!("Say what to do with {name}, as in `volts {name}`.");
            let offers = ["volts", "clip", "ohms"].map(|verb| format!("{verb} {name}"));
            Problem::at(words, at, message).offering(offers)
        };
        // One word alone may be a control or consumer as well, and is that first.
        if let Some(point) = point.filter(|_| words.len() > at + 1) {
            return Err(only_a_point(point));
        }
        let consumer = |id: ComponentId| is_consumer(self.vehicle.component(id));
        // Behind the name of one, `on` is no filler but its position.
        let behind = words.text(words.len().saturating_sub(1));
        if let Named::One(id) = self
            .components
            .whole(list, at, |id| consumer(id) && !is_filler(behind))
        {
            return Ok(Command::Act(Action::Sense(Sense::Try(id))));
        }
        if !self.controls.at(list, at).is_empty() {
            return self.control(words, at, false, None).map(Command::Act);
        }
        if let Some(found) = self
            .components
            .at(list, at)
            .iter()
            .find(|f| f.rank <= OTHER_NAME && consumer(f.item))
        {
            let id = &self.vehicle.component(found.item).id;
            let message = format!("The {id} is only tried for a moment: `try {id}`.");
            return Err(Problem::at(words, found.next, message).offering([format!("try {id}")]));
        }
        let position = |word: &str| {
            self.vehicle
                .controls()
                .any(|(_, c)| c.positions().contains(&word))
        };
        if position(words.text(at)) {
            return self.control(words, at, false, None).map(Command::Act);
        }
        if let Some(read) = self.cut_position(words, at) {
            return read.map(Command::Act);
        }
        // `slow`, `park the wipers`; a component's name may begin with such a word as well.
        let other = POSITION_WORDS
            .iter()
            .any(|(word, _)| *word == words.text(at));
        if other && let Ok(action) = self.control(words, at, false, None) {
            return Ok(Command::Act(action));
        }
        if self
            .places
            .at(list, at)
            .iter()
            .any(|f| f.rank <= OTHER_NAME && f.next == words.len())
        {
            return self.go(words, at).map(Command::Act);
        }
        let fuse = self.fuse_named(words, at).filter(|n| *n <= at + 1);
        if let Some(problem) = fuse.and_then(|_| self.fuses(words, at)) {
            return Err(problem);
        }
        if let Some(point) = point {
            return Err(only_a_point(point));
        }
        if let Named::One(id) = self.components.whole(list, at, |_| true) {
            let id = &self.vehicle.component(id).id;
            let message = format!("Say what to do with {id}, as in `feel {id}`.");
            let offers = ["volts", "feel", "repair", "conclude"].map(|verb| format!("{verb} {id}"));
            return Err(Problem::at(words, at, message).offering(offers));
        }
        if let Ok(verdict) = self.verdict(words, at) {
            let name = self.verdict_name(&verdict);
            let id = &self.vehicle.component(verdict.component).id;
            let message = format!("Say what to do with that, as in `conclude {name}`.");
            let offers = [format!("conclude {name}"), format!("repair {id}")];
            return Err(Problem::at(words, at, message).offering(offers));
        }
        let grounds = self.failed_earths(words, at);
        if !grounds.is_empty() {
            let names: Vec<String> = grounds.iter().map(|v| self.verdict_name(v)).collect();
            let message = format!(
                "Say what to do with that and with which: `{}` could be {}.",
                words.typed(at..words.len()),
                listed(&names, "or")
            );
            let offers = names.iter().map(|name| format!("conclude {name}"));
            return Err(Problem::at(words, at, message).offering(offers));
        }
        let near = near_verbs(words.text(at), self.control_names());
        let typed = words.typed(at..at + 1);
        let message = if near.is_empty() {
            format!("`{typed}` is no command here; `help` shows them.")
        } else {
            format!(
                "`{typed}` is no command here; did you mean {}?",
                listed(&near, "or")
            )
        };
        Err(Problem::at(words, at, message)
            .offering(near.iter().map(|word| words.with(at..at + 1, word))))
    }
}

/// The position that a number names, where positions are counted from off: `lever to 1`, `key 2`. Not where one of them
/// wipes at intervals, which stalks do not number alike.
fn numbered(word: &str, positions: &[&str]) -> Option<usize> {
    let number: usize = word.parse().ok()?;
    let counted = positions.first() == Some(&"off") && !positions.contains(&"interval");
    (counted && word.len() == 1 && number < positions.len()).then_some(number)
}
