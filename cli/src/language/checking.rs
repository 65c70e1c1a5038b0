//! The questions back where a part is named and what to do with it is not told, or cannot be done: how to check
//! it, what to look at, what shakes it, what stands in for it.

use groundside_engine::vehicle::{Component, ComponentId, Kind};

use super::names::{Named, trimmed};
use super::things::{is_consumer, is_linkage};
use super::token::Words;
use super::words::is_filler;
use super::{Language, Problem, choices, listed};

/// Words for all of a vehicle's wiring.
const WIRING: [&str; 6] = ["wiring", "wires", "cables", "leads", "harness", "loom"];

/// Words before a place that is looked into.
const WITHIN: [&str; 7] = ["in", "into", "inside", "under", "behind", "below", "around"];

impl Language<'_> {
    /// The question back when a part, or a point of it, is named behind a verb that does not say how it is to be
    /// checked: `check fusible link`. `None` when the words from `at` on name neither.
    pub(super) fn which_check(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        let (from, to) = trimmed(words.list(), at);
        let question = |named: &str, ways: Vec<String>| {
            let message = format!("Say how to check {named}: {}.", choices(&ways));
            Problem::at(words, from, message).offering(ways)
        };
        if let Named::One(id) = self.components.whole(words.list(), at, |_| true) {
            let name = &self.vehicle.component(id).id;
            return Some(question(name.as_str(), self.checks(id)));
        }
        let several = match self.components.whole(words.list(), at, |_| true) {
            Named::Several(all) => all,
            _ => Vec::new(),
        };
        let fuses = self.fuses(words, at);
        let earths = self.earths(words, at);
        if let ([], Some(problem)) = (several.as_slice(), fuses) {
            return Some(problem);
        }
        let all = if earths.is_empty() { several } else { earths };
        if !all.is_empty() {
            let ids: Vec<&str> = all
                .iter()
                .map(|id| self.vehicle.component(*id).id.as_str())
                .collect();
            let message = format!(
                "`{}` could be {}; say how to check it too, as in `look {}`.",
                words.typed(from..to),
                listed(&ids, "or"),
                ids[0]
            );
            let looks = ids.iter().map(|id| format!("look {id}"));
            return Some(Problem::at(words, from, message).offering(looks));
        }
        let points = self.points(words, at, 1..=1).ok()?;
        let name = self.vehicle.point_name(*points.first()?);
        let ways = ["volts", "lamp", "ohms", "tug"].map(|verb| format!("{verb} {name}"));
        Some(question(&name, ways.to_vec()))
    }

    /// What protects, where a fuse is named and there is none of that name.
    pub(super) fn fuses(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        self.fuse_named(words, at)?;
        let parts = self.protecting();
        let looks = parts
            .iter()
            .map(|id| format!("look {}", self.vehicle.component(*id).id));
        let book = ["data protection".to_owned()];
        let problem = self.no_such_fuse(words, at, &parts);
        Some(problem.offering(book.into_iter().chain(looks)))
    }

    /// The word from `at` on that says fuse.
    pub(super) fn fuse_named(&self, words: &Words<'_>, at: usize) -> Option<usize> {
        (at..words.len()).find(|n| ["fuse", "fuses"].contains(&words.text(*n)))
    }

    /// What protects on this vehicle.
    pub(super) fn protecting(&self) -> Vec<ComponentId> {
        let protects = |id: &ComponentId| {
            matches!(
                self.vehicle.component(*id).kind,
                Kind::Fuse(_) | Kind::Breaker(_) | Kind::FusibleLink(_)
            )
        };
        self.vehicle.ids().filter(protects).collect()
    }

    /// That there is no fuse of a name, and what protects instead.
    pub(super) fn no_such_fuse(
        &self,
        words: &Words<'_>,
        at: usize,
        parts: &[ComponentId],
    ) -> Problem {
        let ids: Vec<&str> = parts
            .iter()
            .map(|id| self.vehicle.component(*id).id.as_str())
            .collect();
        let message = match ids.as_slice() {
            [] => "There is no fuse of that name here.".to_owned(),
            ids => format!(
                "There is no fuse of that name here; what protects is {}.",
                listed(ids, "and")
            ),
        };
        Problem::at(words, at, message)
    }

    /// Ways to check a part, the cheap ones first.
    fn checks(&self, id: ComponentId) -> Vec<String> {
        let component = self.vehicle.component(id);
        let name = &component.id;
        let mut ways = Vec::new();
        let mut add = |way: String| ways.push(way);
        if is_consumer(component) {
            add(format!("try {name}"));
        }
        match component.kind {
            Kind::Battery(_) => {
                add("volts battery".to_owned());
                add("battery test".to_owned());
            }
            Kind::Arm { .. } => add(format!("move {name}")),
            // Looked at below, by its name.
            Kind::Linkage(_) => {}
            Kind::Ammeter => add("ammeter".to_owned()),
            Kind::Wire { .. } => add(format!("clamp {name}")),
            _ => {}
        }
        add(format!("look {name}"));
        if self.ends_of(id, "").is_some() && !matches!(component.kind, Kind::Battery(_)) {
            add(format!("drop {name}"));
        }
        if let Some(terminal) = component.terminals.first()
            && !matches!(component.kind, Kind::Battery(_))
        {
            add(format!("volts {name} {}", terminal.name));
        }
        if component.is_conductor() || matches!(component.kind, Kind::Connector { .. }) {
            add(format!("wiggle {name}"));
        }
        if matches!(component.kind, Kind::Motor(_)) {
            add("listen".to_owned());
            add(format!("feel {name}"));
        }
        ways
    }

    /// A part that is shaken: by its name, or by the loom that ends on it.
    pub(super) fn shaken(&self, words: &Words<'_>, at: usize) -> Result<ComponentId, Problem> {
        let (from, to) = trimmed(words.list(), at);
        let wiring = |n: &usize| WIRING.contains(&words.text(*n));
        let Some(noun) = (from..to).find(wiring) else {
            return self.component(words, at, "component", |_| true);
        };
        // `the motor loom`, `the loom of the motor`, `wires at the plug`
        let around = |n: &usize| {
            *n != noun
                && !is_filler(words.text(*n))
                && !["side", "all", "plug", "connector", "under", "behind"]
                    .contains(&words.text(*n))
        };
        let rest: Vec<usize> = (from..to).filter(around).collect();
        let plug =
            |id: &ComponentId| matches!(self.vehicle.component(*id).kind, Kind::Connector { .. });
        if let (Some(first), Some(last)) = (rest.first(), rest.last()) {
            let named = self
                .components
                .whole(words.until(last + 1).list(), *first, |_| true);
            return match named {
                Named::One(id) => Ok(match self.vehicle.plugs_of(id).as_slice() {
                    [plug] => *plug,
                    _ => id,
                }),
                _ => self.component(words, at, "component", |_| true),
            };
        }
        let plugs: Vec<ComponentId> = self.vehicle.ids().filter(plug).collect();
        if let [only] = plugs.as_slice() {
            return Ok(*only);
        }
        let ids: Vec<&str> = plugs
            .iter()
            .map(|id| self.vehicle.component(*id).id.as_str())
            .collect();
        let message = format!(
            "Of the wiring, one plug, one part or one wire at a time: {}?",
            listed(&ids, "or")
        );
        Err(Problem::at(words, from, message)
            .offering(ids.iter().map(|id| words.with(from..to, id))))
    }

    /// The question back when what has no wires on it is shaken: it is felt by its arms.
    pub(super) fn shaken_at_arms(
        &self,
        words: &Words<'_>,
        at: usize,
        part: ComponentId,
    ) -> Option<Problem> {
        let component = self.vehicle.component(part);
        let arm = |component: &Component| matches!(component.kind, Kind::Arm { .. });
        if !is_linkage(component) && !arm(component) {
            return None;
        }
        let arms = self.vehicle.components.iter().filter(|one| arm(one));
        let ways: Vec<String> = arms
            .map(|arm| format!("move {}", arm.id))
            .chain(["look linkage".to_owned()])
            .collect();
        let message = format!(
            "No wires end on {}; its play is felt by the arms: {}.",
            component.id,
            choices(&ways)
        );
        Some(Problem::at(words, at, message).offering(ways))
    }

    /// The question back when something is looked for and not where: `look for green crust`.
    pub(super) fn looked_for(&self, words: &Words<'_>, at: usize) -> Problem {
        let likely = |c: &&Component| {
            matches!(
                c.kind,
                Kind::Connector { .. } | Kind::GroundPoint | Kind::Strap(_)
            )
        };
        let parts = self.vehicle.components.iter().filter(likely);
        let ids: Vec<&str> = parts.map(|c| c.id.as_str()).collect();
        let message = format!(
            "Look where? One part is looked at at a time: {}.",
            listed(&ids, "or")
        );
        let looks = ids.iter().map(|id| format!("look {id}"));
        Problem::at(words, at, message).offering(looks)
    }

    /// The question back when a place or what is behind a cover is looked at, and no part of it.
    pub(super) fn which_part_there(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        let (from, to) = trimmed(words.list(), at);
        let within = |n: &usize| WITHIN.contains(&words.text(*n)) || is_filler(words.text(*n));
        let inner = from + (from..to).take_while(within).count();
        let covered = |start: usize| match self.covers.whole(words.list(), start, |_| true) {
            Named::One(cover) => Some(cover),
            _ => None,
        };
        let place = |start: usize| match self.places.whole(words.list(), start, |_| true) {
            Named::One(place) => Some(place),
            _ => None,
        };
        let starts = [from, inner].into_iter().filter(|start| *start < to);
        let cover = starts.clone().find_map(covered);
        let place = starts
            .clone()
            .find_map(place)
            .or_else(|| Some(self.vehicle.layout.covers[cover?].place.index()));
        let Some(place) = place else {
            // `look under the dash` where there is no such place.
            let within = from < to && WITHIN.contains(&words.text(from));
            return within.then(|| self.no_such_place(words, from));
        };
        let behind: Vec<&Component> = self
            .vehicle
            .components
            .iter()
            .filter(|c| c.place.index() == place && !c.is_conductor())
            .filter(|c| !matches!(c.kind, Kind::Body))
            .filter(|c| cover.is_none() || c.cover.map(|cover| cover.index()) == cover)
            .collect();
        let ids: Vec<&str> = behind.iter().map(|c| c.id.as_str()).collect();
        let title = &self.vehicle.layout.places[place];
        let message = if ids.is_empty() {
            format!(
                "There is no part to look at there; `go {}` goes there.",
                title.id
            )
        } else {
            format!(
                "One part is looked at at a time; there, {}: {}.",
                title.title,
                listed(&ids, "and")
            )
        };
        let looks = ids.iter().map(|id| format!("look {id}"));
        Some(Problem::at(words, from, message).offering(looks.chain([format!("go {}", title.id)])))
    }

    fn no_such_place(&self, words: &Words<'_>, from: usize) -> Problem {
        let places = &self.vehicle.layout.places;
        let titles: Vec<&str> = places.iter().map(|place| place.title.as_str()).collect();
        let message = format!(
            "There is no place `{}` on this vehicle; there is {}.",
            words.typed(from..words.len()),
            listed(&titles, "and")
        );
        Problem::at(words, from, message)
            .offering(places.iter().map(|place| format!("go {}", place.id)))
    }

    /// Whether the workshop has a known good one of these to try.
    pub(super) fn has_known_good(component: &Component) -> bool {
        component.has_replacement()
            && component.part_of.is_none()
            && component
                .repairs
                .iter()
                .any(|repair| repair.name.as_str() == "replace")
    }

    /// A part to swap for a known good one; for others, what there is and what to do instead.
    pub(super) fn swappable(&self, words: &Words<'_>, at: usize) -> Result<ComponentId, Problem> {
        let known = self.component(words, at, "part to swap", Self::has_known_good);
        let Err(problem) = known else { return known };
        let Named::One(id) = self.components.whole(words.list(), at, |_| true) else {
            return Err(problem);
        };
        let component = self.vehicle.component(id);
        let (from, _) = trimmed(words.list(), at);
        let name = &component.id;
        let all: Vec<&str> = self
            .vehicle
            .components
            .iter()
            .filter(|component| Self::has_known_good(component))
            .map(|component| component.id.as_str())
            .collect();
        let mut offers: Vec<String> = component
            .repairs
            .iter()
            .map(|repair| format!("repair {name} {}", repair.name))
            .collect();
        let instead = match (&component.kind, offers.first()) {
            (Kind::Motor(_), _) => {
                offers.insert(0, "data in-place tests".to_owned());
                "A motor is proven where it is, on fused leads: `data in-place tests`".to_owned()
            }
            (_, Some(repair)) => {
                format!("What is proven bad is put right for good: `{repair}`")
            }
            (_, None) => "It is checked where it is".to_owned(),
        };
        let message = format!(
            "The workshop has no known good {name} to try. {instead}. There is {}.",
            listed(&all, "and")
        );
        Err(Problem::at(words, from, message).offering(offers))
    }
}
