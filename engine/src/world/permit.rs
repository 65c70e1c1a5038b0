//! Whether an action can be done, where it takes the person, and what it costs.
//!
//! Everything here reads the [`Bench`] and the vehicle's layout alone, so it is the same whatever is
//! wrong with the vehicle.

use super::action::{Action, Cost, Sense};
use super::hazard::{self, Advice, Hazard};
use super::refusal::{Refusal, refuse, substitute_way};
use super::{Bench, World};
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, CoverId, Kind, Node, PlaceId, Point, Vehicle};

/// An action that can be done. Only [`World::permit`] makes one, so nothing else is carried out.
#[derive(Clone, Debug, PartialEq)]
pub struct Permitted {
    pub(super) action: Action,
    cost: Cost,
    pub(super) place: Option<PlaceId>,
    pub(super) covers: Vec<CoverId>,
    pub(super) takes_meter: bool,
    hazards: Vec<Hazard>,
    advice: Option<Advice>,
}

impl Permitted {
    /// The action.
    #[must_use]
    pub const fn action(&self) -> &Action {
        &self.action
    }

    /// What it costs.
    #[must_use]
    pub const fn cost(&self) -> Cost {
        self.cost
    }

    /// Where it takes the person; `None` when the person stays.
    #[must_use]
    pub const fn place(&self) -> Option<PlaceId> {
        self.place
    }

    /// Covers that come off for it.
    #[must_use]
    pub fn covers(&self) -> &[CoverId] {
        &self.covers
    }

    /// Whether the meter is got out for it.
    #[must_use]
    pub const fn takes_meter(&self) -> bool {
        self.takes_meter
    }

    /// What could hurt. The caution comes before the act; going on counts.
    #[must_use]
    pub fn hazards(&self) -> &[Hazard] {
        &self.hazards
    }

    /// What to bear in mind at it, which counts for nothing.
    #[must_use]
    pub const fn advice(&self) -> Option<Advice> {
        self.advice
    }
}

/// Where an action has to be done.
#[derive(Default)]
struct Needs {
    places: Vec<PlaceId>,
    covers: Vec<CoverId>,
}

impl Needs {
    fn place(mut self, place: PlaceId) -> Self {
        if self.places.last() != Some(&place) {
            self.places.push(place);
        }
        self
    }

    fn component(mut self, vehicle: &Vehicle, id: ComponentId) -> Self {
        let component = vehicle.component(id);
        // Bare body metal is within reach wherever one is.
        if matches!(component.kind, Kind::Body) {
            return self;
        }
        if let Some(cover) = component.cover {
            self = self.place(vehicle.layout.covers[cover.index()].place);
            // Both leads behind one cover: it comes off once.
            if !self.covers.contains(&cover) {
                self.covers.push(cover);
            }
        }
        self.place(component.place)
    }

    /// Both leads; a black lead on the battery's negative post stays there on a long lead.
    fn points(mut self, vehicle: &Vehicle, red: Point, black: Point) -> Self {
        if vehicle.node(black) != Node::REFERENCE {
            self = self.component(vehicle, black.component);
        }
        if vehicle.node(red) == Node::REFERENCE && vehicle.node(black) != Node::REFERENCE {
            return self;
        }
        self.component(vehicle, red.component)
    }
}

impl World {
    /// Whether an action can be done, and at what cost.
    ///
    /// # Errors
    /// [`Refusal`] when it cannot.
    pub fn permit(&self, action: &Action) -> Result<Permitted, Refusal> {
        self.bench
            .permit(action, &self.sound, self.conditions.helper)
    }
}

impl Bench {
    /// Whether an action can be done from here on a vehicle with this layout, and at what cost.
    ///
    /// # Errors
    /// [`Refusal`] when it cannot.
    pub fn permit(
        &self,
        action: &Action,
        vehicle: &Vehicle,
        helper: bool,
    ) -> Result<Permitted, Refusal> {
        let reckoned = self.reckon(action, vehicle, helper)?;
        let cost = reckoned.cost.total();
        let hazards = hazard::hazards(action, cost, &reckoned.covers, self, vehicle);
        let advice = hazard::advice(action, self, vehicle).filter(|advice| {
            *advice != Advice::AmmeterBesideCircuit
                || !hazards.contains(&Hazard::AmmeterAcrossSupply)
        });
        Ok(Permitted {
            hazards,
            advice,
            ..reckoned
        })
    }

