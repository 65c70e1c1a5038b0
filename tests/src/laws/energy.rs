//! Energy over a transient: what the sources give between two moments is heat in resistances, work against friction,
//! work at the pivots and what the shaft has more in its turning. The currents and speeds are the engine's, in
//! windows of a quarter of a millisecond; the mechanics are those of the naive vehicle, the blades' work by the
//! angle that the rocker turned.

use std::f64::consts::TAU;
use std::sync::Arc;

use groundside_engine::quantity::{Angle, Interval};
use groundside_engine::vehicle::{Component, Emf, Kind, Vehicle};
use groundside_engine::world::{Extent, Followed, Stretch, Trial};

use super::drawn::{Drawn, drawn};
use crate::coverage::known;
use crate::fleet::{Variant, variants};
use crate::has_wound_field;
use crate::ledger::{Known, Ledger, Scope};
use crate::naive::friction;
use crate::naive::mechanics::{At, Handled, Mechanics, Pin};

crate::checks![energy_is_kept_over_a_transient];

/// Seconds of a window: short beside the time constant of the speed, so that what varies within it is a
/// straight line.
const WINDOW_S: f64 = 2.5e-4;
/// How far the two sides may be apart, as a share of all that was given and taken.
const SHARE: f64 = 1e-3;
/// Change of a current within a window, as a share, from which it is a jump.
const JUMP: f64 = 0.2;
/// And joules besides: the insulation of open contacts, which is left out, takes nanowatts.
const INSULATION_J: f64 = 1e-6;

/// Energies in joules.
#[derive(Clone, Copy, Debug, Default)]
struct Energies {
    /// Out of the constant EMFs.
    given: f64,
    /// Into resistances.
    heat: f64,
    /// Against bearings, brushes and in the worm; and in the crank's joint where it slips.
    friction: f64,
    /// At the pivots: blades on glass and bushings.
    pivots: f64,
    /// Gained by the turning of the shaft.
    kinetic: f64,
    /// All that was given and taken, whichever way.
    size: f64,
}

/// A vehicle being watched.
struct Watched {
    mechanics: Mechanics,
    handled: Handled,
    trial: Trial,
    /// What is followed, with the resistance and constant EMF behind each.
    follow: Vec<(Followed, Along)>,
    sum: Energies,
}

/// What a followed quantity says of energy.
#[derive(Clone, Copy)]
enum Along {
    /// A current through ohms and volts.
    Path(f64, f64),
    /// A voltage over the ohms of a leak.
    Leak(f64),
}

impl Watched {
    fn new(vehicle: &Arc<Vehicle>, drawn: &Drawn) -> Option<Self> {
        let query = drawn.query(vehicle, groundside_engine::world::Shaft::Held);
        let mut follow = Vec::new();
        for id in vehicle.ids() {
            for (place, path) in vehicle.component(id).paths.iter().enumerate() {
                let emf = match path.emf {
                    Emf::Constant(volts) => volts.volts(),
                    Emf::None | Emf::PerSpeed(_) => 0.0,
                };
                let along = Along::Path(path.resistance.ohms(), emf);
                follow.push((Followed::Current(id, place), along));
                if let Some(ohms) = path.to_body {
                    let over = Followed::Voltage(path.n, vehicle.body);
                    follow.push((over, Along::Leak(ohms.ohms())));
                }
            }
        }
        let mut trial = Trial::new(vehicle, query.glass).unwrap();
        // Heat is reckoned with the ohms of the vehicle's values, which are cold.
        trial.hold_values();
        trial.set_shaft(query.shaft_angle.unwrap_or(Angle::ZERO));
        Some(Self {
            mechanics: Mechanics::of(vehicle)?,
            handled: Handled {
                friction: friction(vehicle, query.glass),
                assist: None,
                crank_off: false,
                link_off: false,
            },
            trial,
            follow,
            sum: Energies::default(),
        })
    }

    fn watch(&mut self, windows: u32) {
        let followed: Vec<Followed> = self.follow.iter().map(|(followed, _)| *followed).collect();
        for _ in 0..windows {
            let speed = self.trial.shaft_speed().radians_per_second();
            let crank = self.stands();
            let span = Interval::from_seconds(WINDOW_S);
            let stretch = self.trial.run(span, &followed).unwrap();
            self.circuit(&stretch);
            self.shaft(speed, crank);
        }
    }

