//! Whether an action can be done, where it takes the person, and what it costs.
//!
//! Everything here reads the [`Bench`] and the vehicle's layout alone, so it is the same whatever is
//! wrong with the vehicle.

use super::action::{Action, Cost, Sense, TEXT_MAX, WAIT_MAX_S};
use super::hazard::{self, Hazard};
use super::{Bench, WET_S, World};
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, CoverId, Kind, Node, PlaceId, Point, Vehicle};

/// Why an action cannot be done. Nothing moved and no time passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// Going where one is.
    #[error("you are there already")]
    AlreadyThere,
    /// A cover that is off.
    #[error("it is off already")]
    AlreadyOff,
    /// A cover that is on.
    #[error("it is on already")]
    AlreadyOn,
    /// Something that is not worked by hand.
    #[error("that is not a control")]
    NotAControl,
    /// Nobody to help.
    #[error("there is no helper today")]
    NoHelper,
    /// Both leads on one point.
    #[error("both leads are on the same point")]
    SamePoint,
    /// A clamp on something that is no wire or strap.
    #[error("a clamp goes round a wire or a strap")]
    NotAWire,
    /// Something that has no plug.
    #[error("that is neither a connector nor a strap")]
    NotAConnector,
    /// A connector that is apart.
    #[error("it is unplugged already")]
    AlreadyUnplugged,
    /// A connector that is together.
    #[error("it is plugged already")]
    AlreadyPlugged,
    /// Something that is not undone by hand.
    #[error("only the crank nut and the connecting link come undone")]
    NotUndone,
    /// A nut that is off.
    #[error("it is undone already")]
    AlreadyUndone,
    /// A nut that is on.
    #[error("it is done up already")]
    AlreadyTight,
    /// Something that is not an arm.
    #[error("that is not a wiper arm")]
    NotAnArm,
    /// Something other than a consumer.
    #[error("that is not a consumer that can be tried")]
    NotAConsumer,
    /// No ammeter on the dash.
    #[error("this vehicle has no dash ammeter")]
    NoAmmeter,
    /// No lead is clipped on.
    #[error("no lead is clipped on")]
    NothingClipped,
    /// A component without such a repair.
    #[error("that cannot be repaired on its own")]
    NoRepair,
    /// A wait beyond the bound.
    #[error("wait at most 1800 seconds at a time")]
    WaitTooLong,
    /// A text beyond the bound.
    #[error("at most 500 characters")]
    TextTooLong,
    /// A place, cover, point or position that this vehicle does not have.
    #[error("this vehicle has no such thing")]
    NotOnThisVehicle,
    /// The attempt has ended.
    #[error("the attempt has ended")]
    Ended,
}

/// An action that can be done. Only [`World::permit`] makes one, so nothing else is carried out.
#[derive(Clone, Debug, PartialEq)]
pub struct Permitted {
    action: Action,
    cost: Cost,
    place: Option<PlaceId>,
    covers: Vec<CoverId>,
    takes_meter: bool,
    hazards: Vec<Hazard>,
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
        refuse(action, self, vehicle, helper)?;
        let needs = needs(action, vehicle);
        let measures = matches!(
            action,
            Action::Measure { .. } | Action::Clamp(_) | Action::Clip { .. }
        );
        let takes_meter = !self.meter_out && measures;
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
        Ok(Permitted {
            action: action.clone(),
            cost: Cost {
                access,
                work: work(action, vehicle),
            },
            place: (at != self.place).then_some(at),
            covers,
            takes_meter,
            hazards: hazard::hazards(action, self, vehicle),
        })
    }

    /// Puts the person where an action is done, with the covers off.
    pub(super) fn reach(&mut self, permitted: &Permitted) {
        if let Some(place) = permitted.place {
            self.place = place;
        }
        for cover in &permitted.covers {
            self.covers_off[cover.index()] = true;
        }
        self.meter_out |= permitted.takes_meter;
    }

    /// Writes down what an action changes.
    pub(super) fn note(&mut self, action: &Action) {
        match action {
            Action::Go(place) => self.place = *place,
            Action::Remove(cover) => self.covers_off[cover.index()] = true,
            Action::Fit(cover) => self.covers_off[cover.index()] = false,
            Action::Control {
                component,
                position,
                ..
            } => self.positions[component.index()] = *position,
            Action::Clip { red, black } => self.clip = Some((*red, *black)),
            Action::Unclip => self.clip = None,
            Action::Unplug(connector) => self.unplugged[connector.index()] = true,
            Action::Plug(connector) => self.unplugged[connector.index()] = false,
            Action::Loosen(part) => self.undone[part.index()] = true,
            Action::Tighten(part) => self.undone[part.index()] = false,
            Action::WetGlass => self.wet_until = self.now.plus_micros(WET_S * 1_000_000),
            Action::Repair { component, way } => self.repairs.push((*component, *way)),
            _ => {}
        }
    }

    /// The bench after an action, as far as the person's own doing goes; for reckoning costs ahead.
    #[must_use]
    pub fn after(&self, permitted: &Permitted) -> Self {
        let mut bench = self.clone();
        bench.reach(permitted);
        bench.note(&permitted.action);
        bench
    }
}

