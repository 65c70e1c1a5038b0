//! What can go wrong with each kind of component, and what it does to a vehicle's values.
//!
//! A vehicle file composes components; the modes below come with their kinds, so its faults exist
//! without being written down. A [`Fault`] is a component, one of its modes and a severity;
//! [`Vehicle::inject`] turns it into changed values, which is all that the rest of the engine sees.

mod switching;

use super::loose::Weakness;
use super::prior::PriorGroup;
use super::severity::{
    BEARING_TORQUE, BLADE_TIMES, BRUSH_OHMS, DRY_FRICTION, FIELD_SHARE, FLAT_SHARE, ICE_FRICTION,
    LIFT_SHARE, MAGNET_SHARE, OHMS, SHORT_OHMS, SHORTED_SHARE, SLIP_TORQUE, STIFF_TORQUE,
    SeverityLaw,
};
use super::{
    Component, ComponentId, EXPLAIN, Emf, Field, Gate, Kind, OPEN, Region, SERIES_FIELD,
    SHUNT_FIELD, SLIDER, ShaftArc, Surface, TRACK, TRACK_AT, Vehicle,
};
use crate::ident::Name;
use crate::machines::Stuck;
use crate::quantity::{Angle, Current, Resistance, Torque};

/// Which failure mode of a component.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ModeId(pub(crate) usize);

/// What a mode does to its component's values; `path` is a position in the component's paths.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Effect {
    /// The path is open.
    Open { path: usize },
    /// The path has the severity in ohms added to it.
    Added { path: usize },
    /// The path's far end leaks to the body through the severity in ohms.
    ToBody { path: usize },
    /// The path, a brush, lifts over a share of each shaft turn.
    Lifts { path: usize },
    /// The path conducts in every position.
    Closed { path: usize },
    /// The path is open and `stuck` conducts always.
    Stuck { path: usize, stuck: usize },
    /// The breaker's ultimate current is the severity.
    WeakBreaker,
    /// The magnets, and with them all EMF constants, have the severity as a share of their strength.
    WeakMagnets,
    /// A coil of the armature is broken.
    BrokenCoil,
    /// The severity is the share of a coil's turns that are shorted.
    ShortedCoil,
    /// The gear's teeth are gone.
    Stripped,
    /// A share of the turns of a field's winding is shorted.
    ShortedField { path: usize },
    /// The shaft's Coulomb friction is the severity more.
    DryBearing,
    /// The shaft's friction is more than its winding overcomes.
    SeizedBearing,
    /// The far ends of two paths have changed places.
    Crossed { one: usize, other: usize },
    /// The crank slips at the severity.
    Slips,
    /// The eccentric no longer turns in the crank.
    Sticks(Stuck),
    /// The pivot's friction is the severity more.
    Stiff,
    /// The pivot's friction is more than any motor overcomes.
    Seized,
    /// The path gives way now and then, to the severity.
    Weak { path: usize, how: Weakness },
    /// The battery's voltage is the severity as a share of its own, its internal resistance raised.
    Flat,
    /// The windscreen is iced, with the severity as its friction.
    Iced,
    /// The windscreen is dry in any weather, with the severity as its friction.
    Dry,
    /// The blade presses the severity times as hard.
    Presses,
    /// What something that switches, or washes, does.
    Switching(switching::Switching),
}

/// A way a component fails.
#[derive(Clone, Debug, PartialEq)]
pub struct Mode {
    /// Its name, unique in the component: `53-open`, `low-brush-worn`.
    pub name: Name,
    /// How bad it can be; `None` for what is or is not.
    pub severity: Option<SeverityLaw>,
    /// The repairs of the component that cure it, the proper one first.
    pub cures: Vec<Name>,
    /// Where its prior weight comes from.
    pub group: PriorGroup,
    /// Its share within the group, relative to the other modes there.
    pub share: f64,
    effect: Effect,
}

impl Mode {
    /// Whether it is a condition that brings a complaint and no fault: nothing is put right, it is
    /// explained to the customer.
    #[must_use]
    pub fn is_condition(&self) -> bool {
        self.group == PriorGroup::NoFault
    }

