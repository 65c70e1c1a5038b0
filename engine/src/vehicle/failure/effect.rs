//! What a failure mode does to its component's values.

use super::switching::Switching;
use crate::ident::Name;
use crate::machines::Stuck;
use crate::quantity::{Angle, Current, Resistance, Torque};
use crate::vehicle::loose::Weakness;
use crate::vehicle::{Component, Emf, Gate, Kind, OPEN, Path, ShaftArc, Surface};

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
    /// Two paths' near ends touch each other.
    Bridged { one: usize, other: usize },
    /// The path is open, and what is left of it comes out when it is pulled.
    PushedOut { path: usize },
    /// The path leaks to the body through the severity while it is wet: its insulation is rubbed through.
    Chafed { path: usize },
    /// As `Added`, with nothing to be seen of it.
    Hidden { path: usize },
    /// The armature has the severity times as many turns.
    WrongMotor,
    /// The cam has turned on its wheel by the severity.
    CamShifted,
    /// The blade presses with the severity as a share of its force.
    Tired,
    /// Something of a moving part is worn, or was fitted wrong.
    Worn(Worn),
    /// What something that switches, or washes, does.
    Switching(Switching),
}

/// What wear and earlier work do to a moving part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Worn {
    /// The link is off its pin.
    Off,
    /// It stands off its place by the severity.
    Astray,
    /// Its serrations slip at the severity.
    Slips,
    /// It has the severity as its play.
    Play,
    /// The rubber of its blade is torn loose over the severity, as a share of its length.
    Torn,
}

/// Resistance of two wires that touch where their insulation has gone, ohms (judgement).
const TOUCH: Resistance = Resistance::from_ohms(0.05);

/// How often a pin that was pushed out would part if it were in; it is out (judgement).
const PUSHED_SHARE: f64 = 0.3;

/// Friction of a seized pivot, newton metres: beyond any wiper motor's stall torque at the crank.
const SEIZED_NM: f64 = 60.0;

/// Friction of a seized bearing, newton metres at the shaft: beyond any wiper motor's stall torque.
const SEIZED_SHAFT_NM: f64 = 5.0;

/// By how many times the sound one the internal resistance of a battery grows for each share of its open-circuit
/// voltage that is lost: a flat one that has kept 0.84 of it has 0.039 of 0.015 ohm, a hardly flat one hardly
/// more than a sound one. (Judgement: spent acid conducts worse, and sulphate covers the plates.)
const FLAT_RESISTANCE: f64 = 10.0;

/// How plainly a wire shows it that is bare over so much of its length that water lies on it (judgement).
const BARE: f64 = 0.9;

/// How plainly a fault that leaves a sign shows it: more often seen than not, but under tape or from the
/// wrong side it is overlooked (judgement).
const TELLING: f64 = 0.6;

