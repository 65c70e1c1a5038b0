//! The checks worth making on a vehicle that has just come in; what each shows is in [`super::entry`].
//!
//! Checks are enumerated from the vehicle, never listed by an author: looking, listening, the dash
//! ammeter and counting in each position of the wiper switch; volts from every point to battery
//! negative and across every path whose ends can be probed; currents by clamp; other consumers; arms
//! with the crank nut off; glass and blades by hand. One run in each position serves all of them. What is seen, heard and
//! metered under supply is listed once more with water over everything, and once more after minutes of running.

use super::before::Before;
use super::probing::{distinct_points, point_pairs};
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, CoverId, Kind, Node, Setting, Vehicle};
use crate::world::{
    Action, Bench, FEEL_RUN_S, Measurement, Permitted, Sense, WARM_RUN_S, has_supply, shows_signs,
    takes_arms_off, with_arms,
};

/// A check and the setting it is made in.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Candidate {
    /// Position of the wiper switch with the key on; `None` with the key off.
    pub(super) wiper: Option<usize>,
    /// Nuts, links and straps that must be undone first.
    pub(super) undone: Vec<ComponentId>,
    /// What is done to the vehicle first, so that what gives way to it shows.
    pub(super) before: Option<Before>,
    /// What, done before, has it show something else on some vehicle: then it is another check, listed by itself.
    pub(super) otherwise: Vec<Before>,
    /// The check itself.
    pub(super) check: Action,
}

/// All checks of a vehicle, in a fixed order.
pub(super) fn candidates(vehicle: &Vehicle) -> Vec<Candidate> {
    let mut list = Vec::new();
    let Some(roles) = vehicle.roles() else {
        return list;
    };
    let positions = vehicle.component(roles.wiper).positions().len();
    let Some(negative) = vehicle.point_at(Node::REFERENCE) else {
        return list;
    };
    let mut add = |wiper, check| list.push(Candidate::of(wiper, check));
    let all = |wanted: fn(&Kind) -> bool| {
        vehicle
            .ids()
            .filter(move |&id| wanted(&vehicle.component(id).kind))
    };
    let consumers = || all(|kind| matches!(kind, Kind::Consumer(_)));
    let pivots = || all(|kind| matches!(kind, Kind::Pivot { .. }));
    let is_connector = |kind: &Kind| matches!(kind, Kind::Connector { .. });
    let joint = |kind: &Kind| {
        matches!(
            kind,
            Kind::Connector { .. } | Kind::GroundPoint | Kind::Battery(_)
        )
    };
    let joints = || all(joint);
    for position in 0..positions {
        let on = Some(position);
        for sense in [Sense::LookBlades, Sense::Listen, Sense::Ammeter] {
            add(on, Action::Sense(sense));
        }
        if position != roles.off {
            add(on, Action::Sense(Sense::Count));
            add(on, Action::Sense(Sense::LookLinkage));
            pivots().for_each(|id| add(on, Action::Sense(Sense::Feel(id))));
            joints().for_each(|id| add(on, Action::Wiggle(id)));
        } else {
            consumers().for_each(|id| add(on, Action::Sense(Sense::Try(id))));
            let signs = vehicle
                .ids()
                .filter(|&id| shows_signs(vehicle.component(id)));
            signs.for_each(|id| add(on, Action::Sense(Sense::LookAt(id))));
            let pins = vehicle
                .points()
                .filter(|point| is_connector(&vehicle.component(point.component).kind));
            pins.for_each(|point| add(on, Action::Tug(point)));
        }
        for (red, black) in point_pairs(vehicle, negative) {
            add(
                on,
                Action::Measure {
                    what: Measurement::Volts,
                    red,
                    black,
                },
            );
        }
        for wire in vehicle
            .ids()
            .filter(|&id| vehicle.component(id).is_conductor())
        {
            add(on, Action::Clamp(wire));
        }
    }
    // With the battery's strap off, ohms to the body wherever a sound vehicle has no supply then.
    for (strap, black) in vehicle
        .battery_strap()
        .into_iter()
        .zip(vehicle.point_at(vehicle.body))
    {
        let apart = vehicle
            .ids()
            .filter(|&id| matches!(vehicle.component(id).kind, Kind::Connector { mates: None }));
        for undone in
            std::iter::once(vec![strap]).chain(apart.map(|connector| vec![strap, connector]))
        {
            let mut setting = Setting::at_rest(vehicle);
            for part in &undone {
                setting.unplugged[part.index()] = true;
            }
            for red in distinct_points(vehicle) {
                if vehicle.node(red) != vehicle.body
                    && !has_supply(vehicle, &setting, &[], vehicle.node(red))
                {
                    let check = Action::Measure {
                        what: Measurement::Ohms,
                        red,
                        black,
                    };
                    list.push(Candidate {
                        undone: undone.clone(),
                        ..Candidate::of(None, check)
                    });
                }
            }
        }
    }
    let nuts: Vec<ComponentId> = all(|kind| matches!(kind, Kind::CrankNut { .. })).collect();
    let links: Vec<ComponentId> = all(|kind| matches!(kind, Kind::ConnectingLink)).collect();
    for arm in all(|kind| matches!(kind, Kind::Arm { .. })) {
        let both = nuts.iter().chain(&links).copied().collect();
        for undone in [Vec::new(), nuts.clone(), both] {
            list.push(Candidate {
                undone,
                ..Candidate::of(None, Action::MoveArm(arm))
            });
        }
    }
    // A look at the glass, and a hand on each blade, key off.
    let glass = all(|kind| matches!(kind, Kind::Windscreen(_))).map(Sense::LookAt);
    let blades = all(|kind| matches!(kind, Kind::Arm { .. })).map(Sense::Feel);
    for sense in glass.chain(blades) {
        list.push(Candidate::of(None, Action::Sense(sense)));
    }
    let again = |before: Before| {
        // What cools as the motor stops is seen while it should run.
        let may_be = |check: &Candidate| match before {
            Before::Water => true,
            Before::Run => check.wiper.is_some_and(|of| roles.speeds.contains(&of)),
        };
        let repeated = list.iter().filter(|check| check.is_repeated(vehicle));
        let repeated = repeated.filter(|check| may_be(check));
        let again = repeated.map(|check| Candidate {
            before: Some(before),
            ..check.clone()
        });
        again.collect::<Vec<Candidate>>()
    };
    let again: Vec<Candidate> = Before::ALL.into_iter().flat_map(again).collect();
    list.extend(again);
    list
}