    /// Whether only some weather brings it.
    #[must_use]
    pub const fn needs_weather(&self) -> bool {
        matches!(self.effect, Effect::Iced | Effect::Dry)
    }
}

/// A component that has failed in one of its modes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fault {
    /// The component.
    pub component: ComponentId,
    /// The mode.
    pub mode: ModeId,
    /// How bad, in the unit of the mode's law; `None` for what is or is not.
    pub severity: Option<f64>,
}

/// Friction of a seized pivot, newton metres: beyond any wiper motor's stall torque at the crank.
const SEIZED_NM: f64 = 60.0;

/// Friction of a seized bearing, newton metres at the shaft: beyond any wiper motor's stall torque.
const SEIZED_SHAFT_NM: f64 = 5.0;

/// By how many times the sound one the internal resistance of a battery grows for each share of its open-circuit
/// voltage that is lost: a flat one that has kept 0.84 of it has 0.039 of 0.015 ohm, a hardly flat one hardly
/// more than a sound one. (Judgement: spent acid conducts worse, and sulphate covers the plates.)
const FLAT_RESISTANCE: f64 = 10.0;

/// Shares of open, high-resistance and shorted cases within an electrical group (judgement).
const OPEN_SHARE: f64 = 35.0;
const HIGH_SHARE: f64 = 45.0;
/// And of contacts that stay closed (judgement).
const CLOSED_SHARE: f64 = 15.0;
const SHORT_SHARE: f64 = 5.0;
const SHORT_SHARE_WIRE: f64 = 15.0;
/// And of what shows now and then: of a pin, 9 when shaken, 3 each when warm and when wet (judgement).
const INTERMITTENT_SHARE: f64 = 15.0;
/// Section up to which a wire breaks inside its insulation, square millimetres (judgement: thick ones are
/// chafed through sooner).
const BREAKS_INSIDE_MM2: f64 = 1.5;
/// Shares of what is no fault (judgement): a flat battery, ice, dry glass, wrong blades.
const FLAT_PRIOR: f64 = 30.0;
const ICE_PRIOR: f64 = 30.0;
const DRY_PRIOR: f64 = 20.0;
const BLADE_PRIOR: f64 = 10.0;

/// How plainly a fault that leaves a sign shows it: more often seen than not, but under tape or from the
/// wrong side it is overlooked (judgement).
const TELLING: f64 = 0.6;

impl Component {
    /// Where a mode of this component is sought: the component's region, except for what is no fault.
    #[must_use]
    pub fn region_of(&self, mode: &Mode) -> Region {
        if mode.is_condition() {
            Region::NoFault
        } else {
            self.region
        }
    }

