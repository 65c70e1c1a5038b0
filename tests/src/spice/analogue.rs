//! The whole vehicle as one electrical circuit, mechanics and all, for a circuit simulator to solve.
//!
//! The decks are written from a vehicle's plain data and from nothing that the engine computes. In them
//!
//! - 1 V at `speed` is 1 rad/s of the shaft, 1 A into it is 1 N m; inertia is a capacitor, viscous friction a
//!   resistor, the winding's torque a source for each arc of `k` times its current;
//! - 1 V at `wheel`, `crank` and `shaft` is 1 rad turned; each is a capacitor charged in proportion to the speed;
//! - 1 V at a breaker's heat node is the rise at which it trips: a capacitor of its time constant beside 1 ohm,
//!   charged with the square of the current;
//! - the rocker's speed over the crank's comes from the crank angle by the law of cosines: with `s` from crank
//!   pin to pivot, the rocker stands at `pi - beta - psi`, `tan beta = a sin t / (d - a cos t)`,
//!   `cos psi = (s^2 + c^2 - b^2) / (2 s c)`, and the ratio is the derivative of that.

mod point;
mod run;

use std::fmt::Write as _;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{CamData, ComponentId, Kind, Path, Surface, Vehicle};

pub use point::{Standing, Turn};
pub use run::{Phase, Run};

/// The mechanics of a vehicle as plain numbers, SI units.
#[derive(Clone, Debug, PartialEq)]
pub struct Mechanics {
    /// Inertia of the shaft.
    pub inertia: f64,
    /// Coulomb friction of the motor.
    pub coulomb: f64,
    viscous: f64,
    /// Shaft turns for one of the wheel.
    pub ratio: f64,
    efficiency: f64,
    stripped: bool,
    slip: Option<f64>,
    crank: f64,
    coupler: f64,
    rocker: f64,
    frame: f64,
    cam: CamData,
    /// Torque that opposes the pivots together.
    at_pivots: f64,
}

impl Mechanics {
    /// Reads them from the kinds of a vehicle's components; `None` when one of them is missing.
    #[must_use]
    pub fn of(vehicle: &Vehicle, glass: Glass) -> Option<Self> {
        let kinds = || vehicle.components.iter().map(|component| &component.kind);
        let motor = kinds().find_map(|kind| match kind {
            Kind::Motor(data) => Some(data),
            _ => None,
        })?;
        let gear = kinds().find_map(|kind| match kind {
            Kind::Gear(data) => Some(data),
            _ => None,
        })?;
        let links = kinds().find_map(|kind| match kind {
            Kind::Linkage(data) => Some(data.four_bar),
            _ => None,
        })?;
        let cam = kinds().find_map(|kind| match kind {
            Kind::ParkContact(data) => Some(*data),
            _ => None,
        })?;
        let slip = kinds().find_map(|kind| match kind {
            Kind::CrankNut { slip } => Some(*slip),
            _ => None,
        })?;
        let surface = kinds().find_map(|kind| match kind {
            Kind::Windscreen(Surface::Iced { friction } | Surface::Dry { friction }) => {
                Some(*friction)
            }
            _ => None,
        });
        let friction = surface.unwrap_or_else(|| glass.friction());
        let at_pivot = |kind: &Kind| match kind {
            Kind::Pivot { friction } => friction.newton_metres(),
            Kind::Arm { data, .. } => data.force.newtons() * data.radius.metres() * friction,
            _ => 0.0,
        };
        Some(Self {
            inertia: motor.inertia.kilogram_square_metres(),
            coulomb: motor.coulomb.newton_metres(),
            viscous: motor.viscous_nms + motor.shorted_nms,
            ratio: gear.ratio,
            efficiency: gear.efficiency,
            stripped: gear.stripped,
            slip: slip.map(|slip| slip.newton_metres()),
            crank: links.crank.metres(),
            coupler: links.coupler.metres(),
            rocker: links.rocker.metres(),
            frame: links.frame.metres(),
            cam,
            at_pivots: kinds().map(at_pivot).sum(),
        })
    }

    /// Crank angle, radians, at which crank and coupler are stretched out: where blades rest.
    #[must_use]
    pub fn parked(&self) -> f64 {
        let (reach, d, c) = (self.coupler + self.crank, self.frame, self.rocker);
        ((d * d + reach * reach - c * c) / (2.0 * d * reach)).acos()
    }

