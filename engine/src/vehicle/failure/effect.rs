//! What a failure mode does to its component's values.

use super::switching::Switching;
use crate::machines::Stuck;
use crate::quantity::{Angle, Current, Resistance, Torque};
use crate::vehicle::loose::Weakness;
use crate::vehicle::{Component, Emf, Gate, Kind, OPEN, ShaftArc, Surface};

/// What a mode does to its component's values; `path` is a position in the component's paths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Effect {
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
    Switching(Switching),
}

/// Friction of a seized pivot, newton metres: beyond any wiper motor's stall torque at the crank.
const SEIZED_NM: f64 = 60.0;

/// Friction of a seized bearing, newton metres at the shaft: beyond any wiper motor's stall torque.
const SEIZED_SHAFT_NM: f64 = 5.0;

/// By how many times the sound one the internal resistance of a battery grows for each share of its open-circuit
/// voltage that is lost: a flat one that has kept 0.84 of it has 0.039 of 0.015 ohm, a hardly flat one hardly
/// more than a sound one. (Judgement: spent acid conducts worse, and sulphate covers the plates.)
const FLAT_RESISTANCE: f64 = 10.0;

/// How plainly a fault that leaves a sign shows it: more often seen than not, but under tape or from the
/// wrong side it is overlooked (judgement).
const TELLING: f64 = 0.6;

impl Effect {
    /// Does it to a component, to a severity; nothing where the mode has none.
    pub(super) fn apply(self, component: &mut Component, severity: f64) {
        match self {
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
                let added = if matches!(self, Effect::SeizedBearing) {
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
                let added = if matches!(self, Effect::Seized) {
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
                let surface = if matches!(self, Effect::Iced) {
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
    }
}