    /// The ways this component can fail, in a fixed order.
    #[must_use]
    pub fn modes(&self) -> Vec<Mode> {
        let mut modes = Modes {
            component: self,
            list: Vec::new(),
        };
        match &self.kind {
            Kind::Body
            | Kind::Linkage(_)
            | Kind::ConnectingLink
            | Kind::Consumer(_)
            | Kind::Alternator(_) => {}
            Kind::Battery(_) => {
                modes.condition("flat", (FLAT_SHARE, FLAT_PRIOR), &["charge"], Effect::Flat);
            }
            Kind::Windscreen(_) => {
                modes.condition("iced", (ICE_FRICTION, ICE_PRIOR), &["clear"], Effect::Iced);
                modes.condition("dry", (DRY_FRICTION, DRY_PRIOR), &[], Effect::Dry);
            }
            Kind::Arm { .. } => {
                let law = (BLADE_TIMES, BLADE_PRIOR);
                modes.condition("wrong-blade", law, &["replace"], Effect::Presses);
            }
            Kind::Wire {
                supply_side, data, ..
            } => {
                modes.joint("", PriorGroup::Wires, "mend", 0);
                if data.section.square_millimetres() <= BREAKS_INSIDE_MM2 {
                    let group = (PriorGroup::Wires, INTERMITTENT_SHARE);
                    modes.weak("", group, 0, Weakness::BrokenInside);
                }
                if *supply_side {
                    let effect = Effect::ToBody { path: 0 };
                    modes.add(
                        "short-to-ground",
                        Some(SHORT_OHMS),
                        &["mend"],
                        (PriorGroup::Wires, SHORT_SHARE_WIRE),
                        effect,
                    );
                }
            }
            Kind::Strap(_) | Kind::GroundPoint => {
                modes.joint("", PriorGroup::Grounds, "mend", 0);
                let group = (PriorGroup::Grounds, INTERMITTENT_SHARE);
                modes.weak("", group, 0, Weakness::Screw);
            }
            Kind::Connector { mates } => {
                for path in 0..self.paths.len() {
                    modes.joint(
                        self.paths[path].name.as_str(),
                        PriorGroup::Pins,
                        "mend",
                        path,
                    );
                    let name = format!("{}-short-to-ground", self.paths[path].name);
                    modes.add(
                        &name,
                        Some(SHORT_OHMS),
                        &["mend"],
                        (PriorGroup::Pins, SHORT_SHARE),
                        Effect::ToBody { path },
                    );
                    modes.pin_weak(path, mates.is_some());
                }
                modes.crossed();
            }
            Kind::Resistor => {
                for (path, step) in self.paths.iter().enumerate() {
                    modes.joint(step.name.as_str(), PriorGroup::Switches, "replace", path);
                }
            }
            Kind::FusibleLink(_) | Kind::Ammeter => {
                modes.joint("", PriorGroup::Links, "replace", 0)
            }
            Kind::Switch { .. } => {
                for (path, contact) in self.paths.iter().enumerate() {
                    if modes.rheostat(path) {
                        continue;
                    }
                    modes.joint(contact.name.as_str(), PriorGroup::Switches, "replace", path);
                    if matches!(contact.gate, Gate::Position(_)) {
                        let name = format!("{}-stuck-closed", contact.name);
                        let group = (PriorGroup::Switches, CLOSED_SHARE);
                        modes.add(&name, None, &["replace"], group, Effect::Closed { path });
                    }
                }
            }
            Kind::Breaker(_) => modes.breaker(),
            Kind::Fuse(_) => modes.fuse(),
            Kind::Relay(_) => modes.relay(),
            Kind::IntervalUnit(_) => modes.interval_unit(),
            Kind::Diode => modes.diode(),
            Kind::Splice => modes.splice(),
            Kind::Pump(_) => modes.pump(),
            Kind::Hose { .. } => modes.hose(),
            Kind::Motor(data) => {
                for (path, brush) in self.paths.iter().enumerate() {
                    if brush.name.as_str().ends_with("-brush") {
                        modes.brush(brush.name.as_str(), path);
                    }
                }
                match data.field {
                    Field::Magnets => modes.add(
                        "magnets-weak",
                        Some(MAGNET_SHARE),
                        &["replace"],
                        (PriorGroup::Armature, 1.0),
                        Effect::WeakMagnets,
                    ),
                    Field::Wound(_) => modes.fields(),
                }
                let group = (PriorGroup::Armature, 1.0);
                modes.add("coil-open", None, &["replace"], group, Effect::BrokenCoil);
                modes.add(
                    "coil-shorted",
                    Some(SHORTED_SHARE),
                    &["replace"],
                    group,
                    Effect::ShortedCoil,
                );
                let law = Some(BEARING_TORQUE);
                modes.add("bearing-dry", law, &["replace"], group, Effect::DryBearing);
                let seized = Effect::SeizedBearing;
                modes.add("bearing-seized", None, &["replace"], group, seized);
            }
            Kind::ParkContact(_) => modes.park_contact(),
            Kind::Gear(_) => {
                modes.add(
                    "stripped",
                    None,
                    &["replace"],
                    (PriorGroup::Gear, 1.0),
                    Effect::Stripped,
                );
            }
            Kind::Eccentric(_) => {
                let group = (PriorGroup::ParkContact, 1.0);
                for (name, at) in [("stuck-in", Stuck::In), ("stuck-out", Stuck::Out)] {
                    modes.add(name, None, &["free", "replace"], group, Effect::Sticks(at));
                }
            }
            Kind::CrankNut { .. } => {
                modes.add(
                    "loose",
                    Some(SLIP_TORQUE),
                    &["tighten"],
                    (PriorGroup::CrankNut, 1.0),
                    Effect::Slips,
                );
            }
            Kind::Pivot { .. } => {
                let group = PriorGroup::Pivots;
                modes.add(
                    "stiff",
                    Some(STIFF_TORQUE),
                    &["free", "replace"],
                    (group, 4.0),
                    Effect::Stiff,
                );
                modes.add("seized", None, &["replace"], (group, 1.0), Effect::Seized);
            }
        }
        modes.list
    }
}