    /// How far the park cam stands inside its window at a wheel angle: positive inside, zero on its edges.
    fn inside(&self, wheel: f64) -> f64 {
        (wheel - self.cam.centre.radians()).cos() - self.cam.half_width.radians().cos()
    }

    /// Whether the park cam stands on an edge of its window, so that rounding decides.
    #[must_use]
    pub fn on_edge(&self, wheel: f64) -> bool {
        self.inside(wheel).abs() < 1e-9
    }

    /// Nodes `reach2` (square of the way from crank pin to pivot) and `rocking` (rocker speed over crank
    /// speed), and the torque at the shaft as an expression, friction of the motor and load through the worm,
    /// positive against the motion.
    fn friction(&self, deck: &mut String) -> String {
        let Self {
            crank: a,
            coupler: b,
            rocker: c,
            frame: d,
            ..
        } = *self;
        if self.stripped {
            return format!("{:e}", self.coulomb);
        }
        // The simulator tries values on its way that no linkage has; the limits keep those from roots of
        // what is negative, and are left by every angle of a linkage that turns.
        let square = format!("max(v(reach2),{:e})", (d - a) * (d - a));
        let sine = format!(
            "sqrt(max(1-({square}+{0:e})^2/({1:e}*{square}),1e-6))",
            c * c - b * b,
            4.0 * c * c
        );
        line(
            deck,
            format_args!(
                "Breach reach2 0 V={:e}-{:e}*cos(v(crank))",
                a * a + d * d,
                2.0 * a * d
            ),
        );
        line(
            deck,
            format_args!(
                "Brocking rocking 0 V=({aa:e}-{ad:e}*cos(v(crank)))/{square}\
                 +{ad:e}*sin(v(crank))*({square}+{bbcc:e})/({cc:e}*{square}*sqrt({square})*{sine})",
                aa = a * a,
                ad = a * d,
                bbcc = b * b - c * c,
                cc = 2.0 * c,
            ),
        );
        let at_crank = format!("{:e}*abs(v(rocking))", self.at_pivots);
        let carried = self.slip.map_or_else(
            || at_crank.clone(),
            |slip| format!("min({at_crank},{slip:e})"),
        );
        format!(
            "({:e}+({carried})*{:e})",
            self.coulomb,
            1.0 / (self.efficiency * self.ratio)
        )
    }

    fn viscous(&self, deck: &mut String) {
        if self.viscous > 0.0 {
            line(
                deck,
                format_args!("Rviscous speed 0 {:e}", 1.0 / self.viscous),
            );
        }
    }

    /// Wheel, crank and shaft, each an integral of the speed, from where they start.
    fn angles(&self, deck: &mut String, crank: f64) {
        let per_wheel = if self.stripped { 0.0 } else { 1.0 / self.ratio };
        line(deck, format_args!("Gwheel 0 wheel speed 0 {per_wheel:e}"));
        line(deck, format_args!("Gshaft 0 shaft speed 0 1"));
        let follows = match self.slip {
            Some(slip) if !self.stripped => {
                format!(
                    "({:e}*abs(v(rocking))>{slip:e} ? 0 : {per_wheel:e})",
                    self.at_pivots
                )
            }
            _ => format!("{per_wheel:e}"),
        };
        line(deck, format_args!("Bcrank 0 crank I=v(speed)*{follows}"));
        // Twelve decimals: the arc cosine behind an angle may end otherwise on another machine.
        for (node, from) in [("wheel", crank), ("crank", crank), ("shaft", 0.0)] {
            line(deck, format_args!("C{node} {node} 0 1"));
            line(deck, format_args!(".ic v({node})={from:.12}"));
        }
    }
}

/// Writes a line. Writing into a String cannot fail.
fn line(deck: &mut String, text: std::fmt::Arguments<'_>) {
    let _ = writeln!(deck, "{text}");
}

/// Paths of all components with a number for each, from 1.
fn paths(vehicle: &Vehicle) -> impl Iterator<Item = (usize, ComponentId, &Path)> {
    let paths = vehicle.ids().flat_map(|id| {
        let paths = &vehicle.component(id).paths;
        paths.iter().map(move |path| (id, path))
    });
    (1..)
        .zip(paths)
        .map(|(number, (id, path))| (number, id, path))
}
