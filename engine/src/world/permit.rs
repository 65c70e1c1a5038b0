//! Whether an action can be done, where it takes the person, and what it costs.
//!
//! Everything here reads the [`Bench`] and the vehicle's layout alone, so it is the same whatever is
//! wrong with the vehicle.

use super::action::{Action, Cost, Sense, TEXT_MAX, WAIT_MAX_S};
use super::hazard::{self, Advice, Hazard};
use super::{Bench, WET_S, World};

use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, CoverId, Kind, Node, PlaceId, Point, Vehicle};

/// Jumper leads in the kit.
const JUMPERS_MAX: usize = 4;

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
    /// No jumper lead is on.
    #[error("no jumper lead is on")]
    NoJumper,
    /// As many jumper leads as the kit has.
    #[error("the kit has four jumper leads, and all are on")]
    NoMoreJumpers,
    /// A terminal that nothing can be pulled at.
    #[error("one pulls at a connector's terminal, or at a terminal that a wire ends on")]
    NothingToTug,
    /// Something that no wire ends on.
    #[error("one wiggles a wire, a strap, or what wires end on")]
    NothingToWiggle,
    /// No battery to test.
    #[error("this vehicle has no battery")]
    NoBattery,
    /// An engine without its key.
    #[error("the engine does not run with the key off: put it to its last position first")]
    KeyOff,
    /// A component that no known good part can stand in for.
    #[error(
        "there is no known good part to put there; only what is replaced whole by itself can be tried so"
    )]
    NoSubstitute,
    /// A component that has a known good part in it.
    #[error("a known good part is in its place already")]
    AlreadySubstituted,
    /// A component that has not.
    #[error("its own part is in place")]
    NotSubstituted,
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
        refuse(action, self, vehicle, helper)?;
        let needs = needs(action, vehicle);
        // Meter, clamps, lamps and leads lie in one case.
        let measures = matches!(
            action,
            Action::Measure { .. }
                | Action::Clamp(_)
                | Action::Trace(_)
                | Action::Clip { .. }
                | Action::BatteryTest
                | Action::Zero
                | Action::NewFuse
                | Action::Jumper { .. }
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
        let cost = Cost {
            access,
            work: work(action, vehicle),
        };
        Ok(Permitted {
            action: action.clone(),
            cost,
            place: (at != self.place).then_some(at),
            covers,
            takes_meter,
            hazards: hazard::hazards(action, cost.total(), self, vehicle),
            advice: hazard::advice(action, vehicle),
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
    pub(super) fn note(&mut self, action: &Action, vehicle: &Vehicle) {
        match action {
            Action::Go(place) => self.place = *place,
            Action::Remove(cover) => self.covers_off[cover.index()] = true,
            Action::Fit(cover) => self.covers_off[cover.index()] = false,
            Action::Control {
                component,
                position,
                ..
            } => self.set(*component, *position, vehicle),
            Action::Measure { red, black, .. } => self.probe([*red, *black], vehicle),
            Action::Zero => self.zeroed = true,
            Action::Jumper { first, second } => self.jumpers.push((*first, *second)),
            Action::RemoveJumper => drop(self.jumpers.pop()),
            Action::Substitute(part) => self.substituted[part.index()] = true,
            Action::PutBack(part) => self.substituted[part.index()] = false,
            Action::Clip { red, black } => {
                self.probe([*red, *black], vehicle);
                self.clip = Some((*red, *black));
            }
            Action::Unclip => self.clip = None,
            Action::Unplug(connector) => self.unplugged[connector.index()] = true,
            Action::Plug(connector) => self.unplugged[connector.index()] = false,
            Action::Loosen(part) => self.undone[part.index()] = true,
            Action::Tighten(part) => self.undone[part.index()] = false,
            Action::WetGlass => self.wet_until = self.now.plus_micros(WET_S * 1_000_000),
            Action::Repair { component, way } => {
                self.repairs.push((*component, *way));
                self.substituted[component.index()] = false;
                self.probed.retain(|(at, _)| at.component != *component);
            }
            Action::HandOver(_) => {
                self.substituted.fill(false);
                self.jumpers.clear();
                self.clip = None;
            }
            _ => {}
        }
    }

    /// Writes down that probes went into terminals of connectors that are apart.
    fn probe(&mut self, leads: [Point; 2], vehicle: &Vehicle) {
        for at in leads {
            if !self.is_bare(at, vehicle) {
                continue;
            }
            match self.probed.iter_mut().find(|(known, _)| *known == at) {
                Some((_, times)) => *times += 1,
                None => self.probed.push((at, 1)),
            }
        }
    }

    /// Whether a point is the open contact of a connector that is apart.
    pub(super) fn is_bare(&self, at: Point, vehicle: &Vehicle) -> bool {
        let connector = matches!(vehicle.component(at.component).kind, Kind::Connector { .. });
        connector && self.unplugged[at.component.index()]
    }

    /// How often a probe has gone into a contact.
    pub(super) fn times_probed(&self, at: Point) -> u32 {
        let known = self.probed.iter().find(|(known, _)| *known == at);
        known.map_or(0, |(_, times)| *times)
    }

    /// The bench after an action, as far as the person's own doing goes; for reckoning costs ahead.
    #[must_use]
    pub fn after(&self, permitted: &Permitted, vehicle: &Vehicle) -> Self {
        let mut bench = self.clone();
        bench.reach(permitted);
        bench.note(&permitted.action, vehicle);
        bench
    }

    /// Puts a control in a position; an engine stops when the key goes off.
    pub(super) fn set(&mut self, control: ComponentId, position: usize, vehicle: &Vehicle) {
        self.positions[control.index()] = position;
        if key_is_on(self, vehicle) {
            if let Some(wiper) = vehicle.control("wiper") {
                self.run_to_park = self.positions[wiper.index()] == 0;
            }
        } else {
            for id in vehicle.ids() {
                if matches!(vehicle.component(id).kind, Kind::Alternator(_)) {
                    self.positions[id.index()] = 0;
                }
            }
        }
    }
}

/// Whether the control named `key` stands at its last position; a vehicle without one is always on.
fn key_is_on(bench: &Bench, vehicle: &Vehicle) -> bool {
    vehicle.control("key").is_none_or(|key| {
        bench.positions[key.index()] + 1 == vehicle.component(key).positions().len()
    })
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
            unless(helper || !by_helper, Refusal::NoHelper)?;
            let starts = matches!(worked.kind, Kind::Alternator(_)) && *position > 0;
            unless(!starts || key_is_on(bench, vehicle), Refusal::KeyOff)
        }
        Action::Jumper { first, second } if bench.jumpers.len() < JUMPERS_MAX => {
            unless(exists(*first) && exists(*second), Refusal::NotOnThisVehicle)?;
            unless(
                vehicle.node(*first) != vehicle.node(*second),
                Refusal::SamePoint,
            )
        }
        Action::Jumper { .. } => Err(Refusal::NoMoreJumpers),
        Action::RemoveJumper => unless(!bench.jumpers.is_empty(), Refusal::NoJumper),
        Action::BatteryTest => unless(
            vehicle
                .components
                .iter()
                .any(|c| matches!(c.kind, Kind::Battery { .. })),
            Refusal::NoBattery,
        ),
        Action::Tug(point) => {
            unless(exists(*point), Refusal::NotOnThisVehicle)?;
            unless(ends_at(vehicle, *point), Refusal::NothingToTug)
        }
        Action::Wiggle(id) => unless(
            vehicle
                .components
                .get(id.index())
                .is_some_and(|c| c.is_conductor() || !shaken_with(vehicle, *id).is_empty()),
            Refusal::NothingToWiggle,
        ),
        Action::Substitute(id) => {
            unless(
                substitute_way(vehicle, *id).is_some(),
                Refusal::NoSubstitute,
            )?;
            unless(!bench.substituted[id.index()], Refusal::AlreadySubstituted)
        }
        Action::PutBack(id) => unless(
            bench.substituted.get(id.index()).copied().unwrap_or(false),
            Refusal::NotSubstituted,
        ),
        Action::Measure { red, black, .. } | Action::Clip { red, black } => {
            unless(exists(*red) && exists(*black), Refusal::NotOnThisVehicle)?;
            unless(
                vehicle.node(*red) != vehicle.node(*black),
                Refusal::SamePoint,
            )
        }
        Action::Clamp(wire) | Action::Trace(wire) => unless(
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
        Action::Sense(Sense::Feel(id) | Sense::LookAt(id) | Sense::Smell(id)) => {
            unless(kind(*id).is_some(), Refusal::NotOnThisVehicle)
        }
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
        | Action::Zero
        | Action::NewFuse
        | Action::Ask
        | Action::Conclude(_)
        | Action::GiveUp => Ok(()),
    }
}

/// Whether a wire or strap ends at a point, or it is a connector's.
fn ends_at(vehicle: &Vehicle, point: Point) -> bool {
    let node = vehicle.node(point);
    let connector = matches!(
        vehicle.component(point.component).kind,
        Kind::Connector { .. }
    );
    connector || conductors_at(vehicle, node).next().is_some()
}

/// Wires and straps with an end at a node.
pub(super) fn conductors_at(
    vehicle: &Vehicle,
    node: Node,
) -> impl Iterator<Item = ComponentId> + '_ {
    vehicle.ids().filter(move |&id| {
        let component = vehicle.component(id);
        component.is_conductor()
            && component
                .paths
                .iter()
                .any(|path| path.p == node || path.n == node)
    })
}

