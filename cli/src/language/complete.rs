//! Completion and the hint behind the cursor: what may come next, by the verb and what stands already.
//!
//! As everything else here it knows the sound vehicle only, so it offers the same whatever is wrong.

use groundside_engine::scenario::Symptom;
use groundside_engine::vehicle::{Component, ComponentId, Kind, Region};
use groundside_engine::world::Hint;

use super::names::{EXACT, likeliest, trimmed};
use super::things::{is_connector, is_consumer, is_fastener};
use super::token::{LINE_MAX, Words};
use super::words::is_filler;
use super::{Does, Language, Start, TOPICS, exact_verb, verbs};

/// Words that begin the parts of a hand-over.
const HAND_OVER_PARTS: [&str; 4] = ["complaint", "cause", "correction", "note"];

/// A command being typed, up to the cursor.
struct Typing<'t> {
    words: Words<'t>,
    /// Number of words that are finished: all, or all but the one at the cursor.
    finished: usize,
    /// The cursor, bytes.
    cursor: usize,
}

impl Typing<'_> {
    /// The words from `at` on as typed, with a blank behind if the last is finished.
    fn rest(&self, at: usize) -> String {
        let mut rest: Vec<&str> = (at..self.words.len()).map(|n| self.words.text(n)).collect();
        if !rest.is_empty() && self.finished == self.words.len() {
            rest.push("");
        }
        rest.join(" ")
    }

    /// Where the word at `at` begins; the cursor when it is not there yet.
    fn byte(&self, at: usize) -> usize {
        self.words
            .list()
            .get(at)
            .map_or(self.cursor, |word| word.span.start)
    }
}

