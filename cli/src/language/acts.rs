//! What follows each verb.

use groundside_engine::vehicle::{Component, ComponentId, Kind, Point};
use groundside_engine::world::{Action, Hint, Measurement, Sense, TEXT_MAX};

use super::across::ACROSS;
use super::names::{Named, OTHER_NAME, Rank, trimmed};
use super::things::{is_consumer, is_linkage};
use super::token::Words;
use super::words::{CONTROL_NOUNS, MID_GLASS, is_filler};
use super::{
    Command, Does, Language, Only, Paper, Problem, Start, Verb, exact_verb, near_verbs, verbs,
};

/// Words for the old part, and words that may stand around it.
pub(super) const OLD: [&str; 8] = ["it", "old", "one", "part", "the", "original", "own", "in"];

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
        if let Some(only) = Self::together(words, at, verb.does, word) {
            return Ok(Command::Only(only));
        }
        if from >= to && verb.arguments.starts_with(|c: char| c.is_ascii_uppercase()) {
            return match word {
                "wash" | "squirt" => act(self.wash(words, verb, at)?),
                // A cover is levered off; alone the lever is that of the wipers.
                "lever off" => act(self.control(words, at - 1, false, None)?),
                "deice" | "de ice" | "defrost" | "scrape" => self.cleared(words),
                _ => Err(self.nothing_named(words, verb, word)),
            };
        }
        match verb.does {
            Does::Volts => act(self.measure(words, at, Measurement::Volts, 1)?),
            Does::Drop => act(self.measure(words, at, Measurement::Volts, 2)?),
            Does::Ohms => act(self.measure(words, at, Measurement::Ohms, 1)?),
            Does::Continuity if ["beep", "buzz"].contains(&word) && self.consumer(words, at) => {
                act(Action::Sense(Sense::Try(self.component(
                    words,
                    at,
                    "consumer",
                    is_consumer,
                )?)))
            }
            Does::Continuity => act(self.measure(words, at, Measurement::Continuity, 1)?),
            Does::Diode => act(self.measure(words, at, Measurement::Diode, 1)?),
            Does::Amps => self.amps(words, at),
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
            Does::NewFuse => {
                // A vehicle with fuses of its own has two that may be meant.
                let fuse = self.vehicle.components.iter();
                let mut fuse = fuse.filter(|part| matches!(part.kind, Kind::Fuse(_)));
                if let (Some(fuse), "change fuse" | "fit new fuse") = (fuse.next(), word) {
                    let own = format!("repair {} replace", fuse.id);
                    let message = format!("Which fuse: the meter's, by `new fuse`, or `{own}`?");
                    return Err(
                        Problem::at(words, at, message).offering([own, "new fuse".to_owned()])
                    );
                }
                alone(words, Command::Act(Action::NewFuse))
            }
            Does::Jumper => {
                // `jumper from A to B`, `jumper off`
                let (first, second) = self.bridged(words, at)?;
                act(Action::Jumper { first, second })
            }
            Does::RemoveJumper => {
                // `remove all jumpers`, `take the jumpers off, all of them`: each in turn.
                let all = ["all", "both", "every"];
                let many = |part: &str| all.contains(&part) || ["jumpers", "leads"].contains(&part);
                let each = word.split(' ').any(many)
                    || (at..words.len()).any(|n| all.contains(&words.text(n)));
                let told = |n: &usize| MID_GLASS.contains(&words.text(*n));
                let at_mid_glass = from < to && (from..to).any(|n| told(&n));
                let beside = |word: &str| {
                    all.contains(&word) || ["jumpers", "leads", "them"].contains(&word)
                };
                let more = |n: &usize| {
                    let word = words.text(*n);
                    !(at_mid_glass && (told(n) || CONTROL_NOUNS.contains(&word)))
                        && !(each && (beside(word) || is_filler(word)))
                };
                let next = (from..to).find(more).unwrap_or(to);
                self.nothing_after(words, verb, next)?;
                if each {
                    return Ok(Command::Only(Only::Jumpers { at_mid_glass }));
                }
                act(Action::RemoveJumper { at_mid_glass })
            }
            Does::Clip => {
                let (red, black) = self.leads(words, at, 1)?;
                act(Action::Clip { red, black })
            }
            // `unhook the connecting link`, `unclip the motor plug`: no meter is meant.
            Does::Unclip
                if from < to
                    && let Some(apart) = self.unhooked(words, at)? =>
            {
                act(apart)
            }
            Does::Unclip => {
                let what = ["the", "meter", "voltmeter", "lead", "leads", "clip"];
                let told = (at..words.len()).take_while(|n| what.contains(&words.text(*n)));
                self.nothing_after(words, verb, at + told.count())?;
                act(Action::Unclip)
            }
            Does::Set if ["wash", "squirt"].contains(&word) => act(self.wash(words, verb, at)?),
            Does::Set if Self::only_it(words, at) => {
                // `start it` is said of an engine; of anything else it is asked about.
                let engine = self.vehicle.control("engine");
                match engine.filter(|_| implied(word) == Some("on") && word.starts_with("start")) {
                    Some(component) => act(Action::Control {
                        component,
                        position: 1,
                        at_mid_glass: false,
                        by_helper: false,
                    }),
                    None => Err(self.nothing_named(words, verb, word)),
                }
            }
            Does::Set => {
                let read = self.control(words, at, false, implied(word));
                act(read.map_err(|problem| self.fed(words, at).unwrap_or(problem))?)
            }
            Does::Helper => {
                // `helper, put the wiper off`, `ask the helper to start the engine`: one verb within another.
                let verb = exact_verb(words, from).filter(|(verb, _, _)| verb.does == Does::Set);
                let (word, next) = verb.map_or(("", at), |(_, word, next)| (word, next));
                let read = self.control(words, next, true, implied(word));
                act(read.map_err(|problem| self.not_for_helper(words, from, problem))?)
            }
            Does::Look if to == from + 1 && ["around", "round"].contains(&words.text(from)) => {
                Ok(Command::Paper(Paper::Where))
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
            Does::Tug => match self.points(words, at, 1..=1) {
                Ok(points) => act(Action::Tug(points[0])),
                Err(problem) => Err(self.pulled_apart(words, at, word, problem)),
            },
            Does::Wiggle => {
                let part = self.shaken(words, at)?;
                match self.shaken_at_arms(words, at, part) {
                    Some(problem) => Err(problem),
                    None => act(Action::Wiggle(part)),
                }
            }
            Does::Ask => {
                // What to ask is known: `ask the driver when it happens`.
                let asks = [
                    "driver", "customer", "owner", "what", "how", "when", "where", "about", "if",
                    "whether", "again",
                ];
                let next = if asks.contains(&words.text(from)) {
                    to
                } else {
                    at
                };
                self.nothing_after(words, verb, next)?;
                act(Action::Ask)
            }
            Does::Substitute => act(Action::Substitute(self.swappable(words, at)?)),
            Does::SwapBack if (from..to).all(|n| OLD.contains(&words.text(n))) => {
                Ok(Command::Only(Only::SwapBack))
            }
            Does::SwapBack => {
                let part = self.component(words, at, "part to swap back", Self::has_known_good)?;
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
            Does::Try => {
                let tried = self.component(words, at, "consumer", is_consumer);
                let question = |problem| self.which_check(words, at).unwrap_or(problem);
                act(Action::Sense(Sense::Try(tried.map_err(question)?)))
            }
            Does::Go => act(self.go(words, at)?),
            Does::Remove | Does::Fit | Does::Loosen | Does::Tighten | Does::Unplug | Does::Plug => {
                act(self.off_or_on(words, at, verb.does, word)?)
            }
            // `lift the bonnet`
            Does::Move
                if let Ok(Some(off)) = self.thing(words, at, Does::Remove, true)
                    && self.arms_named(words, at).is_empty() =>
            {
                act(off)
            }
            Does::Move => act(Action::MoveArm(self.arm(words, at)?)),
            Does::Assist => act(Action::Assist(self.arm(words, at)?)),
            Does::Hold => act(Action::Hold(self.arm(words, at)?)),
            Does::Wet => {
                let what = |n: &usize| {
                    let word = words.text(*n);
                    [
                        "glass",
                        "screen",
                        "windscreen",
                        "windshield",
                        "water",
                        "over",
                    ]
                    .contains(&word)
                        || is_filler(word)
                };
                let told = (from..to).take_while(what).count();
                if from + told < to {
                    let message = "The can is poured over the glass, and what runs off it reaches plugs and joints \
                                   below: `wet glass`.";
                    return Err(
                        Problem::at(words, from, message).offering(["wet glass".to_owned()])
                    );
                }
                act(Action::WetGlass)
            }
            Does::Wait => act(Action::Wait {
                seconds: super::waits::seconds(words, from, to)?,
            }),
            Does::Conclude => act(Action::Conclude(self.verdict(words, at)?)),
            Does::Repair => act(self.repair(words, at, word)?),
            Does::Note => act(Action::Note(text(words, at)?)),
            Does::Suspect => act(self.suspected(words, at, from, to)?),
            Does::Hint => act(Action::Hint(super::hints::hint(words, from, to)?)),
            Does::Why => {
                self.nothing_after(words, verb, from)?;
                act(Action::Hint(Hint::Why))
            }
            Does::Coach => alone(words, Command::Act(Action::Coach)),
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
            Does::Hazards => alone(words, Command::Paper(Paper::Hazards)),
            Does::Help => self.help(words, from, to),
            Does::Again => {
                self.nothing_after(words, verb, at)?;
                Err(Problem::at(words, 0, "There is no line yet to do again."))
            }
            Does::Pause => alone(words, Command::Paper(Paper::Pause)),
        }
    }

    /// Ice taken off the glass, where `scrape` or `deice` stands alone.
    fn cleared(&self, words: &Words<'_>) -> Result<Command, Problem> {
        let ways = self.vehicle.ids().flat_map(|component| {
            let repairs = self.vehicle.component(component).repairs.iter();
            let ways = repairs.enumerate();
            ways.filter(|(_, repair)| repair.name.as_str() == "clear")
                .map(move |(way, _)| Action::Repair { component, way })
        });
        ways.map(Command::Act)
            .next()
            .ok_or_else(|| Problem::at(words, 0, "There is no glass to clear here."))
    }

    /// Whether the words from `at` on name a consumer.
    fn consumer(&self, words: &Words<'_>, at: usize) -> bool {
        let consumer = |id: ComponentId| is_consumer(self.vehicle.component(id));
        matches!(
            self.components.whole(words.list(), at, consumer),
            Named::One(_)
        )
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
        let across = least == 2 || what.has_source() || ACROSS.contains(&words.text(at));
        // `drop front ground` is across it, and not from its stud to the battery's ground.
        if least == 2
            && let Some(Ok((red, black))) = self.ends(words, at, OTHER_NAME)
        {
            return Ok(Action::Measure { what, red, black });
        }
        let leads = self.leads(words, at, least).or_else(|problem| {
            let ends = across.then(|| self.ends(words, at, Rank::MAX)).flatten();
            ends.unwrap_or_else(|| {
                Err(if least == 2 && what == Measurement::Volts {
                    self.which_drop(words, at, problem)
                } else {
                    problem
                })
            })
        });
        let (red, black) = leads?;
        Ok(Action::Measure { what, red, black })
    }

    /// Amps go around a wire with the clamp where a wire is named, by name or by its ends; between any other
    /// two points they go through the meter, in series. Between the ends of a strap the bench decides: off, it has no
    /// current of its own, and the meter stands in its place.
    fn amps(&self, words: &Words<'_>, at: usize) -> Result<Command, Problem> {
        let Ok(wire) = self.wire(words, at) else {
            let through = self.measure(words, at, Measurement::Amps, 2)?;
            return Ok(Command::Act(through));
        };
        let strap = matches!(self.vehicle.component(wire).kind, Kind::Strap(_));
        Ok(match self.points(words, at, 2..=2).as_deref() {
            Ok(&[red, black]) if strap => Command::Only(Only::AmpsOfStrap {
                strap: wire,
                red,
                black,
            }),
            _ => Command::Act(Action::Clamp(wire)),
        })
    }

    fn look(&self, words: &Words<'_>, at: usize, verb: &str) -> Result<Sense, Problem> {
        let (from, to) = trimmed(words.list(), at);
        if words.text(at) == "for" {
            return Err(self.looked_for(words, at));
        }
        let text = words.text(from);
        let one = to <= from + 1;
        // What is watched moves.
        let them = text == "them" || text == "it" && ["watch", "observe"].contains(&verb);
        let blades = them || ["blades", "blade", "wipers", "arms"].contains(&text);
        if from == to || one && blades {
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
            Named::One(id) if shows_itself(self.vehicle.component(id)) => Ok(Sense::LookAt(id)),
            Named::One(_) => Ok(Sense::LookLinkage),
            Named::Several(all) if all.iter().all(|id| is_linkage(self.vehicle.component(*id))) => {
                Ok(Sense::LookLinkage)
            }
            _ => {
                let part = self.shaken(words, at);
                let question = |problem| self.which_part_there(words, at).unwrap_or(problem);
                Ok(Sense::LookAt(part.map_err(question)?))
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
        if topic.len() == 1 && ["hazards", "hazard"].contains(&topic.text(0)) {
            return Ok(Command::Paper(Paper::Hazards));
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
    /// Washing: the washer's switch on, where there is one; `wash off` stops it.
    fn wash(&self, words: &Words<'_>, verb: &Verb, at: usize) -> Result<Action, Problem> {
        let Some(component) = self.vehicle.control("washer") else {
            let message = "There is no washer to work here; `wet glass` does it from the can.";
            let way = ["wet glass".to_owned()];
            return Err(Problem::at(words, 0, message).offering(way));
        };
        let what = [
            "the",
            "glass",
            "screen",
            "windscreen",
            "windshield",
            "washer",
            "washers",
        ];
        let on = ["on", "start"];
        let off = ["off", "stop"];
        let known = |word: &str| what.contains(&word) || on.contains(&word) || off.contains(&word);
        let told = (at..words.len()).take_while(|n| known(words.text(*n)));
        let position = usize::from(!told.clone().any(|n| off.contains(&words.text(n))));
        self.nothing_after(words, verb, at + told.count())?;
        Ok(Action::Control {
            component,
            position,
            at_mid_glass: false,
            by_helper: false,
        })
    }
}

/// Whether a part of the linkage is looked at by itself, and not with all that moves.
const fn shows_itself(component: &Component) -> bool {
    matches!(
        component.kind,
        Kind::CrankNut { .. } | Kind::ConnectingLink | Kind::Pivot { .. }
    )
}

/// The position that a verb says by itself.
pub(super) fn implied(verb: &str) -> Option<&'static str> {
    match verb {
        "start" | "start up" | "run" | "switch on" | "turn on" => Some("on"),
        "stop" | "kill" | "shut off" | "shut down" | "switch off" | "turn off" => Some("off"),
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