fn refuse(action: &Action, bench: &Bench, vehicle: &Vehicle, helper: bool) -> Result<(), Refusal> {
    let unless = |ok: bool, refusal: Refusal| if ok { Ok(()) } else { Err(refusal) };
    let kind = |id: ComponentId| {
        vehicle
            .components
            .get(id.index())
            .map(|component| &component.kind)
    };
    let exists = |point: Point| {
        let component = vehicle.components.get(point.component.index());
        component.is_some_and(|component| point.terminal < component.terminals.len())
    };
    match action {
        Action::Go(place) => {
            unless(
                place.index() < vehicle.layout.places.len(),
                Refusal::NotOnThisVehicle,
            )?;
            unless(*place != bench.place, Refusal::AlreadyThere)
        }
        Action::Remove(cover) | Action::Fit(cover) => {
            let off = *bench
                .covers_off
                .get(cover.index())
                .ok_or(Refusal::NotOnThisVehicle)?;
            let removing = matches!(action, Action::Remove(_));
            unless(
                off != removing,
                if removing {
                    Refusal::AlreadyOff
                } else {
                    Refusal::AlreadyOn
                },
            )
        }
        Action::Control {
            component,
            position,
            by_helper,
            ..
        } => {
            let worked = vehicle
                .components
                .get(component.index())
                .filter(|c| c.control.is_some());
            let worked = worked.ok_or(Refusal::NotAControl)?;
            unless(
                *position < worked.positions().len(),
                Refusal::NotOnThisVehicle,
            )?;
            unless(helper || !by_helper, Refusal::NoHelper)
        }
        Action::Measure { red, black, .. } | Action::Clip { red, black } => {
            unless(exists(*red) && exists(*black), Refusal::NotOnThisVehicle)?;
            unless(
                vehicle.node(*red) != vehicle.node(*black),
                Refusal::SamePoint,
            )
        }
        Action::Clamp(wire) => unless(
            vehicle
                .components
                .get(wire.index())
                .is_some_and(|c| c.is_conductor()),
            Refusal::NotAWire,
        ),
        Action::Unclip => unless(bench.clip.is_some(), Refusal::NothingClipped),
        Action::Unplug(id) | Action::Plug(id) => {
            unless(
                matches!(kind(*id), Some(Kind::Connector { .. } | Kind::Strap(_))),
                Refusal::NotAConnector,
            )?;
            let unplugging = matches!(action, Action::Unplug(_));
            let refusal = if unplugging {
                Refusal::AlreadyUnplugged
            } else {
                Refusal::AlreadyPlugged
            };
            unless(bench.unplugged[id.index()] != unplugging, refusal)
        }
        Action::Sense(Sense::Feel(id)) => unless(kind(*id).is_some(), Refusal::NotOnThisVehicle),
        Action::Sense(Sense::Try(id)) => unless(
            matches!(kind(*id), Some(Kind::Consumer(_))),
            Refusal::NotAConsumer,
        ),
        Action::Sense(Sense::Ammeter) => unless(
            vehicle
                .components
                .iter()
                .any(|c| matches!(c.kind, Kind::Ammeter)),
            Refusal::NoAmmeter,
        ),
        Action::MoveArm(id) | Action::Assist(id) => unless(
            matches!(kind(*id), Some(Kind::Arm { .. })),
            Refusal::NotAnArm,
        ),
        Action::Loosen(id) | Action::Tighten(id) => {
            unless(
                matches!(
                    kind(*id),
                    Some(Kind::CrankNut { .. } | Kind::ConnectingLink)
                ),
                Refusal::NotUndone,
            )?;
            let loosening = matches!(action, Action::Loosen(_));
            let refusal = if loosening {
                Refusal::AlreadyUndone
            } else {
                Refusal::AlreadyTight
            };
            unless(bench.undone[id.index()] != loosening, refusal)
        }
        Action::Wait { seconds } => unless(*seconds <= WAIT_MAX_S, Refusal::WaitTooLong),
        Action::Repair { component, way } => {
            let repairs = vehicle
                .components
                .get(component.index())
                .map_or(0, |c| c.repairs.len());
            unless(*way < repairs, Refusal::NoRepair)
        }
        Action::Note(text) => unless(text.chars().count() <= TEXT_MAX, Refusal::TextTooLong),
        Action::HandOver(write_up) => unless(
            write_up.text.chars().count() <= TEXT_MAX,
            Refusal::TextTooLong,
        ),
        Action::Sense(Sense::LookBlades | Sense::LookLinkage | Sense::Listen | Sense::Count)
        | Action::WetGlass
        | Action::Conclude(_)
        | Action::GiveUp => Ok(()),
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
        Action::Clamp(id)
        | Action::Unplug(id)
        | Action::Plug(id)
        | Action::Sense(Sense::Feel(id))
        | Action::MoveArm(id)
        | Action::Assist(id)
        | Action::Loosen(id)
        | Action::Tighten(id)
        | Action::Repair { component: id, .. } => needs.component(vehicle, *id),
        Action::Control {
            by_helper: true, ..
        }
        | Action::Sense(Sense::LookBlades | Sense::Listen | Sense::Count)
        | Action::Unclip
        | Action::Wait { .. }
        | Action::Conclude(_)
        | Action::Note(_)
        | Action::HandOver(_)
        | Action::GiveUp => needs,
    }
}