/// Going to a component and taking the cover off it, where that is still to be done.
fn opened(part: ComponentId, vehicle: &Vehicle, bench: &Bench) -> Option<Action> {
    let component = vehicle.component(part);
    match component.cover {
        Some(cover) if !bench.covers_off[cover.index()] => Some(Action::Remove(cover)),
        _ if bench.place != component.place => Some(Action::Go(component.place)),
        _ => None,
    }
}

/// Minutes of going to a component and of taking the cover off it, and putting it back, that are still ahead.
pub(super) fn reach_minutes(part: ComponentId, vehicle: &Vehicle, bench: &Bench) -> f64 {
    let component = vehicle.component(part);
    let layout = &vehicle.layout;
    let cover = component.cover.map(|cover| &layout.covers[cover.index()]);
    let mut at = bench.place;
    let mut minutes = Minutes::ZERO;
    for place in cover
        .map(|cover| cover.place)
        .into_iter()
        .chain([component.place])
    {
        if place != at {
            minutes = minutes.plus(layout.charges.walk);
            at = place;
        }
    }
    let on = component
        .cover
        .is_some_and(|cover| !bench.covers_off[cover.index()]);
    let cover = cover
        .filter(|_| on)
        .map_or(Minutes::ZERO, |cover| cover.off.plus(cover.on));
    minutes.plus(cover).as_minutes()
}

/// Minutes that an action costs in the end, with the covers that come off for it: what is undone, unplugged, taken off or
/// swapped must be put back, so that is charged with the undoing, and putting it back is free.
pub(super) fn burden(permitted: &Permitted, vehicle: &Vehicle) -> Minutes {
    let charges = &vehicle.layout.charges;
    let charged = permitted.cost().total();
    let on = |cover: &CoverId| vehicle.layout.covers[cover.index()].on;
    let own = match permitted.action() {
        Action::Loosen(_) => charged.plus(charges.nut_on),
        Action::Unplug(_) => charged.plus(charges.plug),
        Action::Remove(cover) => charged.plus(on(cover)),
        Action::Substitute(_) => charged.plus(permitted.cost().work),
        Action::Tighten(_)
        | Action::Plug(_)
        | Action::Fit(_)
        | Action::PutBack(_)
        | Action::HandOver(_) => Minutes::ZERO,
        _ => charged,
    };
    permitted.covers().iter().map(on).fold(own, Minutes::plus)
}