    /// The same without what could hurt and what to bear in mind: for reckoning ahead, where nothing is done.
    ///
    /// # Errors
    /// [`Refusal`] when it cannot.
    pub(crate) fn reckon(
        &self,
        action: &Action,
        vehicle: &Vehicle,
        helper: bool,
    ) -> Result<Permitted, Refusal> {
        refuse(action, self, vehicle, helper)?;
        let needs = needs(action, vehicle);
        // Meter, clamps, lamps and leads lie in one case.
        let takes_meter = !self.meter_out && action.takes_meter();
        let covers: Vec<CoverId> = needs
            .covers
            .into_iter()
            .filter(|cover| !self.covers_off[cover.index()])
            .collect();
        let charges = &vehicle.layout.charges;
        let mut access = Minutes::ZERO;
        let mut at = self.place;
        for &place in &needs.places {
            if place != at {
                access = access.plus(charges.walk);
                at = place;
            }
        }
        for cover in &covers {
            access = access.plus(vehicle.layout.covers[cover.index()].off);
        }
        if takes_meter {
            access = access.plus(charges.meter_out);
        }
        let cost = Cost {
            access,
            work: self.work(action, vehicle),
        };
        Ok(Permitted {
            action: action.clone(),
            cost,
            place: (at != self.place).then_some(at),
            covers,
            takes_meter,
            hazards: Vec::new(),
            advice: None,
        })
    }

    /// Minutes of the work of an action itself, without the way to it.
    pub(crate) fn work(&self, action: &Action, vehicle: &Vehicle) -> Minutes {
        let charges = &vehicle.layout.charges;
        match action {
            // The way itself is charged as access.
            Action::Go(_)
            | Action::Conclude(_)
            | Action::Note(_)
            | Action::Suspect(_)
            | Action::Coach
            | Action::GiveUp => Minutes::ZERO,
            // No vehicle leaves with its covers off, nor with the workshop's own parts in.
            Action::HandOver(_) => {
                let covers = vehicle.layout.covers.iter().zip(&self.covers_off);
                let off = covers.filter(|(_, off)| **off).map(|(cover, _)| cover.on);
                let swapped = vehicle.ids().filter(|id| self.substituted[id.index()]);
                let back = swapped.map(|id| self.work(&Action::PutBack(id), vehicle));
                off.chain(back).fold(Minutes::ZERO, Minutes::plus)
            }
            // A coach's time is free.
            Action::Hint(_) if self.coached => Minutes::ZERO,
            Action::Hint(hint) => hint.minutes(),
            Action::Remove(cover) => vehicle.layout.covers[cover.index()].off,
            Action::Fit(cover) => vehicle.layout.covers[cover.index()].on,
            Action::Control {
                by_helper: false, ..
            } => charges.control,
            Action::Control {
                by_helper: true, ..
            } => charges.helper,
            Action::Measure { .. } | Action::Clamp(_) | Action::Trace(_) | Action::Clip { .. } => {
                charges.reading
            }
            Action::BatteryTest => charges.battery_test,
            Action::Jumper { .. } => charges.jumper,
            Action::Unclip | Action::Zero | Action::RemoveJumper { .. } => {
                Minutes::from_hundredths(10)
            }
            Action::NewFuse => charges.plug,
            Action::Tug(_) | Action::Wiggle(_) | Action::Ask => charges.sense,
            Action::Substitute(id) | Action::PutBack(id) => substitute_way(vehicle, *id)
                .map_or(Minutes::ZERO, |way| {
                    vehicle.component(*id).repairs[way].labour
                }),
            Action::Unplug(_) | Action::Plug(_) => charges.plug,
            Action::Sense(Sense::Count) | Action::Hold(_) => charges.count,
            Action::Sense(_) => charges.sense,
            Action::MoveArm(_) | Action::Assist(_) => charges.arm,
            Action::Loosen(_) => charges.nut_off,
            // Nobody undid it: a spanner goes on to feel whether it turns, as quickly as a plug is seen to (judgement).
            Action::Tighten(part) if !self.undone[part.index()] => charges.plug,
            Action::Tighten(_) => charges.nut_on,
            Action::WetGlass => charges.wet_glass,
            // Rounded up, so that waiting is never free.
            Action::Wait { seconds } => Minutes::from_hundredths((seconds * 100).div_ceil(60)),
            Action::Repair { component, way } => vehicle.component(*component).repairs[*way].labour,
        }
    }
}