/// A list of modes being written down for one component.
struct Modes<'a> {
    component: &'a Component,
    list: Vec<Mode>,
}

impl Modes<'_> {
    fn add(
        &mut self,
        name: &str,
        severity: Option<SeverityLaw>,
        cures: &[&str],
        (group, share): (PriorGroup, f64),
        effect: Effect,
    ) {
        // Every name here is made of names, so none can fail; one that did would be a mode short.
        debug_assert!(
            Name::new(name).is_ok(),
            "{}: `{name}` is not a name",
            self.component.id
        );
        let Ok(name) = Name::new(name) else { return };
        let cures = cures
            .iter()
            .filter_map(|cure| Name::new(cure).ok())
            .collect();
        self.list.push(Mode {
            name,
            severity,
            cures,
            group,
            share,
            effect,
        });
    }

    /// What is no fault: the proper thing is to explain it, and `cures` put it right too.
    fn condition(
        &mut self,
        name: &str,
        (law, share): (SeverityLaw, f64),
        cures: &[&str],
        effect: Effect,
    ) {
        let group = (PriorGroup::NoFault, share);
        let cures = [&[EXPLAIN], cures].concat();
        self.add(name, Some(law), &cures, group, effect);
    }

    /// Open and high resistance of a joint, conductor or contact.
    fn joint(&mut self, prefix: &str, group: PriorGroup, cure: &str, path: usize) {
        let named = |mode: &str| {
            if prefix.is_empty() {
                mode.to_owned()
            } else {
                format!("{prefix}-{mode}")
            }
        };
        self.add(
            &named("open"),
            None,
            &[cure],
            (group, OPEN_SHARE),
            Effect::Open { path },
        );
        self.high_resistance(&named("high-resistance"), group, cure, path);
    }

    fn high_resistance(&mut self, name: &str, group: PriorGroup, cure: &str, path: usize) {
        let effect = Effect::Added { path };
        self.add(name, Some(OHMS), &[cure], (group, HIGH_SHARE), effect);
    }

    /// Giving way now and then.
    fn weak(&mut self, prefix: &str, group: (PriorGroup, f64), path: usize, how: Weakness) {
        let (mode, law) = how.told();
        let name = if prefix.is_empty() {
            mode.to_owned()
        } else {
            format!("{prefix}-{mode}")
        };
        let effect = Effect::Weak { path, how };
        self.add(&name, Some(law), &["mend"], group, effect);
    }

    /// A loose pin; one on a component that warms and gets wet can show that too.
    fn pin_weak(&mut self, path: usize, on_component: bool) {
        let pin = self.component.paths[path].name.clone();
        let group = |share: f64| (PriorGroup::Pins, share * INTERMITTENT_SHARE);
        self.weak(pin.as_str(), group(0.6), path, Weakness::Terminal);
        if on_component {
            self.weak(pin.as_str(), group(0.2), path, Weakness::OpensWarm);
            self.weak(pin.as_str(), group(0.2), path, Weakness::LeaksWet);
        }
    }

    /// Two pins that were put into each other's places.
    fn crossed(&mut self) {
        let pins = &self.component.paths;
        for one in 0..pins.len() {
            for other in one + 1..pins.len() {
                let name = format!("{}-{}-crossed", pins[one].name, pins[other].name);
                let group = (PriorGroup::EarlierRepair, 1.0);
                self.add(
                    &name,
                    None,
                    &["mend"],
                    group,
                    Effect::Crossed { one, other },
                );
            }
        }
    }

    /// The windings of a field.
    fn fields(&mut self) {
        let group = (PriorGroup::Armature, 1.0);
        for (path, winding) in self.component.paths.iter().enumerate() {
            let name = winding.name.as_str();
            if [SERIES_FIELD, SHUNT_FIELD].contains(&name) {
                let (open, shorted) = (format!("{name}-open"), format!("{name}-shorted"));
                self.add(&open, None, &["replace"], group, Effect::Open { path });
                let law = Some(FIELD_SHARE);
                self.add(
                    &shorted,
                    law,
                    &["replace"],
                    group,
                    Effect::ShortedField { path },
                );
            }
        }
    }

    /// The parts of a rheostat; whether the path is one.
    fn rheostat(&mut self, path: usize) -> bool {
        let name = self.component.paths[path].name.as_str();
        let group = |share: f64| (PriorGroup::Switches, share);
        let cure = &["replace"];
        if name == SLIDER {
            let worn = Effect::Added { path };
            self.add(
                "slider-worn",
                Some(BRUSH_OHMS),
                cure,
                group(HIGH_SHARE),
                worn,
            );
        } else if name.starts_with(TRACK) {
            let open = format!("{name}-open");
            self.add(&open, None, cure, group(OPEN_SHARE), Effect::Open { path });
        } else if name.starts_with(TRACK_AT) {
            let dead = format!("{name}-dead");
            self.add(
                &dead,
                None,
                cure,
                group(CLOSED_SHARE),
                Effect::Open { path },
            );
        } else {
            return false;
        }
        true
    }

    fn brush(&mut self, name: &str, path: usize) {
        let cures = &["brushes", "replace"];
        let group = PriorGroup::Brushes;
        self.add(
            &format!("{name}-worn"),
            Some(BRUSH_OHMS),
            cures,
            (group, HIGH_SHARE),
            Effect::Added { path },
        );
        self.add(
            &format!("{name}-intermittent"),
            Some(LIFT_SHARE),
            cures,
            (group, 15.0),
            Effect::Lifts { path },
        );
        self.add(
            &format!("{name}-open"),
            None,
            cures,
            (group, OPEN_SHARE),
            Effect::Open { path },
        );
    }
}