impl Candidate {
    /// A check with nothing undone and nothing done before.
    pub(super) const fn of(wiper: Option<usize>, check: Action) -> Self {
        Self {
            wiper,
            undone: Vec::new(),
            before: None,
            otherwise: Vec::new(),
            check,
        }
    }

    /// Whether it is worth making once more when something was done to the vehicle: what is seen, heard and metered
    /// under supply.
    fn is_repeated(&self, vehicle: &Vehicle) -> bool {
        let at_a_glance = |sense: &Sense| {
            matches!(
                sense,
                Sense::LookBlades | Sense::Listen | Sense::Count | Sense::Ammeter
            )
        };
        self.wiper.is_some()
            && !takes_arms_off(&self.check, vehicle)
            && match &self.check {
                Action::Sense(sense) => at_a_glance(sense),
                Action::Measure { .. } | Action::Clamp(_) => true,
                _ => false,
            }
    }

    /// Whether it is another's check, with nothing done before.
    pub(super) fn is_repeated_by(&self, other: &Self) -> bool {
        self.before.is_none()
            && other.before.is_some()
            && self.wiper == other.wiper
            && self.undone == other.undone
            && self.check == other.check
    }

    /// Whether the vehicle is, at a bench, as the check is listed.
    pub(super) fn is_as_listed(&self, bench: &Bench) -> bool {
        match self.before {
            Some(before) => before.holds(bench),
            None => !self.otherwise.iter().any(|before| before.holds(bench)),
        }
    }

    /// Whether it is a look at where the blades rest.
    pub(super) fn looks_at_rest(&self, vehicle: &Vehicle) -> bool {
        let off = vehicle.roles().map(|roles| roles.off);
        self.check == Action::Sense(Sense::LookBlades) && self.wiper.is_some() && self.wiper == off
    }

    /// Whether one part is looked at, which shows alike whatever is set and apart.
    const fn is_by_eye(&self) -> bool {
        matches!(self.check, Action::Sense(Sense::LookAt(_)))
    }

    /// What must be put together again before the check shows what it is expected to show: its prediction is
    /// that of the vehicle as it came in.
    fn put_together(&self, vehicle: &Vehicle, bench: &Bench) -> Vec<Action> {
        let in_the_way = |id: &ComponentId| !self.undone.contains(id);
        if self.is_by_eye() {
            return Vec::new();
        }
        let electrical = self.wiper.is_some() || matches!(self.check, Action::Measure { .. });
        let of = |flags: &[bool]| -> Vec<ComponentId> {
            vehicle
                .ids()
                .filter(|id| flags[id.index()])
                .filter(in_the_way)
                .collect()
        };
        let mut steps: Vec<Action> = Vec::new();
        if electrical {
            let lead = Action::RemoveJumper {
                at_mid_glass: false,
            };
            steps.extend(bench.jumpers.iter().map(|_| lead.clone()));
            steps.extend(of(&bench.unplugged).into_iter().map(Action::Plug));
        }
        steps.extend(of(&bench.undone).into_iter().map(Action::Tighten));
        // What runs with its blades is seen with the arms on, but for what is behind what takes them along.
        let runs = self.wiper.is_some_and(|position| position > 0);
        if runs && !takes_arms_off(&self.check, vehicle) {
            steps.extend(bench.off_with_arms(vehicle).map(Action::Fit));
        }
        steps.extend(of(&bench.substituted).into_iter().map(Action::PutBack));
        steps
    }

