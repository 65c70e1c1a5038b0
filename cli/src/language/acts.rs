//! What follows each verb.

use groundside_engine::vehicle::{Component, ComponentId, Kind, Point};
use groundside_engine::world::{Action, Measurement, Sense, TEXT_MAX, WAIT_MAX_S};

use super::names::{Named, trimmed};
use super::things::{is_consumer, is_linkage};
use super::token::Words;
use super::words::{CONTROL_NOUNS, MID_GLASS, is_filler};
use super::{
    Command, Does, Language, Only, Paper, Problem, Start, Verb, exact_verb, near_verbs, verbs,
};

impl Language<'_> {
    /// Reads what follows a verb.
    pub(super) fn verb(
        &self,
        words: &Words<'_>,
        verb: &'static Verb,
        word: &'static str,
        at: usize,
    ) -> Result<Command, Problem> {
        let cut = self.told_only(words, verb.does, at);
        let words = &cut;
        let act = |action| Ok(Command::Act(action));
        let alone = |words, command| self.nothing_after(words, verb, at).map(|()| command);
        let quiet = |sense| Command::Act(Action::Sense(sense));
        let (from, to) = trimmed(words.list(), at);
        if from >= to && verb.arguments.starts_with(|c: char| c.is_ascii_uppercase()) {
            return Err(self.nothing_named(words, verb));
        }
        match verb.does {
            Does::Volts => act(self.measure(words, at, Measurement::Volts, 1)?),
            Does::Drop => act(self.measure(words, at, Measurement::Volts, 2)?),
            Does::Ohms => act(self.measure(words, at, Measurement::Ohms, 1)?),
            Does::Continuity => act(self.measure(words, at, Measurement::Continuity, 1)?),
            Does::Diode => act(self.measure(words, at, Measurement::Diode, 1)?),
            Does::Amps => act(self.amps(words, at)?),
            Does::Lamp => act(self.measure(words, at, Measurement::Lamp, 1)?),
            Does::Load => act(self.measure(words, at, Measurement::Load, 1)?),
            Does::Clamp => act(Action::Clamp(self.wire(words, at)?)),
            Does::Trace => act(Action::Trace(self.wire(words, at)?)),
            Does::BatteryTest => alone(words, Command::Act(Action::BatteryTest)),
            Does::Zero => {
                let what = ["ohms", "meter", "leads"].contains(&words.text(from));
                self.nothing_after(words, verb, from + usize::from(what))?;
                act(Action::Zero)
            }
            Does::NewFuse => alone(words, Command::Act(Action::NewFuse)),
            Does::Jumper => {
                // `jumper from A to B`, `jumper off`
                let points = self.points(words, at, 2..=2)?;
                let [first, second] = [points[0], points[1]];
                act(Action::Jumper { first, second })
            }
            Does::RemoveJumper => {
                let told = |n: &usize| MID_GLASS.contains(&words.text(*n));
                let at_mid_glass = from < to && (from..to).any(|n| told(&n));
                let more = |n: &usize| !told(n) && !CONTROL_NOUNS.contains(&words.text(*n));
                let next = if at_mid_glass {
                    (from..to).find(more).unwrap_or(to)
                } else {
                    at
                };
                self.nothing_after(words, verb, next)?;
                act(Action::RemoveJumper { at_mid_glass })
            }
            Does::Clip => {
                let (red, black) = self.leads(words, at, 1)?;
                act(Action::Clip { red, black })
            }
            Does::Unclip => alone(words, Command::Act(Action::Unclip)),
            Does::Set if word == "wash" => act(self.wash(words, verb, at)?),
            Does::Set => act(self.control(words, at, false, implied(word))?),
            Does::Helper => {
                // `helper, put the wiper off`, `ask the helper to start the engine`: one verb within another.
                let verb = exact_verb(words, from).filter(|(verb, _, _)| verb.does == Does::Set);
                let (word, next) = verb.map_or(("", at), |(_, word, next)| (word, next));
                act(self.control(words, next, true, implied(word))?)
            }
            Does::Look => act(Action::Sense(self.look(words, at, word)?)),
            Does::Listen => {
                // Motor and breaker are heard from anywhere, so whichever is named is heard.
                let named = self.components.whole(words.list(), at, |_| true) != Named::None;
                if named {
                    Ok(quiet(Sense::Listen))
                } else {
                    alone(words, quiet(Sense::Listen))
                }
            }
            Does::Feel => act(Action::Sense(Sense::Feel(self.component(
                words,
                at,
                "component",
                |_| true,
            )?))),
            Does::Smell => act(Action::Sense(Sense::Smell(self.component(
                words,
                at,
                "component",
                |_| true,
            )?))),
            Does::Tug => act(Action::Tug(self.points(words, at, 1..=1)?[0])),
            Does::Wiggle => act(Action::Wiggle(self.component(
                words,
                at,
                "component",
                |_| true,
            )?)),
            Does::Ask => {
                // What to ask is known: `ask the driver when it happens`.
                let asks = [
                    "what", "how", "when", "where", "about", "if", "whether", "again",
                ];
                let next = if asks.contains(&words.text(from)) {
                    to
                } else {
                    at
                };
                self.nothing_after(words, verb, next)?;
                act(Action::Ask)
            }
            Does::Substitute => {
                let part = self.component(words, at, "part to swap", Component::has_replacement)?;
                act(Action::Substitute(part))
            }
            Does::SwapBack if from >= to || from + 1 == to && words.text(from) == "it" => {
                Ok(Command::Only(Only::SwapBack))
            }
            Does::SwapBack => {
                let part =
                    self.component(words, at, "part to swap back", Component::has_replacement)?;
                act(Action::PutBack(part))
            }
            Does::Ammeter => alone(words, quiet(Sense::Ammeter)),
            Does::Count => {
                let what = [
                    "cycles", "strokes", "wipes", "sweeps", "speed", "it", "per", "a", "minute",
                    "blades", "wipers",
                ];
                let told = (from..to).take_while(|n| what.contains(&words.text(*n)));
                self.nothing_after(words, verb, from + told.count())?;
                Ok(quiet(Sense::Count))
            }
            Does::Try => act(Action::Sense(Sense::Try(self.component(
                words,
                at,
                "consumer",
                is_consumer,
            )?))),
            Does::Go => act(self.go(words, at)?),
            Does::Remove | Does::Fit | Does::Loosen | Does::Tighten | Does::Unplug | Does::Plug => {
                act(self.off_or_on(words, at, verb.does, word)?)
            }
            Does::Move => act(Action::MoveArm(self.arm(words, at)?)),
            Does::Assist => act(Action::Assist(self.arm(words, at)?)),
            Does::Wet => {
                let what =
                    ["glass", "screen", "windscreen", "windshield"].contains(&words.text(from));
                self.nothing_after(words, verb, from + usize::from(what))?;
                act(Action::WetGlass)
            }
            Does::Wait => act(Action::Wait {
                seconds: seconds(words, from, to)?,
            }),
            Does::Conclude => act(Action::Conclude(self.verdict(words, at)?)),
            Does::Repair => act(self.repair(words, at, word)?),
            Does::Note => act(Action::Note(text(words, at)?)),
            Does::HandOver => self.hand_over(words, at),
            Does::GiveUp => alone(words, Command::Act(Action::GiveUp)),
            Does::Diagram => alone(words, Command::Paper(Paper::Diagram)),
            Does::Data => {
                let topic: Vec<&str> = (from..to).map(|n| words.text(n)).collect();
                let topic = (!topic.is_empty()).then(|| topic.join(" "));
                Ok(Command::Paper(Paper::Data(topic)))
            }
            Does::Readings => alone(words, Command::Paper(Paper::Readings)),
            Does::Where => alone(words, Command::Paper(Paper::Where)),
            Does::Help => self.help(words, from, to),
            Does::Again => {
                self.nothing_after(words, verb, at)?;
                Err(Problem::at(words, 0, "There is no line yet to do again."))
            }
            Does::Pause => alone(words, Command::Paper(Paper::Pause)),
        }
    }

    fn nothing_named(&self, words: &Words<'_>, verb: &'static Verb) -> Problem {
        // A bare `h` is more often a cry for help than for the helper.
        if verb.does == Does::Helper {
            let message = "The helper works a control: `helper wiper off`; for help type `help`.";
            return Problem::at(words, words.len(), message)
                .offering([verb.example.to_owned(), "help".to_owned()]);
        }
        let message = format!(
            "`{}` needs more: `{} {}`.",
            verb.word, verb.word, verb.arguments
        );
        Problem::at(words, words.len(), message).offering([verb.example.to_owned()])
    }

    /// The words that say what is done, without those that only say with what or what for: `amps in ...`,
    /// `feel motor for heat`, `move left arm by hand`, `plug motor back in`.
    fn told_only<'t>(&self, words: &Words<'t>, does: Does, at: usize) -> Words<'t> {
        let last = |words: &Words<'t>| words.text(words.len().saturating_sub(1)).to_owned();
        match does {
            Does::Amps | Does::Clamp | Does::Trace => {
                let small = [
                    "in", "through", "around", "round", "into", "current", "amps",
                ];
                words.without(at, |word| small.contains(&word) || is_filler(word))
            }
            Does::Clip => words.without(at, |word| word == "meter" || is_filler(word)),
            Does::Feel | Does::Smell | Does::Wiggle | Does::Substitute | Does::Look => {
                let what_for = (at + 1..words.len()).find(|n| words.text(*n) == "for");
                words.until(what_for.unwrap_or(words.len()))
            }
            Does::Move | Does::Assist if last(words) == "hand" => words.until(words.len() - 2),
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

    fn leads(&self, words: &Words<'_>, at: usize, least: usize) -> Result<(Point, Point), Problem> {
        let battery = |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Battery(_));
        if let Named::One(id) = self.components.whole(words.list(), at, battery)
            && let [Some(red), Some(black)] =
                ["pos", "neg"].map(|name| self.vehicle.component(id).terminal(name))
        {
            let point = |terminal| Point {
                component: id,
                terminal,
            };
            return Ok((point(red), point(black)));
        }
        let points = self.points(words, at, least..=2)?;
        match points.as_slice() {
            [red, black] => Ok((*red, *black)),
            [red] => match self.battery_neg() {
                Some(black) => Ok((*red, black)),
                None => Err(Problem::at(
                    words,
                    words.len(),
                    "Name a second point for the black lead.",
                )),
            },
            _ => Err(Problem::at(
                words,
                words.len(),
                "Name a point: a component and its terminal.",
            )),
        }
    }

    fn measure(
        &self,
        words: &Words<'_>,
        at: usize,
        what: Measurement,
        least: usize,
    ) -> Result<Action, Problem> {
        let leads = self.leads(words, at, least).map_err(|problem| {
            match self.points(words, at, 1..=1).as_deref() {
                Ok([red]) => {
                    let red = self.vehicle.point_name(*red);
                    let message = format!(
                        "A drop is between two points; `volts {red}` is against battery neg."
                    );
                    Problem::at(words, words.len(), message).offering([format!("volts {red}")])
                }
                _ => problem,
            }
        });
        let (red, black) = leads?;
        Ok(Action::Measure { what, red, black })
    }

    /// Amps go around a wire with the clamp where a wire is named, by name or by its ends; between any other
    /// two points they go through the meter, in series.
    fn amps(&self, words: &Words<'_>, at: usize) -> Result<Action, Problem> {
        match self.wire(words, at) {
            Ok(wire) => Ok(Action::Clamp(wire)),
            Err(_) => self.measure(words, at, Measurement::Amps, 2),
        }
    }

    fn look(&self, words: &Words<'_>, at: usize, verb: &str) -> Result<Sense, Problem> {
        let (from, to) = trimmed(words.list(), at);
        let text = words.text(from);
        let one = to <= from + 1;
        if from == to || one && ["blades", "blade", "wipers", "arms"].contains(&text) {
            return Ok(Sense::LookBlades);
        }
        if one && ["crank", "links", "linkage", "pivots"].contains(&text) {
            return Ok(Sense::LookLinkage);
        }
        let ammeter = |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Ammeter);
        // To look at the ammeter is to read it; to inspect it is to look at it from behind.
        if !["inspect", "examine"].contains(&verb)
            && let Named::One(_) = self.components.whole(words.list(), at, ammeter)
        {
            return Ok(Sense::Ammeter);
        }
        match self.components.whole(words.list(), at, |id| {
            is_linkage(self.vehicle.component(id))
        }) {
            Named::One(_) => Ok(Sense::LookLinkage),
            Named::Several(all) if all.iter().all(|id| is_linkage(self.vehicle.component(*id))) => {
                Ok(Sense::LookLinkage)
            }
            _ => {
                let part = self.component(words, at, "component", |_| true)?;
                Ok(Sense::LookAt(part))
            }
        }
    }

    fn help(&self, words: &Words<'_>, from: usize, to: usize) -> Result<Command, Problem> {
        if from >= to {
            return Ok(Command::Paper(Paper::Help(None)));
        }
        let small = |n: &usize| matches!(words.text(*n), "with" | "me" | "about");
        let from = from + (from..to).take_while(small).count();
        if from >= to {
            return Ok(Command::Paper(Paper::Help(None)));
        }
        let rest = words.typed(from..to);
        let topic = Words::of(&rest);
        let named = |word: &str| topic.len() == 1 && ["points", "point"].contains(&word);
        if named(topic.text(0)) {
            return Ok(Command::Paper(Paper::Points));
        }
        if let Start::Verb(verb, _, next) = self.start(&topic)
            && next == topic.len()
        {
            return Ok(Command::Paper(Paper::Help(Some(verb))));
        }
        if let Named::One(_) = self.controls.whole(topic.list(), 0, |_| true) {
            let set = verbs().iter().find(|verb| verb.does == Does::Set);
            return Ok(Command::Paper(Paper::Help(set)));
        }
        let arm = |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Arm { .. });
        if let Named::One(id) = self.components.whole(topic.list(), 0, arm) {
            let id = &self.vehicle.component(id).id;
            let message = format!("Helping an arm along is `assist {id}`.");
            return Err(Problem::at(words, from, message).offering([format!("assist {id}")]));
        }
        let near = near_verbs(words.text(from), []);
        let message = format!("There is no help on `{rest}`; `help` alone shows the commands.");
        let offers = near
            .iter()
            .map(|word| format!("help {word}"))
            .chain(["help".to_owned()]);
        Err(Problem::at(words, from, message).offering(offers))
    }
}