impl Vehicle {
    /// Every fault of this vehicle, with no severity chosen, in the order of components and modes.
    #[must_use]
    pub fn faults(&self) -> Vec<(ComponentId, ModeId, Mode)> {
        self.ids()
            .flat_map(|id| {
                let modes = self.component(id).modes().into_iter().enumerate();
                modes.map(move |(mode, data)| (id, ModeId(mode), data))
            })
            .collect()
    }

    /// Prior weight of each entry of [`Vehicle::faults`]: its group's complaints in a hundred at this
    /// age, shared out within the group.
    #[must_use]
    pub fn prior_weights(&self) -> Vec<f64> {
        let faults = self.faults();
        let total = |group: PriorGroup| -> f64 {
            faults
                .iter()
                .filter(|(_, _, mode)| mode.group == group)
                .map(|(_, _, mode)| mode.share)
                .sum()
        };
        let totals: Vec<f64> = PriorGroup::ALL.iter().map(|&group| total(group)).collect();
        let total_of = |group: PriorGroup| {
            PriorGroup::ALL
                .iter()
                .position(|&other| other == group)
                .map_or(1.0, |place| totals[place])
        };
        faults
            .iter()
            .map(|(_, _, mode)| {
                mode.group.weight(self.age_years) * mode.share / total_of(mode.group)
            })
            .collect()
    }

    /// The mode of a fault.
    ///
    /// # Panics
    /// When the fault belongs to another vehicle.
    #[must_use]
    pub fn mode(&self, fault: &Fault) -> Mode {
        self.component(fault.component)
            .modes()
            .swap_remove(fault.mode.0)
    }

