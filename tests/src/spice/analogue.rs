//! The whole vehicle as one electrical circuit, mechanics and all, for a circuit simulator to solve.
//!
//! The decks are written from a vehicle's plain data and from nothing that the engine computes. In them
//!
//! - 1 V at `speed` is 1 rad/s of the shaft, 1 A into it is 1 N m; inertia is a capacitor, viscous friction a
//!   resistor, the winding's torque a source for each arc of `k` times its current;
//! - 1 V at `wheel`, `crank` and `shaft` is 1 rad turned; each is a capacitor charged in proportion to the speed;
//! - a wound field makes it by its flux: 1 V at `wound` and `turns` is an ampere turn of its windings and in effect,
//!   1 V at `flux` all of the flux, 1 V at `seen` is 1 rad/s of a shaft in all of the flux, and what the windings
//!   would make of torque in all of it flows at `wind`;
//! - 1 V at a breaker's heat node is the rise at which it trips: a capacitor of its time constant beside 1 ohm,
//!   charged with the square of the current;
//! - the rocker's speed over the crank's comes from the crank angle by the law of cosines: with `s` from crank
//!   pin to pivot, the rocker stands at `pi - beta - psi`, `tan beta = a sin t / (d - a cos t)`,
//!   `cos psi = (s^2 + c^2 - b^2) / (2 s c)`, and the ratio is the derivative of that;
//! - 1 V at `out` is 1 rad that an eccentric has turned out, 1 V at `throw` 1 m. In a run it follows from where the
//!   crank is and from how far forward it has been (`ahead`), as long as it turns round once at most: at first
//!   what it turns in by, then what the crank has gone back behind the last outer end of a wipe.

mod flux;
mod point;
mod run;

use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;

use groundside_engine::machines::{Stuck, WoundField};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{CamData, ComponentId, Field, Kind, Path, Surface, Vehicle};

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
    /// Torque for each rad/s that a shorted coil takes in all of the flux.
    shorted_nms: f64,
    /// Shaft turns for one of the wheel.
    pub ratio: f64,
    efficiency: f64,
    stripped: bool,
    slip: Option<f64>,
    crank: f64,
    coupler: f64,
    rocker: f64,
    frame: f64,
    eccentric: Option<Eccentric>,
    cam: CamData,
    /// Whether the cam takes effect in its window, where no eccentric moves.
    cam_works: bool,
    field: Option<WoundField>,
    /// Torque that opposes the pivots together.
    at_pivots: f64,
}

/// An eccentric that turns in the crank, or is stuck.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Eccentric {
    offset: f64,
    stuck: Option<Stuck>,
}

