//! Things by name: places, covers, fasteners, connectors, arms, and the question back when a name is
//! none or several.

use groundside_engine::ident::nearest;
use groundside_engine::vehicle::{Component, ComponentId, Kind};
use groundside_engine::world::Action;

use super::acts::OLD;
use super::names::{EXACT, Found, Named, trimmed};
use super::token::Words;
use super::words::{EARTHS, is_filler};
use super::{Does, Language, Problem, choices, listed};

/// Most things of a kind that are all told when none of them is named.
const FEW: usize = 12;

impl Language<'_> {
    /// Strict words made of a layout's id, whose number only the engine can make.
    pub(super) fn strict(
        &self,
        words: &Words<'_>,
        at: usize,
        strict: &str,
    ) -> Result<Action, Problem> {
        Action::from_words(strict, self.vehicle)
            .map_err(|error| Problem::at(words, at, format!("{error}.")))
    }

    pub(super) fn go(&self, words: &Words<'_>, at: usize) -> Result<Action, Problem> {
        let places = &self.vehicle.layout.places;
        let name = |n: usize| places[n].id.to_string();
        // `go in the cab`, `go back to the cowl`
        let small = |n: &usize| {
            matches!(words.text(*n), "in" | "into" | "back" | "over") || is_filler(words.text(*n))
        };
        let at = at + (at..words.len()).take_while(small).count();
        let named = match self.places.whole(words.list(), at, |_| true) {
            // `go to the battery` is to where it is.
            Named::None => match self.components.whole(words.list(), at, |_| true) {
                Named::One(id) => Named::One(self.vehicle.component(id).place.index()),
                _ => Named::None,
            },
            named => named,
        };
        match named {
            Named::One(place) => self.strict(words, at, &format!("go {}", name(place))),
            other => {
                let all: Vec<&str> = places.iter().map(|place| place.id.as_str()).collect();
                Err(which(words, at, "place", &other, &all, &name))
            }
        }
    }

    /// A component of some sort, named by all words from `at` on.
    pub(super) fn component(
        &self,
        words: &Words<'_>,
        at: usize,
        what: &str,
        allow: impl Fn(&Component) -> bool,
    ) -> Result<ComponentId, Problem> {
        let data = |id: ComponentId| self.vehicle.component(id);
        match self
            .components
            .whole(words.list(), at, |id| allow(data(id)))
        {
            Named::One(id) => Ok(id),
            other => {
                if let (Named::None, Some(joint)) = (&other, self.battery_joint(words, at))
                    && allow(data(joint.battery))
                {
                    return Ok(joint.battery);
                }
                let (from, to) = trimmed(words.list(), at);
                let mut earths = self.earths(words, at);
                earths.retain(|id| allow(data(*id)));
                let other = match earths.is_empty() {
                    true => other,
                    false => Named::Several(earths),
                };
                if self.fuse_named(&words.until(to), from).is_some() {
                    let mut parts = self.protecting();
                    parts.retain(|id| allow(data(*id)));
                    let names = parts.iter().map(|id| data(*id).id.to_string());
                    let offers: Vec<String> =
                        names.map(|name| words.with(from..to, &name)).collect();
                    return Err(self.no_such_fuse(words, from, &parts).offering(offers));
                }
                let all = self
                    .vehicle
                    .components
                    .iter()
                    .filter(|component| allow(component));
                let all: Vec<&str> = all.map(|component| component.id.as_str()).collect();
                let many = other == Named::None && all.len() > FEW;
                let typed = words.typed(from..to).to_lowercase().replace(' ', "-");
                let near = nearest(&typed, all.iter().copied());
                let mut near = near.iter().filter_map(|id| self.vehicle.find(id));
                // Of what is near only a part of the kind that was named may have been meant.
                let meant =
                    to > 0 && near.any(|id| self.of_other_kind(words, to - 1..to, id).is_none());
                if many
                    && !meant
                    && let Some(problem) = self.none_of_kind(words, from..to, &allow, |id| {
                        vec![words.with(from..to, data(id).id.as_str())]
                    })
                {
                    return Err(problem);
                }
                Err(which(words, at, what, &other, &all, &|id| {
                    data(id).id.to_string()
                }))
            }
        }
    }

    /// Every ground and every strap, where the words from `at` on name grounds and none of them: `check earth`.
    pub(super) fn earths(&self, words: &Words<'_>, at: usize) -> Vec<ComponentId> {
        let (from, to) = trimmed(words.list(), at);
        let mut named = (from..to).map(|n| words.text(n));
        if from == to || !named.all(|word| EARTHS.contains(&word)) {
            return Vec::new();
        }
        let ground = |id: &ComponentId| {
            let kind = &self.vehicle.component(*id).kind;
            matches!(kind, Kind::GroundPoint | Kind::Strap(_))
        };
        self.vehicle.ids().filter(ground).collect()
    }

    pub(super) fn arm(&self, words: &Words<'_>, at: usize) -> Result<ComponentId, Problem> {
        let arm = |component: &Component| matches!(component.kind, Kind::Arm { .. });
        // `left wiper`, `left blade`: all the same arm.
        let (from, to) = trimmed(words.list(), at);
        let noun = ["wiper", "blade"].contains(&words.text(to.saturating_sub(1)));
        if noun && to > from + 1 {
            let list = &words.list()[..to - 1];
            if let Named::One(id) = self
                .components
                .whole(list, from, |id| arm(self.vehicle.component(id)))
            {
                return Ok(id);
            }
        }
        self.component(words, at, "arm", arm)
    }

    /// Takes off or puts on whatever is named: a cover, a fastener or a connector, the verb's own sort
    /// before the others.
    pub(super) fn off_or_on(
        &self,
        words: &Words<'_>,
        at: usize,
        does: Does,
        word: &str,
    ) -> Result<Action, Problem> {
        let off = matches!(does, Does::Remove | Does::Loosen | Does::Unplug);
        let order: [Does; 3] = match does {
            Does::Remove | Does::Fit => [Does::Remove, Does::Loosen, Does::Unplug],
            Does::Loosen | Does::Tighten => [Does::Loosen, Does::Unplug, Does::Remove],
            _ => [Does::Unplug, Does::Loosen, Does::Remove],
        };
        // Only covers are opened and closed.
        let sorts = if ["open", "close", "close up", "uncover"].contains(&word) {
            1
        } else {
            3
        };
        if order[0] == Does::Unplug
            && let Some(problem) = self.which_relay(words, at)
        {
            return Err(problem);
        }
        // The battery itself is no lid of its box: it comes off, and goes back, by its strap.
        let battery = |f: &Found<ComponentId>| {
            let kind = &self.vehicle.component(f.item).kind;
            f.rank == EXACT && matches!(kind, Kind::Battery(_))
        };
        let (from, to) = trimmed(words.list(), at);
        let whole = |f: &Found<ComponentId>| f.next == to && battery(f);
        if sorts > 1
            && self.components.at(words.list(), from).iter().any(whole)
            && let Some(action) = self.plug_of(words, at, off)
        {
            return Ok(action);
        }
        if order[0] == Does::Loosen
            && let Some(problem) = self.point_or_joint(words, at, does)
        {
            return Err(problem);
        }
        for sort in &order[..sorts] {
            if let Some(action) = self.thing(words, at, *sort, off)? {
                return Ok(action);
            }
        }
        // `unplug motor connector` is said of its plug, `put the old breaker back` of what was swapped.
        let last = words.len().saturating_sub(1);
        if order[0] == Does::Unplug && words.text(last) == "connector" && last > at {
            return self.off_or_on(&words.until(last), at, does, word);
        }
        if word == "put back" {
            let from = at
                + (at..last)
                    .take_while(|n| OLD.contains(&words.text(*n)))
                    .count();
            if let Ok(part) = self.component(words, from, "part", Self::has_known_good) {
                return Ok(Action::PutBack(part));
            }
        }
        let relay = |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Relay(_));
        let pulled = order[0] == Does::Unplug
            || sorts > 1
                && matches!(
                    self.components.whole(words.list(), at, relay),
                    Named::One(_)
                );
        if pulled && let Some(action) = self.plug_of(words, at, off) {
            return Ok(action);
        }
        if sorts > 1
            && let Some(clamp) = self.clamp_off_or_on(words, at, does)
        {
            return clamp;
        }
        if order[0] == Does::Loosen
            && let Some(problem) = self.screwed(words, at)
        {
            return Err(problem);
        }
        if order[0] != Does::Unplug
            && let Some(problem) = self.arms_stay(words, at)
        {
            return Err(problem);
        }
        match order[0] {
            Does::Remove => {
                let covers = &self.vehicle.layout.covers;
                let all: Vec<&str> = covers.iter().map(|cover| cover.id.as_str()).collect();
                let none: Named<usize> = Named::None;
                let fuses = (words.text(at) == "fuse").then(|| self.fuses(words, at));
                if let Some(problem) = fuses.flatten() {
                    return Err(problem);
                }
                Err(which(words, at, "cover", &none, &all, &|n| {
                    covers[n].id.to_string()
                }))
            }
            Does::Loosen => self
                .component(words, at, "nut or link", is_fastener)
                .map(Action::Loosen),
            _ => {
                // A linkage is parted at its nut and its link.
                let moving = |id: ComponentId| is_linkage(self.vehicle.component(id));
                let linkage = self.components.whole(words.list(), at, moving) != Named::None;
                let parted = if linkage {
                    self.component(words, at, "nut or link", is_fastener)
                } else {
                    self.component(words, at, "connector", is_connector)
                };
                parted.map(Action::Unplug)
            }
        }
    }

    /// What to say when an arm is taken off or put on: it comes off for a new one alone.
    fn arms_stay(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        let arms = self.arms_named(words, at);
        let first = self.vehicle.component(*arms.first()?);
        let own = ["move", "look"].map(|verb| format!("{verb} {}", first.id));
        let repairs = first.repairs.iter();
        let repairs = repairs.map(|repair| format!("repair {} {}", first.id, repair.name));
        let ways: Vec<String> = own.into_iter().chain(repairs).collect();
        let message = format!(
            "The arms stay on here, but for a repair; each is moved, looked at or put right: {}.",
            choices(&ways)
        );
        Some(Problem::at(words, at, message).offering(ways))
    }

    /// The question back to `unplug the relay` where there are several: by the sockets they sit in.
    fn which_relay(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        let relay = |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Relay(_));
        let Named::Several(all) = self.components.whole(words.list(), at, relay) else {
            return None;
        };
        // What names a plug as well is that.
        let plug = |id: ComponentId| is_connector(self.vehicle.component(id));
        if self.components.whole(words.list(), at, plug) != Named::None {
            return None;
        }
        let sockets = all.into_iter().filter_map(|id| self.connector_of(id));
        let sockets: Vec<ComponentId> = sockets.collect();
        Some(self.several(words, at..words.len(), &sockets))
    }

    /// A connector, a link or a nut that is named behind a verb for taking clips off; `None` where none is.
    pub(super) fn unhooked(&self, words: &Words<'_>, at: usize) -> Result<Option<Action>, Problem> {
        for sort in [Does::Unplug, Does::Loosen] {
            if let Some(action) = self.thing(words, at, sort, true)? {
                return Ok(Some(action));
            }
        }
        Ok(None)
    }

    /// What to say when a ground's screw is undone or done up: it is made good as a whole.
    fn screwed(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        let ground = |id: ComponentId| {
            let kind = &self.vehicle.component(id).kind;
            matches!(kind, Kind::GroundPoint | Kind::Strap(_))
        };
        let last = words.len().saturating_sub(1);
        let noun = ["screw", "nut", "bolt", "stud", "connection"].contains(&words.text(last));
        let words_ = if noun {
            words.until(last)
        } else {
            words.clone()
        };
        let ids = match self.components.whole(words_.list(), at, ground) {
            Named::None => return None,
            Named::One(id) => vec![id],
            Named::Several(all) => all,
        };
        let ways: Vec<String> = ids
            .iter()
            .map(|id| format!("repair {}", self.vehicle.component(*id).id))
            .collect();
        let message = format!(
            "A ground's screw is seen to as a whole, cleaned and tightened: {}.",
            choices(&ways)
        );
        Some(Problem::at(words, at, message).offering(ways))
    }

    /// The named thing of one sort, with what is done to it; `None` when there is none.
    pub(super) fn thing(
        &self,
        words: &Words<'_>,
        at: usize,
        sort: Does,
        off: bool,
    ) -> Result<Option<Action>, Problem> {
        let data = |id: ComponentId| self.vehicle.component(id);
        if sort == Does::Remove {
            let covers = &self.vehicle.layout.covers;
            let verb = if off { "remove" } else { "fit" };
            let name = |n: usize| covers[n].id.to_string();
            return match self.covers.whole(words.list(), at, |_| true) {
                Named::None => Ok(None),
                Named::One(cover) => self
                    .strict(words, at, &format!("{verb} {}", name(cover)))
                    .map(Some),
                several @ Named::Several(_) => Err(which(words, at, "cover", &several, &[], &name)),
            };
        }
        let wanted: fn(&Component) -> bool = if sort == Does::Loosen {
            is_fastener
        } else {
            is_connector
        };
        let found = self
            .components
            .whole(words.list(), at, |id| wanted(data(id)));
        match found {
            Named::None => Ok(None),
            Named::One(id) => Ok(Some(match (sort, off) {
                (Does::Loosen, true) => Action::Loosen(id),
                (Does::Loosen, false) => Action::Tighten(id),
                (_, true) => Action::Unplug(id),
                (_, false) => Action::Plug(id),
            })),
            Named::Several(all) => Err(self.several(words, at..words.len(), &all)),
        }
    }

    /// The plug of what is named: `unplug motor` is said of its plug.
    pub(super) fn plug_of(&self, words: &Words<'_>, at: usize, off: bool) -> Option<Action> {
        let battery = |id: ComponentId| matches!(self.vehicle.component(id).kind, Kind::Battery(_));
        if let Named::One(_) = self.components.whole(words.list(), at, battery) {
            // A battery is disconnected by its ground strap.
            let strap = self.vehicle.battery_strap()?;
            return Some(if off {
                Action::Unplug(strap)
            } else {
                Action::Plug(strap)
            });
        }
        let mated = |id: ComponentId| self.connector_of(id).is_some();
        let Named::One(id) = self.components.whole(words.list(), at, mated) else {
            return None;
        };
        let plug = self.connector_of(id)?;
        Some(if off {
            Action::Unplug(plug)
        } else {
            Action::Plug(plug)
        })
    }
}