impl Language<'_> {
    /// Washing: the washer's switch on, where there is one.
    fn wash(&self, words: &Words<'_>, verb: &Verb, at: usize) -> Result<Action, Problem> {
        let what = ["the", "glass", "screen", "windscreen", "windshield"];
        let told = (at..words.len()).take_while(|n| what.contains(&words.text(*n)));
        self.nothing_after(words, verb, at + told.count())?;
        let Some(component) = self.vehicle.control("washer") else {
            let message = "There is no washer to work here; `wet glass` does it from the can.";
            return Err(Problem::at(words, 0, message));
        };
        Ok(Action::Control {
            component,
            position: 1,
            at_mid_glass: false,
            by_helper: false,
        })
    }
}

/// The position that a verb says by itself.
fn implied(verb: &str) -> Option<&'static str> {
    match verb {
        "start" | "run" => Some("on"),
        "stop" => Some("off"),
        _ => None,
    }
}

/// Free text behind a verb, bounded.
pub(super) fn text(words: &Words<'_>, at: usize) -> Result<String, Problem> {
    let text = words.text_after(at.saturating_sub(1));
    if text.is_empty() {
        return Err(Problem::at(words, at, "Nothing is written there."));
    }
    if text.chars().count() > TEXT_MAX {
        return Err(Problem::at(
            words,
            at,
            format!("A text has at most {TEXT_MAX} characters."),
        ));
    }
    Ok(text)
}