fn needs(action: &Action, vehicle: &Vehicle) -> Needs {
    let needs = Needs::default();
    let first_of = |wanted: fn(&Kind) -> bool| {
        vehicle
            .ids()
            .find(|&id| wanted(&vehicle.component(id).kind))
    };
    match action {
        // Controls, the dash ammeter and the switches of consumers are worked from the first place.
        Action::Control {
            by_helper: false, ..
        }
        | Action::Sense(Sense::Try(_) | Sense::Ammeter) => needs.place(PlaceId(0)),
        Action::Go(place) => needs.place(*place),
        Action::Remove(cover) | Action::Fit(cover) => {
            needs.place(vehicle.layout.covers[cover.index()].place)
        }
        Action::Measure { red, black, .. } | Action::Clip { red, black } => {
            needs.points(vehicle, *red, *black)
        }
        Action::Sense(Sense::LookLinkage) => {
            let linkage = first_of(|kind| matches!(kind, Kind::Linkage(_)));
            linkage.map_or(Needs::default(), |id| needs.component(vehicle, id))
        }
        Action::WetGlass => {
            let arm = first_of(|kind| matches!(kind, Kind::Arm { .. }));
            arm.map_or(Needs::default(), |id| needs.component(vehicle, id))
        }
        Action::Jumper { first, second } => needs
            .component(vehicle, first.component)
            .component(vehicle, second.component),
        Action::BatteryTest => {
            let battery = first_of(|kind| matches!(kind, Kind::Battery { .. }));
            battery.map_or(Needs::default(), |id| needs.component(vehicle, id))
        }
        Action::Tug(point) => needs.component(vehicle, point.component),
        // Words go to the customer, wherever the vehicle stands.
        Action::Repair { component, way } if vehicle.explains(*component, *way) => needs,
        Action::Clamp(id)
        | Action::Trace(id)
        | Action::Wiggle(id)
        | Action::Substitute(id)
        | Action::PutBack(id)
        | Action::Sense(Sense::LookAt(id) | Sense::Smell(id))
        | Action::Unplug(id)
        | Action::Plug(id)
        | Action::Sense(Sense::Feel(id))
        | Action::MoveArm(id)
        | Action::Assist(id)
        | Action::Hold(id)
        | Action::Loosen(id)
        | Action::Tighten(id)
        | Action::Repair { component: id, .. } => needs.component(vehicle, *id),
        Action::Control {
            by_helper: true, ..
        }
        | Action::Sense(Sense::LookBlades | Sense::Listen | Sense::Count)
        | Action::Unclip
        | Action::RemoveJumper { .. }
        | Action::Zero
        | Action::NewFuse
        | Action::Ask
        | Action::Wait { .. }
        | Action::Conclude(_)
        | Action::Note(_)
        | Action::Suspect(_)
        | Action::Hint(_)
        | Action::Coach
        | Action::HandOver(_)
        | Action::GiveUp => needs,
    }
}

/// Whether the wiper arms are off once somebody has come to where an action is done.
pub(crate) fn takes_arms_off(action: &Action, vehicle: &Vehicle) -> bool {
    !with_arms(action, vehicle).is_empty()
}

/// The covers of an action that the wiper arms come off with.
pub(crate) fn with_arms(action: &Action, vehicle: &Vehicle) -> Vec<CoverId> {
    let mut covers = needs(action, vehicle).covers;
    covers.retain(|cover| vehicle.layout.covers[cover.index()].takes_arms);
    covers
}