    /// What the circuit gave and took in a window.
    fn circuit(&mut self, stretch: &Stretch) {
        for ((_, along), seen) in self.follow.iter().zip(&stretch.followed) {
            let square = mean_square(seen);
            let (given, heat) = match along {
                Along::Path(ohms, emf) => (-emf * seen.mean * WINDOW_S, square * ohms * WINDOW_S),
                Along::Leak(ohms) => (0.0, square / ohms * WINDOW_S),
            };
            self.sum.given += given;
            self.sum.heat += heat;
            self.sum.size += given.abs() + heat;
        }
    }

    /// Angles of crank and eccentric.
    fn stands(&self) -> (f64, f64) {
        let (crank, out) = (self.trial.crank(), self.trial.eccentric_out());
        (crank.radians(), out.radians())
    }

    /// What the shaft took in a window that began at this speed, with crank and eccentric at these angles.
    fn shaft(&mut self, before: f64, from: (f64, f64)) {
        let after = self.trial.shaft_speed().radians_per_second();
        let (crank, out) = self.stands();
        let mean = 0.5 * (before + after);
        let travel = (mean * WINDOW_S).abs();
        let turned = crank - from.0;
        let turned = turned - TAU * (turned / TAU).round();
        let to = (from.0 + turned, out);
        let rocker = self.mechanics.rocker_turns(from, to).abs();
        let pivots = self.mechanics.at_pivots(&self.handled) * rocker;
        let wheel = travel * self.mechanics.wheel_per_shaft();
        // Where the crank stays behind, the joint takes what it carries over the angle that it slips.
        let at = At {
            crank: from.0,
            pin: Pin {
                out: from.1,
                let_go: from.1 > 0.0,
            },
            way: mean.signum(),
        };
        let (carried, _) = self.mechanics.at_wheel(at, &self.handled);
        let slipped = carried * (wheel - turned.abs()).max(0.0);
        let through_worm = self.mechanics.through_worm(pivots + slipped);
        let bearings =
            self.mechanics.coulomb * travel + self.mechanics.viscous * mean * mean * WINDOW_S;
        let kinetic = 0.5 * self.mechanics.inertia * (after * after - before * before);
        self.sum.pivots += pivots;
        self.sum.friction += bearings + through_worm - pivots;
        self.sum.kinetic += kinetic;
        self.sum.size += kinetic.abs();
    }
}

fn has_shorted_turns(part: &Component) -> bool {
    matches!(&part.kind, Kind::Motor(data) if data.shorted_nms > 0.0)
}

/// The mean square over a window, from the mean and the limits: of a straight line, or of two values one after
/// the other where a contact moved. So much as a jump nothing else changes in a window.
fn mean_square(seen: &Extent) -> f64 {
    let swing = seen.max - seen.min;
    if swing > JUMP * seen.max.abs().max(seen.min.abs()) {
        (seen.max + seen.min) * seen.mean - seen.max * seen.min
    } else {
        seen.mean * seen.mean + swing * swing / 12.0
    }
}

fn energy_is_kept_over_a_transient(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "conservation of energy");
    let known = known(ledger);
    // What shorted turns take goes by the square of a wound field's flux, which a trial does not tell.
    let told = |variant: &Variant| {
        !has_wound_field(&variant.vehicle)
            || !variant.vehicle.components.iter().any(has_shorted_turns)
    };
    let fleet: Vec<Variant> = known.iter().flat_map(variants).filter(told).collect();
    let runs = match ledger.scope() {
        Scope::Sample => 6,
        Scope::Sweep | Scope::Full => 24,
    };
    let cases = (drawn(), 1..4_usize, 800..6000_u32);
    ledger.for_all(runs, &cases, |(drawn, position, windows), ledger| {
        let variant = drawn.of(&fleet);
        let Some(mut watched) = Watched::new(&variant.vehicle, drawn) else {
            return;
        };
        let roles = crate::roles(&variant.vehicle);
        let last = roles.speeds.len() - 1;
        let running = roles.speeds[last.min(position - 1)];
        watched.trial.set(roles.key, roles.key_on);
        watched.trial.set(roles.wiper, running);
        watched.watch(*windows);
        let spun_up = watched.sum;
        watched.trial.set(roles.wiper, roles.off);
        watched.watch(6000);
        for (what, sum) in [("running", spun_up), ("and braking", watched.sum)] {
            let taken = sum.heat + sum.friction + sum.pivots + sum.kinetic;
            let what = format_args!("{}, position {position}, {what}: {sum:?}", variant.name);
            ledger.near(what, taken, sum.given, SHARE * sum.size + INSULATION_J);
        }
    });
}