impl Language<'_> {
    /// What the text before `pos`, a byte position, may go on with: the byte position from which on it
    /// is replaced, and the replacements.
    #[must_use]
    pub fn complete(&self, line: &str, pos: usize) -> (usize, Vec<String>) {
        let Some(typing) = self.typing(line, pos) else {
            return (pos.min(line.len()), Vec::new());
        };
        let (at, offers) = self.offers(&typing);
        let before = typing.words.until(at.min(typing.words.len()));
        let mut offers: Vec<String> = offers
            .into_iter()
            .map(|offer| self.spaced(&before, offer))
            .collect();
        let mut seen: Vec<String> = Vec::new();
        offers.retain(|offer| {
            let new = !seen.contains(offer);
            seen.push(offer.clone());
            new
        });
        (typing.byte(at), offers)
    }

    /// An offer, with a blank behind it where more is to follow.
    fn spaced(&self, before: &Words<'_>, offer: String) -> String {
        let consumer = |id: ComponentId| is_consumer(self.vehicle.component(id));
        let named = Words::of(&offer);
        let list = named.list();
        let exact_control = || {
            let found = self.controls.at(list, 0).into_iter();
            let mut found = found.filter(|f| f.rank == EXACT && f.next == named.len());
            found.any(|f| !consumer(f.item) || !before.is_empty())
        };
        let component = || {
            let found = self.components.at(list, 0).into_iter();
            let mut found = found.filter(|f| f.rank == EXACT && f.next == named.len());
            found.next().map(|f| self.vehicle.component(f.item))
        };
        let verb = match self.start(before) {
            Start::Verb(verb, _, _) if !before.is_empty() => Some(verb.does),
            _ => None,
        };
        let more = match verb {
            None if before.is_empty() => {
                exact_control()
                    || exact_verb(&named, 0).is_some_and(|(verb, _, next)| {
                        next == named.len() && !verb.arguments.is_empty()
                    })
            }
            None => false,
            Some(Does::Volts | Does::Drop | Does::Ohms | Does::Clip) => {
                let pointed = self.points(&named, 0, 1..=1).is_ok();
                let first = self
                    .points(before, exact_verb(before, 0).map_or(1, |v| v.2), 1..=1)
                    .is_err();
                component().is_some_and(|c| c.terminals.len() > 1)
                    || (pointed && first && verb == Some(Does::Drop))
            }
            Some(Does::Set | Does::Helper) => exact_control(),
            Some(Does::Repair) => component().is_some_and(|c| c.repairs.len() > 1),
            Some(Does::Conclude) => component().is_some_and(|c| !c.modes().is_empty()),
            Some(Does::HandOver) => {
                let part = before.text(before.len().saturating_sub(1));
                let cause = part == "cause" && component().is_some_and(|c| !c.modes().is_empty());
                cause || HAND_OVER_PARTS.contains(&offer.as_str())
            }
            Some(_) => false,
        };
        if more { offer + " " } else { offer }
    }

    /// What follows a verb or control that is typed and has nothing after it yet, to be shown behind
    /// the cursor at the end of the line.
    #[must_use]
    pub fn hint(&self, line: &str) -> Option<String> {
        let typing = self.typing(line, line.len())?;
        let words = &typing.words;
        let blank = if typing.finished == words.len() {
            ""
        } else {
            " "
        };
        if let Some((verb, _, next)) = exact_verb(words, 0) {
            let shown = next == words.len() && !verb.arguments.is_empty();
            return shown.then(|| format!("{blank}{}", verb.arguments));
        }
        let control = self.controls.at(words.list(), 0);
        let control = control
            .iter()
            .find(|f| f.next == words.len() && f.rank == EXACT)?;
        let positions = self.vehicle.component(control.item).positions();
        Some(format!("{blank}{}", positions.join("|")))
    }

    /// The last command before the cursor; `None` in a line too long to be one.
    fn typing<'t>(&self, line: &'t str, pos: usize) -> Option<Typing<'t>> {
        if line.len() > 4 * LINE_MAX {
            return None;
        }
        let mut cursor = pos.min(line.len());
        while !line.is_char_boundary(cursor) {
            cursor -= 1;
        }
        let words = self.segments(&line[..cursor]).pop();
        let words = words.unwrap_or_else(|| Words::new(line, cursor..cursor));
        let open = words
            .list()
            .last()
            .is_some_and(|word| word.span.end == cursor);
        let finished = words.len() - usize::from(open);
        Some(Typing {
            words,
            finished,
            cursor,
        })
    }

    /// The word from which on to replace, and the replacements.
    fn offers(&self, typing: &Typing<'_>) -> (usize, Vec<String>) {
        let done = typing.words.until(typing.finished);
        if done.is_empty() {
            return (0, self.beginnings(&typing.rest(0)));
        }
        // `hand o`, `give u`: verbs of two words.
        let typed = typing.rest(0);
        let two = verbs()
            .iter()
            .map(|verb| verb.word)
            .filter(|word| word.contains(' ') && word.starts_with(&typed));
        let two: Vec<String> = two.map(str::to_owned).collect();
        if !two.is_empty() {
            return (0, two);
        }
        match self.start(&done) {
            Start::Verb(verb, _, next) => self.arguments(typing, verb.does, next),
            Start::Other(at) => self.control_words(typing, at),
            Start::Several(..) | Start::Common(..) => (typing.words.len(), Vec::new()),
        }
    }

    /// Words a command may begin with.
    fn beginnings(&self, typed: &str) -> Vec<String> {
        let helper = |does: Does| does != Does::Helper || self.scenario.helper;
        let verbs = verbs()
            .iter()
            .filter(|verb| helper(verb.does))
            .map(|verb| verb.word);
        let controls = self.control_names();
        let consumers = self
            .vehicle
            .components
            .iter()
            .filter(|c| is_consumer(c))
            .map(|c| c.id.as_str());
        let all = verbs.chain(controls).chain(consumers);
        all.filter(|word| word.starts_with(typed))
            .map(str::to_owned)
            .collect()
    }

    fn arguments(&self, typing: &Typing<'_>, does: Does, next: usize) -> (usize, Vec<String>) {
        let (at, _) = trimmed(typing.words.until(typing.finished).list(), next);
        let of = |allow: fn(&Component) -> bool| {
            self.components_starting(typing, at, allow, |_| Vec::new())
        };
        let words = |all: &[&str]| starting(all.iter().copied(), &typing.rest(at));
        let offers = match does {
            Does::Drop | Does::Ohms | Does::Continuity => {
                let (first, mut offers) = self.point_words(typing, next, 2);
                if first <= at && does == Does::Drop {
                    offers.extend(self.across_words(typing, at));
                } else if first <= at {
                    offers.extend(of(Component::is_conductor));
                }
                return (first, offers);
            }
            Does::Volts
            | Does::Diode
            | Does::Amps
            | Does::Lamp
            | Does::Load
            | Does::Jumper
            | Does::Clip => {
                return self.point_words(typing, next, 2);
            }
            Does::Tug => return self.point_words(typing, next, 1),
            Does::Clamp | Does::Trace => of(Component::is_conductor),
            Does::Set | Does::Helper => return self.control_words(typing, at),
            Does::Look => {
                let mut offers = words(&["blades", "linkage"]);
                offers.extend(of(|_| true));
                offers.dedup();
                offers
            }
            Does::Feel | Does::Smell | Does::Wiggle => of(|_| true),
            Does::Substitute | Does::SwapBack => of(Self::has_known_good),
            Does::Try => of(is_consumer),
            Does::Go => words(
                &self
                    .vehicle
                    .layout
                    .places
                    .iter()
                    .map(|p| p.id.as_str())
                    .collect::<Vec<_>>(),
            ),
            Does::Remove | Does::Fit => words(
                &self
                    .vehicle
                    .layout
                    .covers
                    .iter()
                    .map(|c| c.id.as_str())
                    .collect::<Vec<_>>(),
            ),
            Does::Loosen | Does::Tighten => of(is_fastener),
            Does::Unplug | Does::Plug => of(is_connector),
            Does::Move | Does::Assist | Does::Hold => of(|c| matches!(c.kind, Kind::Arm { .. })),
            Does::Wet => words(&["glass"]),
            Does::Hint => words(&Hint::ALL.map(Hint::word)),
            Does::Suspect => words(&Region::ALL.map(Region::word)),
            Does::Conclude => self.verdict_words(typing, at),
            Does::Repair => self.components_starting(
                typing,
                at,
                |c| !c.repairs.is_empty(),
                |id| {
                    self.vehicle
                        .component(id)
                        .repairs
                        .iter()
                        .map(|r| r.name.to_string())
                        .collect()
                },
            ),
            Does::HandOver => return self.hand_over_words(typing, at),
            Does::Data => {
                let own = self.vehicle.book.iter();
                let own = own.map(|entry| entry.topic.to_lowercase());
                let topics: Vec<String> =
                    TOPICS.into_iter().map(str::to_owned).chain(own).collect();
                starting(topics.iter().map(String::as_str), &typing.rest(at))
            }
            Does::Help => {
                let verbs = verbs().iter().map(|verb| verb.word);
                words(&verbs.chain(["points"]).collect::<Vec<_>>())
            }
            Does::Unclip
            | Does::BatteryTest
            | Does::Zero
            | Does::NewFuse
            | Does::RemoveJumper
            | Does::Ask
            | Does::Listen
            | Does::Ammeter
            | Does::Count
            | Does::Wait
            | Does::Note
            | Does::Why
            | Does::Coach
            | Does::GiveUp
            | Does::Diagram
            | Does::Readings
            | Does::Where
            | Does::Hazards
            | Does::Again
            | Does::Pause => Vec::new(),
        };
        (at, offers)
    }

    /// Components by id, and behind one that is typed what `second` says may follow it.
    fn components_starting(
        &self,
        typing: &Typing<'_>,
        at: usize,
        allow: impl Fn(&Component) -> bool,
        second: impl Fn(ComponentId) -> Vec<String>,
    ) -> Vec<String> {
        let ids = self
            .vehicle
            .components
            .iter()
            .filter(|c| allow(c))
            .map(|c| c.id.as_str());
        let mut offers = starting(ids, &typing.rest(at));
        let done = typing.words.until(typing.finished);
        let found = self.components.at(done.list(), at);
        let found = found
            .into_iter()
            .filter(|f| allow(self.vehicle.component(f.item)));
        if let Some(found) = likeliest(found) {
            let id = &self.vehicle.component(found.item).id;
            let rest = second(found.item);
            let rest = starting(rest.iter().map(String::as_str), &typing.rest(found.next));
            offers.extend(rest.iter().map(|second| format!("{id} {second}")));
        }
        offers
    }

    /// Parts that are measured across, and behind one its pins and contacts.
    fn across_words(&self, typing: &Typing<'_>, at: usize) -> Vec<String> {
        let paths = |id: ComponentId| {
            let paths = self.vehicle.component(id).paths.iter();
            let named = paths.map(|path| path.name.as_str());
            named
                .filter(|name| self.ends_of(id, name).is_some())
                .map(str::to_owned)
                .collect()
        };
        let mut offers =
            self.components_starting(typing, at, Component::is_conductor, |_| Vec::new());
        offers.extend(self.components_starting(typing, at, |c| c.paths.len() > 1, paths));
        offers.retain(|offer| self.read_line(&format!("drop {offer}"), None).is_ok());
        offers
    }

    fn point_words(&self, typing: &Typing<'_>, next: usize, most: usize) -> (usize, Vec<String>) {
        let done = typing.words.until(typing.finished);
        let mut at = next;
        let mut count = 0;
        loop {
            while at < done.len() && is_filler(done.text(at)) {
                at += 1;
            }
            let Some(found) = likeliest(self.points_at(&done, at)) else {
                break;
            };
            count += 1;
            at = found.next;
        }
        if count >= most {
            return (typing.words.len(), Vec::new());
        }
        let terminals = |id: ComponentId| {
            let terminals = &self.vehicle.component(id).terminals;
            terminals
                .iter()
                .map(|terminal| terminal.name.to_string())
                .collect()
        };
        (
            at,
            self.components_starting(typing, at, |c| !c.terminals.is_empty(), terminals),
        )
    }

    /// Controls, and behind one its positions.
    fn control_words(&self, typing: &Typing<'_>, at: usize) -> (usize, Vec<String>) {
        let done = typing.words.until(typing.finished);
        let Some(found) = likeliest(self.controls.at(done.list(), at)) else {
            return (at, starting(self.control_names(), &typing.rest(at)));
        };
        let (from, _) = trimmed(done.list(), found.next);
        let positions = self.vehicle.component(found.item).positions();
        let set =
            positions.contains(&done.text(found.next)) || positions.contains(&done.text(from));
        if set {
            let behind = if positions.contains(&done.text(from)) {
                from + 1
            } else {
                found.next + 1
            };
            return (
                behind,
                starting(["at mid-glass"].into_iter(), &typing.rest(behind)),
            );
        }
        (from, starting(positions.into_iter(), &typing.rest(from)))
    }

    fn verdict_words(&self, typing: &Typing<'_>, at: usize) -> Vec<String> {
        let modes = |id: ComponentId| self.mode_names(id).into_iter().map(str::to_owned).collect();
        self.components_starting(typing, at, |c| !c.modes().is_empty(), modes)
    }

    fn hand_over_words(&self, typing: &Typing<'_>, at: usize) -> (usize, Vec<String>) {
        let parts = HAND_OVER_PARTS;
        let part = (at..typing.finished)
            .rev()
            .find(|n| parts.contains(&typing.words.text(*n)));
        let Some(part) = part else {
            return (at, starting(parts.into_iter(), &typing.rest(at)));
        };
        let from = part + 1;
        let symptoms = Symptom::ALL.map(Symptom::word);
        let offers = match typing.words.text(part) {
            "complaint" => starting(symptoms.into_iter(), &typing.rest(from)),
            "cause" => self.verdict_words(typing, from),
            "correction" => self.components_starting(typing, from, |_| true, |_| Vec::new()),
            _ => Vec::new(),
        };
        // The next part may begin with the word at the cursor, behind whatever this one has.
        let last = typing.finished.max(from);
        if offers.is_empty() && last > from && typing.words.text(part) != "note" {
            return (last, starting(parts.into_iter(), &typing.rest(last)));
        }
        (from, offers)
    }
}

/// The names that go on from what is typed; hyphens may be typed as blanks.
fn starting<'n>(names: impl Iterator<Item = &'n str>, typed: &str) -> Vec<String> {
    let spaced = |name: &str| name.replace('-', " ");
    names
        .filter(|name| spaced(name).starts_with(typed))
        .map(str::to_owned)
        .collect()
}