/// Wires and straps that end on a component, which move when it is wiggled.
pub(super) fn shaken_with(vehicle: &Vehicle, id: ComponentId) -> Vec<ComponentId> {
    let mut found: Vec<ComponentId> = vehicle
        .component(id)
        .terminals
        .iter()
        .flat_map(|terminal| conductors_at(vehicle, terminal.node))
        .filter(|&other| other != id)
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// The repair that a substitution is: what is replaced whole and by itself, and carries current.
pub(super) fn substitute_way(vehicle: &Vehicle, id: ComponentId) -> Option<usize> {
    let component = vehicle.components.get(id.index())?;
    let separate = matches!(
        component.kind,
        Kind::Breaker(_) | Kind::FusibleLink(_) | Kind::Switch { .. } | Kind::Ammeter
    );
    let replace = |repair: &crate::vehicle::Repair| repair.name.as_str() == "replace";
    separate
        .then(|| component.repairs.iter().position(replace))
        .flatten()
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
        | Action::Loosen(id)
        | Action::Tighten(id)
        | Action::Repair { component: id, .. } => needs.component(vehicle, *id),
        Action::Control {
            by_helper: true, ..
        }
        | Action::Sense(Sense::LookBlades | Sense::Listen | Sense::Count)
        | Action::Unclip
        | Action::RemoveJumper
        | Action::Zero
        | Action::NewFuse
        | Action::Ask
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
        Action::Measure { .. } | Action::Clamp(_) | Action::Trace(_) | Action::Clip { .. } => {
            charges.reading
        }
        Action::BatteryTest => charges.battery_test,
        Action::Jumper { .. } => charges.jumper,
        Action::Unclip | Action::Zero | Action::RemoveJumper => Minutes::from_hundredths(10),
        Action::NewFuse => charges.plug,
        Action::Tug(_) | Action::Wiggle(_) | Action::Ask => charges.sense,
        Action::Substitute(id) | Action::PutBack(id) => substitute_way(vehicle, *id)
            .map_or(Minutes::ZERO, |way| {
                vehicle.component(*id).repairs[way].labour
            }),
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