/// Reads a length of time in whole seconds.
fn seconds(words: &Words<'_>, from: usize, to: usize) -> Result<u32, Problem> {
    let bad =
        |at, message: String| Problem::at(words, at, message).offering(["wait 20 s".to_owned()]);
    let form = || "A wait is a number of seconds or minutes: `wait 20 s`, `wait 2 min`.".to_owned();
    let first = words.text(from);
    let from = if matches!(first, "for" | "another") {
        from + 1
    } else {
        from
    };
    // `wait a minute`, `wait half a minute`
    let spoken = match (words.text(from), words.text(from + 1), words.text(from + 2)) {
        ("half", "a" | "an", unit) => Some((from + 3, "0.5", unit)),
        ("a" | "an" | "one", unit, _) => Some((from + 2, "1", unit)),
        _ => None,
    };
    let number = match spoken {
        Some((end, number, unit)) if end == to && !unit.is_empty() => {
            return seconds(&Words::of(&format!("{number} {unit}")), 0, 2)
                .map_err(|problem| bad(from, problem.message));
        }
        _ => words.text(from),
    };
    let digits = number.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let mut unit = &number[digits.len()..];
    let mut next = from + 1;
    if unit.is_empty() && next < to {
        unit = words.text(next);
        next += 1;
    }
    let unit_s: u64 = match unit {
        "" | "s" | "sec" | "secs" | "second" | "seconds" => 1,
        "m" | "min" | "mins" | "minute" | "minutes" => 60,
        "h" | "hour" | "hours" => 3600,
        _ => return Err(bad(next - 1, form())),
    };
    if next < to {
        return Err(bad(next, form()));
    }
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, "0"));
    let number = |text: &str| -> Option<u64> {
        let plain = !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| text.parse().ok()).flatten()
    };
    let (Some(whole), Some(part)) = (number(whole), number(fraction)) else {
        let long = digits.len() > 6 && digits.bytes().all(|b| b.is_ascii_digit());
        return Err(bad(from, if long { too_long() } else { form() }));
    };
    let scale = fraction.bytes().fold(1_u64, |scale, _| scale * 10);
    let scaled = (whole * scale + part) * unit_s;
    if !scaled.is_multiple_of(scale) {
        return Err(bad(from, "A wait is a whole number of seconds.".to_owned()));
    }
    match u32::try_from(scaled / scale) {
        Ok(0) => Err(bad(from, "A wait is at least one second.".to_owned())),
        Ok(seconds) if seconds <= WAIT_MAX_S => Ok(seconds),
        _ => Err(bad(from, too_long())),
    }
}

fn too_long() -> String {
    format!(
        "A wait is at most {WAIT_MAX_S} s ({} min).",
        WAIT_MAX_S / 60
    )
}