/// A question back: several of a kind, or none.
fn which<T: Copy>(
    words: &Words<'_>,
    at: usize,
    what: &str,
    named: &Named<T>,
    all: &[&str],
    name: &dyn Fn(T) -> String,
) -> Problem {
    let (from, to) = trimmed(words.list(), at);
    let typed = words.typed(from..to);
    let owned = |names: &[&str]| {
        names
            .iter()
            .map(|name| (*name).to_owned())
            .collect::<Vec<String>>()
    };
    let (message, offers) = if let Named::Several(could) = named {
        let could: Vec<String> = could.iter().map(|item| name(*item)).collect();
        (
            format!("`{typed}` could be {}.", listed(&could, "or")),
            could,
        )
    } else {
        let near = nearest(&typed.to_lowercase().replace(' ', "-"), all.iter().copied());
        if typed.is_empty() {
            (format!("Which {what}?"), Vec::new())
        } else if !near.is_empty() {
            let meant = listed(&near, "or");
            (
                format!("There is no {what} `{typed}`; did you mean {meant}?"),
                owned(&near),
            )
        } else if all.is_empty() {
            (format!("There is no {what} on this vehicle."), Vec::new())
        } else if all.len() > FEW {
            (
                format!("There is no {what} `{typed}` on this vehicle."),
                Vec::new(),
            )
        } else {
            (
                format!(
                    "There is no {what} `{typed}`; there is {}.",
                    listed(all, "and")
                ),
                owned(all),
            )
        }
    };
    Problem::at(words, from, message).offering(offers.iter().map(|id| words.with(from..to, id)))
}

pub(super) fn is_consumer(component: &Component) -> bool {
    matches!(component.kind, Kind::Consumer(_))
}

pub(super) fn is_fastener(component: &Component) -> bool {
    matches!(component.kind, Kind::CrankNut { .. } | Kind::ConnectingLink)
}

pub(super) fn is_connector(component: &Component) -> bool {
    matches!(component.kind, Kind::Connector { .. } | Kind::Strap(_))
}

/// Whether a part is there to bring current back to the battery.
pub(super) fn is_ground(component: &Component) -> bool {
    match component.kind {
        Kind::GroundPoint | Kind::Strap(_) => true,
        Kind::Wire { .. } => component.title.contains("ground"),
        _ => false,
    }
}

pub(super) fn is_linkage(component: &Component) -> bool {
    matches!(
        component.kind,
        Kind::Linkage(_) | Kind::CrankNut { .. } | Kind::ConnectingLink | Kind::Pivot { .. }
    )
}
