//! The checks worth making on a vehicle that has just come in; what each shows is in [`super::entry`].
//!
//! Checks are enumerated from the vehicle, never listed by an author: looking, listening, the dash
//! ammeter and counting in each position of the wiper switch; volts from every point to battery
//! negative and across every path whose ends can be probed; currents by clamp; other consumers; arms
//! with the crank nut off; glass and blades by hand. One run in each position serves all of them.

use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, Kind, Node, Point, Setting, Vehicle};
use crate::world::{
    Action, Bench, FEEL_RUN_S, Measurement, Sense, has_supply, shows_signs, takes_arms_off,
    with_arms,
};

/// A check and the setting it is made in.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Candidate {
    /// Position of the wiper switch with the key on; `None` with the key off.
    pub(super) wiper: Option<usize>,
    /// Nuts, links and straps that must be undone first.
    pub(super) undone: Vec<ComponentId>,
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
    let mut add = |wiper, check| {
        list.push(Candidate {
            wiper,
            undone: Vec::new(),
            check,
        })
    };
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
                        wiper: None,
                        undone: undone.clone(),
                        check,
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
                wiper: None,
                undone,
                check: Action::MoveArm(arm),
            });
        }
    }
    // A look at the glass, and a hand on each blade, key off.
    let glass = all(|kind| matches!(kind, Kind::Windscreen(_))).map(Sense::LookAt);
    let blades = all(|kind| matches!(kind, Kind::Arm { .. })).map(Sense::Feel);
    for sense in glass.chain(blades) {
        list.push(Candidate {
            wiper: None,
            undone: Vec::new(),
            check: Action::Sense(sense),
        });
    }
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

/// Minutes of going to a component and taking the cover off it that are still ahead.
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
    let off = cover
        .filter(|_| on)
        .map_or(Minutes::ZERO, |cover| cover.off);
    minutes.plus(off).as_minutes()
}

/// Minutes that an action costs in the end: what is undone or unplugged must be put back, so that is
/// charged with the undoing, and putting it back is free.
pub(super) fn burden(action: &Action, charged: Minutes, vehicle: &Vehicle) -> Minutes {
    let charges = &vehicle.layout.charges;
    match action {
        Action::Loosen(_) => charged.plus(charges.nut_on),
        Action::Unplug(_) => charged.plus(charges.plug),
        Action::Tighten(_) | Action::Plug(_) | Action::Fit(_) => Minutes::ZERO,
        _ => charged,
    }
}

/// One point for each node that can be probed, the battery's negative post left out.
fn distinct_points(vehicle: &Vehicle) -> Vec<Point> {
    let mut seen = vec![Node::REFERENCE];
    let mut points = Vec::new();
    for point in vehicle.points() {
        let node = vehicle.node(point);
        if !seen.contains(&node) {
            seen.push(node);
            points.push(point);
        }
    }
    points
}

/// Every point against battery negative, and both ends of every path that can be probed.
fn point_pairs(vehicle: &Vehicle, negative: Point) -> Vec<(Point, Point)> {
    let mut seen: Vec<(Node, Node)> = Vec::new();
    let mut pairs = Vec::new();
    let mut add = |red: Point, black: Point| {
        let nodes = (vehicle.node(red), vehicle.node(black));
        if nodes.0 != nodes.1 && !seen.contains(&nodes) {
            seen.push(nodes);
            pairs.push((red, black));
        }
    };
    vehicle.points().for_each(|point| add(point, negative));
    for path in vehicle
        .components
        .iter()
        .flat_map(|component| &component.paths)
    {
        if let (Some(red), Some(black)) = (vehicle.point_at(path.p), vehicle.point_at(path.n)) {
            add(red, black);
        }
    }
    pairs
}

impl Candidate {
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
        let felt = match self.check {
            Action::Sense(Sense::Feel(part)) if self.wiper.is_some() => Some(part),
            _ => None,
        };
        if let Some(part) = felt {
            let opened = opened(part, vehicle, bench);
            steps.extend(opened.filter(|open| !steps.contains(open)));
        }
        let away = felt.is_some() || !arms.is_empty() || bench.place.index() != 0;
        let mut set = |component: ComponentId, position: usize, now: usize| {
            if now != position {
                let by_helper = helper && away;
                steps.push(Action::Control {
                    component,
                    position,
                    at_mid_glass: false,
                    by_helper,
                });
            }
        };
        let wiper_now = bench.positions[wiper.index()];
        match self.wiper {
            _ if self.is_by_eye() => {}
            Some(position) => {
                set(key, roles.key_on, key_now);
                set(wiper, position, wiper_now);
            }
            None => set(key, 0, key_now),
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
        let made = self.made(vehicle, bench, helper, |_, charged| charged);
        made.map(|(minutes, _)| minutes)
    }

    /// Hundredths of minutes that the check is reckoned with from a bench, and the bench after it.
    pub(super) fn cost(
        &self,
        vehicle: &Vehicle,
        bench: &Bench,
        helper: bool,
    ) -> Option<(u32, Bench)> {
        let reckoned = |step: &Action, charged| burden(step, charged, vehicle);
        let made = self.made(vehicle, bench, helper, reckoned);
        made.map(|(minutes, after)| (minutes.hundredths(), after))
    }

    /// Minutes that it takes at least from a bench: those of the check alone. What is put together again costs nothing, though
    /// it may lead to where the needed repair is: then nothing is said.
    pub(super) fn least(&self, vehicle: &Vehicle, bench: &Bench) -> Minutes {
        if !self.put_together(vehicle, bench).is_empty() {
            return Minutes::ZERO;
        }
        burden(&self.check, bench.work(&self.check, vehicle), vehicle)
    }

    /// The sum of what each step comes to by what it is charged, and the bench after the check.
    fn made(
        &self,
        vehicle: &Vehicle,
        bench: &Bench,
        helper: bool,
        comes_to: impl Fn(&Action, Minutes) -> Minutes,
    ) -> Option<(Minutes, Bench)> {
        let mut bench = bench.clone();
        let mut minutes = Minutes::ZERO;
        for step in self.steps(vehicle, &bench, helper) {
            let permitted = bench.reckon(&step, vehicle, helper).ok()?;
            minutes = minutes.plus(comes_to(&step, permitted.cost().total()));
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
