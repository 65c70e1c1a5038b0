//! Nouns that say what kind of part is meant: a relay is never a wire, and that a part is a relay tells no failure of it.

use groundside_engine::vehicle::{Component, ComponentId, Kind};

use super::token::Words;
use super::words::is_filler;
use super::{Language, Problem, listed};

/// Whether a part is one of a kind.
type IsOne = fn(&Kind) -> bool;

/// Nouns for one and for several, each with the parts that are one.
const KINDS: [(&str, &str, IsOne); 15] = [
    ("relay", "relays", |kind| matches!(kind, Kind::Relay(_))),
    ("breaker", "breakers", |kind| {
        matches!(kind, Kind::Breaker(_))
    }),
    ("switch", "switches", |kind| {
        matches!(kind, Kind::Switch { .. })
    }),
    ("motor", "motors", |kind| matches!(kind, Kind::Motor(_))),
    ("pump", "pumps", |kind| matches!(kind, Kind::Pump(_))),
    ("strap", "straps", |kind| matches!(kind, Kind::Strap(_))),
    ("braid", "braids", |kind| matches!(kind, Kind::Strap(_))),
    ("resistor", "resistors", |kind| {
        matches!(kind, Kind::Resistor)
    }),
    ("diode", "diodes", |kind| matches!(kind, Kind::Diode)),
    ("arm", "arms", |kind| matches!(kind, Kind::Arm { .. })),
    ("blade", "blades", |kind| matches!(kind, Kind::Arm { .. })),
    ("rubber", "rubbers", |kind| matches!(kind, Kind::Arm { .. })),
    ("pivot", "pivots", |kind| matches!(kind, Kind::Pivot { .. })),
    ("spindle", "spindles", |kind| {
        matches!(kind, Kind::Pivot { .. })
    }),
    ("gear", "gears", |kind| matches!(kind, Kind::Gear(_))),
];

/// What a motor, a relay and an arm are called, and are called as well in the failure that they are the wrong one.
const OWN: [(IsOne, &[&str]); 3] = [
    (|kind| matches!(kind, Kind::Relay(_)), &["relay", "relays"]),
    (|kind| matches!(kind, Kind::Motor(_)), &["motor", "wiper"]),
    (
        |kind| matches!(kind, Kind::Arm { .. }),
        &["arm", "arms", "blade", "blades", "rubber", "wiper"],
    ),
];

fn kind_named(word: &str) -> Option<IsOne> {
    let named = KINDS
        .iter()
        .find(|(one, several, _)| [*one, *several].contains(&word));
    named.map(|(.., is_one)| *is_one)
}

/// Whether words say no more than what a part is: of `k2 relay` the relay, which is no wrong relay for it.
pub(super) fn only_its_kind(component: &Component, typed: &[&str]) -> bool {
    let own = OWN.iter().find(|(is_one, _)| is_one(&component.kind));
    let own = own.map_or(&[][..], |(_, nouns)| nouns);
    typed
        .iter()
        .all(|word| is_filler(word) || own.contains(word))
}

/// Whether a word says what a part is: `wire` behind `high speed`, for one.
pub(super) fn is_its_kind(component: &Component, word: &str) -> bool {
    match component.kind {
        Kind::Wire { .. } => ["wire", "cable", "lead"].contains(&word),
        ref kind => kind_named(word).is_some_and(|is_one| is_one(kind)),
    }
}

impl Language<'_> {
    /// The first of some words that names another kind of part than this one: `relay`, behind `high speed` for a wire.
    pub(super) fn of_other_kind(
        &self,
        words: &Words<'_>,
        mut among: std::ops::Range<usize>,
        id: ComponentId,
    ) -> Option<usize> {
        let kind = &self.vehicle.component(id).kind;
        among.find(|n| kind_named(words.text(*n)).is_some_and(|is_one| !is_one(kind)))
    }

    /// That there is no part of a name that ends in the noun of a kind, and what there is of that kind, each in the words that
    /// `offer` makes of it; `None` where it ends in no such noun.
    pub(super) fn none_of_kind(
        &self,
        words: &Words<'_>,
        named: std::ops::Range<usize>,
        allow: impl Fn(&Component) -> bool,
        offer: impl Fn(ComponentId) -> Vec<String>,
    ) -> Option<Problem> {
        let noun = words.text(named.end.checked_sub(1)?);
        let is_one = kind_named(noun)?;
        let part = |id: &ComponentId| self.vehicle.component(*id);
        let parts = self.vehicle.ids();
        let parts: Vec<ComponentId> = parts
            .filter(|id| is_one(&part(id).kind) && allow(part(id)))
            .collect();
        let ids: Vec<&str> = parts.iter().map(|id| part(id).id.as_str()).collect();
        let message = if ids.is_empty() {
            format!("There is no {noun} on this vehicle.")
        } else {
            format!(
                "`{}` is no part by that name; of its kind there is {}.",
                words.typed(named.clone()),
                listed(&ids, "and")
            )
        };
        let offers = parts.into_iter().flat_map(offer);
        Some(Problem::at(words, named.start, message).offering(offers))
    }

    /// The question back to a failure of a part of a kind that none of these is.
    pub(super) fn fails_of_kind(
        &self,
        words: &Words<'_>,
        (from, to): (usize, usize),
        none: &[ComponentId],
    ) -> Option<Problem> {
        let other = |n: &usize| {
            let found = |id: &ComponentId| self.of_other_kind(words, *n..n + 1, *id).is_some();
            !none.is_empty() && none.iter().all(found)
        };
        let noun = (from..to).find(other)?;
        let fails = |part: &Component| !part.modes().is_empty();
        self.none_of_kind(words, from..noun + 1, fails, |id| {
            let name = &self.vehicle.component(id).id;
            let modes = self.mode_names(id).into_iter();
            modes
                .map(|mode| words.with(from..to, &format!("{name} {mode}")))
                .collect()
        })
    }
}