/// Minutes of the work itself.
fn work(action: &Action, vehicle: &Vehicle) -> Minutes {
    let charges = &vehicle.layout.charges;
    match action {
        // The way itself is charged as access.
        Action::Go(_)
        | Action::Conclude(_)
        | Action::Note(_)
        | Action::HandOver(_)
        | Action::GiveUp => Minutes::ZERO,
        Action::Remove(cover) => vehicle.layout.covers[cover.index()].off,
        Action::Fit(cover) => vehicle.layout.covers[cover.index()].on,
        Action::Control {
            by_helper: false, ..
        } => charges.control,
        Action::Control {
            by_helper: true, ..
        } => charges.helper,
        Action::Measure { .. } | Action::Clamp(_) | Action::Clip { .. } => charges.reading,
        Action::Unclip => Minutes::from_hundredths(10),
        Action::Unplug(_) | Action::Plug(_) => charges.plug,
        Action::Sense(Sense::Count) => charges.count,
        Action::Sense(_) => charges.sense,
        Action::MoveArm(_) | Action::Assist(_) => charges.arm,
        Action::Loosen(_) => charges.nut_off,
        Action::Tighten(_) => charges.nut_on,
        Action::WetGlass => charges.wet_glass,
        // Rounded up, so that waiting is never free.
        Action::Wait { seconds } => Minutes::from_hundredths((seconds * 100).div_ceil(60)),
        Action::Repair { component, way } => vehicle.component(*component).repairs[*way].labour,
    }
}