    /// This vehicle with a fault in it.
    #[must_use]
    pub fn inject(&self, fault: &Fault) -> Self {
        let mut vehicle = self.clone();
        let severity = fault.severity.unwrap_or(0.0);
        let component = &mut vehicle.components[fault.component.0];
        match self.mode(fault).effect {
            Effect::Open { path } => {
                component.paths[path].resistance = OPEN;
                if matches!(component.kind, Kind::Strap(_)) {
                    component.signs.chafe = TELLING;
                }
            }
            Effect::Added { path } => {
                let path = &mut component.paths[path];
                path.resistance = path.resistance + Resistance::from_ohms(severity);
                if component.crusts() {
                    component.signs.crust = component.signs.crust.max(TELLING);
                }
            }
            Effect::ToBody { path } => {
                component.paths[path].to_body = Some(Resistance::from_ohms(severity));
                if matches!(component.kind, Kind::Wire { .. }) {
                    component.signs.chafe = TELLING;
                }
            }
            Effect::Lifts { path } => {
                let to = Angle::from_radians(severity * std::f64::consts::TAU);
                let from = Angle::ZERO;
                component.paths[path].gate = Gate::ShaftOutside(ShaftArc { from, to });
            }
            Effect::Weak { path, how } => component.paths[path].loose = Some(how.at(severity)),
            Effect::Closed { path } => component.paths[path].gate = Gate::Always,
            Effect::Stuck { path, stuck } => {
                component.paths[path].resistance = OPEN;
                component.paths[stuck].gate = Gate::Always;
            }
            Effect::WeakBreaker => {
                if let Kind::Breaker(data) = &mut component.kind {
                    data.ultimate = Current::from_amperes(severity);
                }
            }
            Effect::WeakMagnets => {
                for path in &mut component.paths {
                    if let Emf::PerSpeed(constant) = &mut path.emf {
                        *constant = *constant * severity;
                    }
                }
            }
            Effect::BrokenCoil => component.break_coil(),
            Effect::ShortedCoil => component.short_coil(severity),
            Effect::ShortedField { path } => component.short_field(path, severity),
            Effect::DryBearing | Effect::SeizedBearing => {
                let added = if matches!(self.mode(fault).effect, Effect::SeizedBearing) {
                    SEIZED_SHAFT_NM
                } else {
                    severity
                };
                if let Kind::Motor(data) = &mut component.kind {
                    data.coulomb = data.coulomb + Torque::from_newton_metres(added);
                }
            }
            Effect::Crossed { one, other } => {
                let (first, second) = (component.paths[one].n, component.paths[other].n);
                component.paths[one].n = second;
                component.paths[other].n = first;
            }
            Effect::Stripped => {
                if let Kind::Gear(data) = &mut component.kind {
                    data.stripped = true;
                }
            }
            Effect::Slips => {
                if let Kind::CrankNut { slip } = &mut component.kind {
                    *slip = Some(Torque::from_newton_metres(severity));
                }
            }
            Effect::Sticks(at) => {
                if let Kind::Eccentric(data) = &mut component.kind {
                    data.stuck = Some(at);
                }
            }
            Effect::Stiff | Effect::Seized => {
                let added = if matches!(self.mode(fault).effect, Effect::Seized) {
                    SEIZED_NM
                } else {
                    severity
                };
                if let Kind::Pivot { friction } = &mut component.kind {
                    *friction = *friction + Torque::from_newton_metres(added);
                }
            }
            Effect::Flat => {
                for path in &mut component.paths {
                    if let Emf::Constant(volts) = &mut path.emf {
                        *volts = *volts * severity;
                    }
                    path.resistance = path.resistance * (1.0 + FLAT_RESISTANCE * (1.0 - severity));
                }
            }
            Effect::Iced | Effect::Dry => {
                let surface = if matches!(self.mode(fault).effect, Effect::Iced) {
                    Surface::Iced { friction: severity }
                } else {
                    Surface::Dry { friction: severity }
                };
                component.kind = Kind::Windscreen(surface);
            }
            Effect::Switching(how) => how.apply(component, severity),
            Effect::Presses => {
                if let Kind::Arm { data, .. } = &mut component.kind {
                    data.force = data.force * severity;
                }
            }
        }
        vehicle
    }
}