    /// The actions that make the check from a bench: what is apart put together, then the setting, the check
    /// last.
    pub(super) fn steps(&self, vehicle: &Vehicle, bench: &Bench, helper: bool) -> Vec<Action> {
        let mut steps = Vec::new();
        let Some(roles) = vehicle.roles() else {
            return steps;
        };
        let (key, wiper) = (roles.key, roles.wiper);
        let together = self.put_together(vehicle, bench);
        let mut arms = with_arms(&self.check, vehicle);
        arms.retain(|cover| !bench.covers_off[cover.index()]);
        let mut key_now = bench.positions[key.index()];
        if !(together.is_empty() && arms.is_empty()) && key_now != 0 {
            // Nothing is plugged or done up under supply, and no arm taken off that may sweep.
            steps.push(Action::Control {
                component: key,
                position: 0,
                at_mid_glass: false,
                by_helper: helper && bench.place.index() != 0,
            });
            key_now = 0;
        }
        steps.extend(together);
        steps.extend(arms.iter().map(|&cover| Action::Remove(cover)));
        let wets = self.before == Some(Before::Water) && !self.is_as_listed(bench);
        if wets {
            steps.push(Action::WetGlass);
        }
        let felt = match self.check {
            Action::Sense(Sense::Feel(part)) if self.wiper.is_some() => Some(part),
            _ => None,
        };
        if let Some(part) = felt {
            let opened = opened(part, vehicle, bench);
            steps.extend(opened.filter(|open| !steps.contains(open)));
        }
        // Where blades rest at OFF is seen after they have run.
        let runs_before = self.looks_at_rest(vehicle) && !bench.has_run;
        let away = felt.is_some() || wets || !arms.is_empty() || bench.place.index() != 0;
        let mut wiper_now = bench.positions[wiper.index()];
        // A key that went off for what is put together has let it cool.
        let went_off = key_now != bench.positions[key.index()];
        let warms = self.before == Some(Before::Run) && (went_off || !self.is_as_listed(bench));
        let set = |component: ComponentId, position: usize, now: &mut usize| {
            let was = std::mem::replace(now, position);
            (was != position).then_some(Action::Control {
                component,
                position,
                at_mid_glass: false,
                by_helper: helper && away,
            })
        };
        match self.wiper {
            _ if self.is_by_eye() => {}
            Some(position) => {
                steps.extend(set(key, roles.key_on, &mut key_now));
                if let Some(&slowest) = roles.speeds.first().filter(|_| warms) {
                    steps.extend(set(wiper, slowest, &mut wiper_now));
                    steps.push(Action::Wait {
                        seconds: WARM_RUN_S,
                    });
                }
                if let Some(&fastest) = roles.speeds.last().filter(|_| runs_before) {
                    steps.extend(set(wiper, fastest, &mut wiper_now));
                }
                steps.extend(set(wiper, position, &mut wiper_now));
            }
            None => steps.extend(set(key, 0, &mut key_now)),
        }
        if felt.is_some() {
            // It runs warm first; then the key is off before a hand goes there.
            steps.push(Action::Wait {
                seconds: FEEL_RUN_S,
            });
            steps.push(Action::Control {
                component: key,
                position: 0,
                at_mid_glass: false,
                by_helper: helper,
            });
        }
        for &part in &self.undone {
            let plugged = matches!(
                vehicle.component(part).kind,
                Kind::Strap(_) | Kind::Connector { .. }
            );
            match plugged {
                true if !bench.unplugged[part.index()] => steps.push(Action::Unplug(part)),
                false if !bench.undone[part.index()] => steps.push(Action::Loosen(part)),
                _ => {}
            }
        }
        steps.push(self.check.clone());
        steps
    }

    /// What has to be done from a bench before the check can be made, in strict words and in its order; with each
    /// whether it sets the wiper switch, which the check's own words name too.
    pub(super) fn first(
        &self,
        vehicle: &Vehicle,
        bench: &Bench,
        helper: bool,
    ) -> Vec<(String, bool)> {
        let Some(roles) = vehicle.roles() else {
            return Vec::new();
        };
        let mut steps = self.steps(vehicle, bench, helper);
        steps.pop();
        let named = |action: &Action| {
            let wiper =
                matches!(action, Action::Control { component, .. } if *component == roles.wiper);
            (action.words(vehicle), wiper)
        };
        steps.retain(|step| !matches!(step, Action::Wait { .. }));
        let mut list: Vec<(String, bool)> = steps.iter().map(named).collect();
        // A cover that comes off for the check itself.
        if let Ok(permitted) = bench.reckon(&self.check, vehicle, helper) {
            for cover in permitted.covers() {
                let cover = named(&Action::Remove(*cover));
                if !list.contains(&cover) {
                    list.push(cover);
                }
            }
        }
        list
    }