/// How far out an eccentric has to be for the cam to take effect, radians.
const OUT_RAD: f64 = 140.0 * PI / 180.0;

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
        let eccentric = kinds().find_map(|kind| match kind {
            Kind::Eccentric(data) => Some(Eccentric {
                offset: data.offset.metres(),
                stuck: data.stuck,
            }),
            _ => None,
        });
        let surface = kinds().find_map(|kind| match kind {
            Kind::Windscreen(Surface::Iced { friction } | Surface::Dry { friction }) => {
                Some(*friction)
            }
            _ => None,
        });
        let friction = surface.unwrap_or_else(|| glass.friction());
        // A link that is off its pin leaves what hangs on it behind.
        let off = |wanted: fn(&Kind) -> bool| {
            let mut parts = vehicle.components.iter();
            parts.any(|part| wanted(&part.kind) && part.wear.off)
        };
        let all_off = off(|kind| matches!(kind, Kind::Linkage(_)));
        let first_only = off(|kind| matches!(kind, Kind::ConnectingLink));
        let mut arms = vehicle
            .components
            .iter()
            .filter_map(|part| match part.kind {
                Kind::Arm { pivot, .. } => Some(pivot),
                _ => None,
            });
        let first = arms.next();
        let at_pivot = |id: ComponentId| match &vehicle.component(id).kind {
            _ if all_off => 0.0,
            Kind::Pivot { .. } if first_only && first != Some(id) => 0.0,
            Kind::Arm { pivot, .. } if first_only && first != Some(*pivot) => 0.0,
            Kind::Pivot { friction } => friction.newton_metres(),
            Kind::Arm { data, .. } => {
                let torque = data.force.newtons() * data.radius.metres() * friction;
                let most = vehicle.component(id).wear.slips_at;
                most.map_or(torque, |most| torque.min(most.newton_metres()))
            }
            _ => 0.0,
        };
        Some(Self {
            inertia: motor.inertia.kilogram_square_metres(),
            coulomb: motor.coulomb.newton_metres(),
            viscous: motor.viscous_nms,
            shorted_nms: motor.shorted_nms,
            ratio: gear.ratio,
            efficiency: gear.efficiency,
            stripped: gear.stripped,
            slip: slip.map(|slip| slip.newton_metres()),
            crank: links.crank.metres(),
            coupler: links.coupler.metres(),
            rocker: links.rocker.metres(),
            frame: links.frame.metres(),
            eccentric,
            cam,
            cam_works: true,
            field: match motor.field {
                Field::Magnets => None,
                Field::Wound(field) => Some(field),
            },
            at_pivots: vehicle.ids().map(at_pivot).sum(),
        })
    }

    /// Crank angle at which crank and coupler are in line, `reach` from end to end.
    fn in_line(&self, reach: f64) -> f64 {
        let (d, c) = (self.frame, self.rocker);
        ((d * d + reach * reach - c * c) / (2.0 * d * reach)).acos()
    }

    /// Crank angle, radians, at which crank and coupler are stretched out, an eccentric right out: where blades rest.
    #[must_use]
    pub fn parked(&self) -> f64 {
        let most = self.eccentric.map_or(0.0, |own| 2.0 * own.offset);
        self.in_line(self.coupler + (self.crank + most))
    }

    /// With an eccentric that does not move: where it is stuck, else right out in the window of the cam, and in
    /// elsewhere and where the motor runs forward.
    fn standing(self, crank: f64, forward: bool) -> Self {
        let Some(Eccentric { offset, stuck }) = self.eccentric else {
            return self;
        };
        let out = match stuck {
            Some(stuck) => stuck == Stuck::Out,
            None => self.inside(crank) > 0.0 && !forward,
        };
        Self {
            crank: self.crank + if out { 2.0 * offset } else { 0.0 },
            cam_works: out,
            eccentric: None,
            ..self
        }
    }

    /// With an eccentric that moves if it is free.
    fn running(self) -> Self {
        match self.eccentric {
            Some(own) if own.stuck.is_some() => self.standing(0.0, false),
            _ => self,
        }
    }

    /// Whether the contacts that work inside the window of the cam do so with the wheel at an angle.
    fn works_inside(&self, wheel: f64) -> bool {
        self.cam_works && self.inside(wheel) > 0.0
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
        if let Some(own) = self.eccentric {
            self.rocking_with(&own, deck);
            return self.carried();
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
        self.carried()
    }

    /// The same nodes with an eccentric, which changes the throw along with the angle: the rocker turns by both.
    fn rocking_with(&self, own: &Eccentric, deck: &mut String) {
        let Self {
            crank,
            coupler: b,
            rocker: c,
            frame: d,
            ..
        } = *self;
        let least = d - crank - 2.0 * own.offset;
        let square = format!("max(v(reach2),{:e})", least * least);
        let sine = format!(
            "sqrt(max(1-({square}+{0:e})^2/({1:e}*{square}),1e-6))",
            c * c - b * b,
            4.0 * c * c
        );
        let (sin, cos) = ("sin(v(crank))", "cos(v(crank))");
        // What the diagonal's square changes by turns the rocker against the diagonal by so much of it.
        let folds = format!(
            "({square}+{:e})/({:e}*{square}*sqrt({square})*{sine})",
            b * b - c * c,
            2.0 * c
        );
        line(
            deck,
            format_args!(
                "Breach reach2 0 V=v(throw)^2+{:e}-{:e}*v(throw)*{cos}",
                d * d,
                2.0 * d
            ),
        );
        line(
            deck,
            format_args!(
                "Bbyangle byangle 0 V=v(throw)*((v(throw)-{d:e}*{cos})/{square}+{d:e}*{sin}*{folds})"
            ),
        );
        line(
            deck,
            format_args!(
                "Bbythrow bythrow 0 V=(v(throw)-{d:e}*{cos})*{folds}-{d:e}*{sin}/{square}"
            ),
        );
        line(
            deck,
            format_args!(
                "Brocking rocking 0 V=v(byangle)-v(bythrow)*{:e}*sin(v(out))",
                own.offset
            ),
        );
    }

    /// Torque at the shaft by what the crank carries.
    fn carried(&self) -> String {
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
        if self.shorted_nms > 0.0 {
            let nms = self.shorted_nms;
            match self.field {
                // EMF of the coil goes by the flux, and so does what its current holds against.
                Some(_) => line(
                    deck,
                    format_args!("Bshorted speed 0 I={nms:e}*v(flux)*v(seen)"),
                ),
                None => line(deck, format_args!("Rshorted speed 0 {:e}", 1.0 / nms)),
            }
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
        if let Some(own) = self.eccentric {
            self.turning_out(&own, deck, crank, &follows);
        }
        // Twelve decimals: the arc cosine behind an angle may end otherwise on another machine.
        for (node, from) in [("wheel", crank), ("crank", crank), ("shaft", 0.0)] {
            line(deck, format_args!("C{node} {node} 0 1"));
            line(deck, format_args!(".ic v({node})={from:.12}"));
        }
    }
}

impl Mechanics {
    /// How far an eccentric that was right out at the start has turned out, and the throw.
    fn turning_out(&self, own: &Eccentric, deck: &mut String, start: f64, follows: &str) {
        let outer = PI + self.in_line(self.coupler - self.crank);
        line(
            deck,
            format_args!(
                "Bahead 0 ahead I=(v(speed)>0 ? v(speed)*{follows} : 0)\n\
                 Cahead ahead 0 1\n.ic v(ahead)={start:.12}\n\
                 Blast last 0 V={outer:e}+{TAU:e}*floor((v(ahead)-{outer:e})/{TAU:e})\n\
                 Bfirst first 0 V=(v(ahead)<{within:e} ? min(max({within:e}-v(crank),0),{PI:e}) : 0)\n\
                 Bout out 0 V=max(v(first),min(max(v(last)-v(crank),0),{PI:e}))\n\
                 Bthrow throw 0 V={:e}+{:e}*(1-cos(v(out)))",
                self.crank,
                own.offset,
                within = start + PI,
            ),
        );
    }

    /// What is positive where contacts that work inside the cam's window do so, as an expression.
    fn cam(&self) -> String {
        let inside = format!(
            "(cos(v(wheel)-{:e})-cos({:e}))",
            self.cam.centre.radians(),
            self.cam.half_width.radians()
        );
        match self.eccentric {
            Some(_) => format!("min({inside},v(out)-{OUT_RAD:e})"),
            None if self.cam_works => inside,
            None => "(-1)".to_owned(),
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