impl Effect {
    /// Does it to a component, to a severity; nothing where the mode has none.
    pub(super) fn apply(self, component: &mut Component, severity: f64) {
        match self {
            Self::Open { path } => {
                component.paths[path].resistance = OPEN;
                if matches!(component.kind, Kind::Strap(_)) {
                    component.signs.chafe = TELLING;
                }
            }
            Self::Added { path } | Self::Hidden { path } => {
                let path = &mut component.paths[path];
                path.resistance = path.resistance + Resistance::from_ohms(severity);
                if component.crusts() && matches!(self, Self::Added { .. }) {
                    component.signs.crust = component.signs.crust.max(TELLING);
                }
            }
            Self::ToBody { path } => {
                component.paths[path].to_body = Some(Resistance::from_ohms(severity));
                if matches!(component.kind, Kind::Wire { .. }) {
                    component.signs.chafe = TELLING;
                }
            }
            Self::Lifts { path } => {
                let to = Angle::from_radians(severity * std::f64::consts::TAU);
                let from = Angle::ZERO;
                component.paths[path].gate = Gate::ShaftOutside(ShaftArc { from, to });
            }
            Self::Weak { path, how } => component.paths[path].loose = Some(how.at(severity)),
            Self::Closed { path } => component.paths[path].gate = Gate::Always,
            Self::Stuck { path, stuck } => {
                component.paths[path].resistance = OPEN;
                component.paths[stuck].gate = Gate::Always;
            }
            Self::WeakBreaker => {
                if let Kind::Breaker(data) = &mut component.kind {
                    data.ultimate = Current::from_amperes(severity);
                }
            }
            Self::WeakMagnets => {
                for path in &mut component.paths {
                    if let Emf::PerSpeed(constant) = &mut path.emf {
                        *constant = *constant * severity;
                    }
                }
            }
            Self::BrokenCoil => component.break_coil(),
            Self::ShortedCoil => component.short_coil(severity),
            Self::ShortedField { path } => component.short_field(path, severity),
            Self::DryBearing | Self::SeizedBearing => {
                let added = if matches!(self, Self::SeizedBearing) {
                    SEIZED_SHAFT_NM
                } else {
                    severity
                };
                if let Kind::Motor(data) = &mut component.kind {
                    data.coulomb = data.coulomb + Torque::from_newton_metres(added);
                }
            }
            Self::Crossed { one, other } => {
                let (first, second) = (component.paths[one].n, component.paths[other].n);
                component.paths[one].n = second;
                component.paths[other].n = first;
            }
            Self::Stripped => {
                if let Kind::Gear(data) = &mut component.kind {
                    data.stripped = true;
                }
            }
            Self::Slips => {
                if let Kind::CrankNut { slip } = &mut component.kind {
                    *slip = Some(Torque::from_newton_metres(severity));
                }
            }
            Self::Sticks(at) => {
                if let Kind::Eccentric(data) = &mut component.kind {
                    data.stuck = Some(at);
                }
            }
            Self::Stiff | Self::Seized => {
                let added = if matches!(self, Self::Seized) {
                    SEIZED_NM
                } else {
                    severity
                };
                if let Kind::Pivot { friction } = &mut component.kind {
                    *friction = *friction + Torque::from_newton_metres(added);
                }
            }
            Self::Flat => {
                for path in &mut component.paths {
                    if let Emf::Constant(volts) = &mut path.emf {
                        *volts = *volts * severity;
                        path.resistance =
                            path.resistance * (1.0 + FLAT_RESISTANCE * (1.0 - severity));
                    }
                }
            }
            Self::Iced | Self::Dry => {
                let surface = if matches!(self, Self::Iced) {
                    Surface::Iced { friction: severity }
                } else {
                    Surface::Dry { friction: severity }
                };
                component.kind = Kind::Windscreen(surface);
            }
            Self::Switching(how) => how.apply(component, severity),
            Self::Bridged { one, other } => {
                component.bridge(one, other);
                component.signs.chafe = TELLING;
            }
            Self::PushedOut { path } => {
                component.paths[path].resistance = OPEN;
                component.paths[path].loose = Some(Weakness::Terminal.at(PUSHED_SHARE));
            }
            Self::Chafed { path } => {
                component.paths[path].loose = Some(Weakness::LeaksWet.at(severity));
                component.signs.chafe = BARE;
            }
            Self::WrongMotor => component.wind(severity),
            Self::CamShifted => {
                if let Kind::ParkContact(data) = &mut component.kind {
                    data.centre = data.centre + Angle::from_degrees(severity);
                }
            }
            Self::Tired => {
                if let Kind::Arm { data, .. } = &mut component.kind {
                    data.force = data.force * severity;
                }
            }
            Self::Worn(how) => match how {
                Worn::Off => component.wear.off = true,
                Worn::Astray => component.wear.astray = Angle::from_degrees(severity),
                Worn::Slips => {
                    component.wear.slips_at = Some(Torque::from_newton_metres(severity));
                }
                Worn::Play => component.wear.play = Angle::from_degrees(severity),
                Worn::Torn => component.wear.torn = severity,
            },
            Self::Presses => {
                if let Kind::Arm { data, .. } = &mut component.kind {
                    data.force = data.force * severity;
                }
            }
        }
    }
}

impl Component {
    /// Lets the near ends of two of its paths touch.
    fn bridge(&mut self, one: usize, other: usize) {
        // A name of letters cannot fail; one that did would leave the ends apart.
        debug_assert!(Name::new(BRIDGE).is_ok(), "`{BRIDGE}` is not a name");
        let Ok(name) = Name::new(BRIDGE) else { return };
        let (p, n) = (self.paths[one].p, self.paths[other].p);
        self.paths.push(Path {
            name,
            p,
            n,
            resistance: TOUCH,
            emf: Emf::None,
            gate: Gate::Always,
            to_body: None,
            loose: None,
        });
    }

    /// Gives an armature so many times its turns, in wire that much thinner.
    fn wind(&mut self, times: f64) {
        for path in &mut self.paths {
            if let Emf::PerSpeed(constant) = &mut path.emf {
                *constant = *constant * times;
                path.resistance = path.resistance * (times * times);
            }
        }
    }
}

/// Name of the path between two wires that touch.
const BRIDGE: &str = "bridge";