    /// Minutes on the clock until the check is made from a bench; `None` where it cannot be.
    pub(super) fn on_the_clock(
        &self,
        vehicle: &Vehicle,
        bench: &Bench,
        helper: bool,
    ) -> Option<Minutes> {
        let made = self.made(vehicle, bench, helper, |permitted| permitted.cost().total());
        made.map(|(minutes, _)| minutes)
    }

    /// Hundredths of minutes that the check is reckoned with from a bench, and the bench after it.
    pub(super) fn cost(
        &self,
        vehicle: &Vehicle,
        bench: &Bench,
        helper: bool,
    ) -> Option<(u32, Bench)> {
        let made = self.made(vehicle, bench, helper, |permitted| {
            burden(permitted, vehicle)
        });
        made.map(|(minutes, after)| (minutes.hundredths(), after))
    }

    /// Minutes that it takes at least from a bench: those of the check alone. What is put together again costs nothing, though
    /// it may lead to where the needed repair is: then nothing is said.
    pub(super) fn least(&self, vehicle: &Vehicle, bench: &Bench) -> Minutes {
        if !self.put_together(vehicle, bench).is_empty() {
            return Minutes::ZERO;
        }
        bench.work(&self.check, vehicle)
    }

    /// The sum of what each step comes to by what it is charged, and the bench after the check.
    fn made(
        &self,
        vehicle: &Vehicle,
        bench: &Bench,
        helper: bool,
        comes_to: impl Fn(&Permitted) -> Minutes,
    ) -> Option<(Minutes, Bench)> {
        // What was done to the vehicle is not undone for a check that would show something else for it.
        if self.before.is_none() && !self.is_as_listed(bench) {
            return None;
        }
        let mut bench = bench.clone();
        let mut minutes = Minutes::ZERO;
        for step in self.steps(vehicle, &bench, helper) {
            let permitted = bench.reckon(&step, vehicle, helper).ok()?;
            minutes = minutes.plus(comes_to(&permitted));
            bench = bench.after(&permitted, vehicle);
        }
        Some((minutes, bench))
    }

    /// What kind of check it is, and the setting it is made in: its words without what it is made on.
    pub(super) fn kind_in_words(&self, vehicle: &Vehicle) -> String {
        let check = self.check.words(vehicle);
        let kind = check.split(' ').next().unwrap_or_default();
        let words = self.words(vehicle);
        let setting = words.strip_prefix(&check).unwrap_or_default();
        format!("{kind}{setting}")
    }

    /// The check in words, with the setting it is made in.
    pub(super) fn words(&self, vehicle: &Vehicle) -> String {
        let words = self.words_of_setting(vehicle);
        match self.before {
            Some(before) => format!("{words}, {}", before.words(vehicle)),
            None => words,
        }
    }

    fn words_of_setting(&self, vehicle: &Vehicle) -> String {
        let check = self.check.words(vehicle);
        let wiper = vehicle
            .control("wiper")
            .map(|id| vehicle.component(id).positions());
        let parts = |parts: &[ComponentId]| {
            let names: Vec<&str> = parts
                .iter()
                .map(|&id| vehicle.component(id).id.as_str())
                .collect();
            names.join(" and ")
        };
        match (self.wiper, wiper) {
            (Some(position), Some(positions))
                if matches!(self.check, Action::Sense(Sense::Feel(_))) =>
            {
                format!(
                    "{check}, its cover off first, after a minute at {}, key off again",
                    positions[position]
                )
            }
            (Some(position), Some(positions)) => {
                format!("{check} with the wiper switch at {}", positions[position])
            }
            _ if matches!(self.check, Action::Sense(_)) || self.undone.is_empty() => {
                format!("{check}, key off")
            }
            _ if matches!(self.check, Action::Measure { .. }) => {
                format!("{check}, key off, {} off", parts(&self.undone))
            }
            _ if self.undone.len() > 1 => format!("{check} with crank nut and link undone"),
            _ => format!("{check} with the crank nut undone"),
        }
    }
}
