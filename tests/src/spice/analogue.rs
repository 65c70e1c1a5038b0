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

use std::fmt::Write as _;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{
    CamData, ComponentId, Emf, Gate, Instrument, Kind, Node, Path, TripData, Vehicle,
};

/// Resistance of a contact that is open at an operating point, ohms: the vehicle's own insulation.
const INSULATION_OHM: f64 = 1e10;
/// Resistance from which on a branch of an operating point is a plain resistor; below, it is a source whose
/// current is an unknown of its own, so that milliohms do not swamp insulation (see `netlist`).
const SERIES_OHM_MAX: f64 = 1e6;
/// Resistance of an open contact in a run, ohms. From a milliohm to insulation in one step breaks the
/// simulator's convergence; through ten megohms run 1.3 uA, which is a millionth of the least current that is
/// compared.
const RUN_OPEN_OHM: f64 = 1e7;
/// Volts for each unit of what moves a switch. The simulator comes as near to a threshold as 0.05 V in one
/// step, so with this an edge of the cam is met to 2e-6 rad.
const SWITCH_GAIN: f64 = 1e5;
/// Volts for each unit of heat where it moves a switch: trips are met to a hundredth of a per cent.
const HEAT_GAIN: f64 = 1e3;
/// Shaft speed, rad/s, at which friction has grown to 0.7 of its full value. A motor that is stuck creeps
/// below a few times this, which is 1e-5 of the speeds that are compared, and moves the crank by 0.001
/// degrees in a second.
const STICKING: f64 = 1e-3;

/// Relative tolerance of a step of a run. A tenth of it changes nothing that is compared by more than ..
const TOLERANCE: f64 = 1e-6;
/// Longest step of a run, as a share of a row.
const STEP_SHARE: f64 = 0.05;

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
        let at_pivot = |kind: &Kind| match kind {
            Kind::Pivot { friction } => friction.newton_metres(),
            Kind::Arm { data, .. } => {
                data.force.newtons() * data.radius.metres() * glass.friction()
            }
            _ => 0.0,
        };
        Some(Self {
            inertia: motor.inertia.kilogram_square_metres(),
            coulomb: motor.coulomb.newton_metres(),
            viscous: motor.viscous_nms,
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

    /// Whether the park cam stands inside its window at a wheel angle.
    fn cam_inside(&self, wheel: f64) -> bool {
        (wheel - self.cam.centre.radians()).cos() > self.cam.half_width.radians().cos()
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
        for (node, from) in [("wheel", crank), ("crank", crank), ("shaft", 0.0)] {
            line(deck, format_args!("C{node} {node} 0 1"));
            line(deck, format_args!(".ic v({node})={from:e}"));
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

/// Which of a vehicle's paths conduct, at an operating point.
#[derive(Clone, Debug)]
pub struct Standing<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// Position of each component's control.
    pub positions: Vec<usize>,
    /// Components that stand open: unplugged, off, tripped or melted.
    pub open: Vec<ComponentId>,
    /// Wheel and crank angle, radians.
    pub crank: f64,
    /// Shaft angle, radians within a turn.
    pub shaft: f64,
    /// The state of the glass.
    pub glass: Glass,
    /// Meters on the circuit.
    pub instruments: Vec<Instrument>,
}

/// What the shaft is made to do at an operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Turn {
    /// Held still: the current of `Vhold` is the torque it takes, and the voltage at `breakaway` what friction
    /// and load can oppose to it.
    Held,
    /// Turning one way (1 or -1), so that friction opposes that way.
    Towards(f64),
}

impl Standing<'_> {
    /// The deck of an operating point. Nodes of the circuit keep their numbers.
    ///
    /// `None` for a vehicle without a motor and what it moves.
    #[must_use]
    pub fn deck(&self, turn: Turn) -> Option<String> {
        let mechanics = Mechanics::of(self.vehicle, self.glass)?;
        let mut deck = format!("* {}\n", self.vehicle.id);
        for (number, id, path) in paths(self.vehicle) {
            let conducts = self.conducts(id, path, &mechanics);
            let ohms = if conducts {
                path.resistance.ohms()
            } else {
                INSULATION_OHM
            };
            exact_branch(
                &mut deck,
                &number.to_string(),
                path.p,
                path.n,
                path.emf,
                ohms,
            );
            if let Some(leak) = path.to_body {
                let body = self.vehicle.body;
                let name = format!("{number}leak");
                exact_branch(&mut deck, &name, path.n, body, Emf::None, leak.ohms());
            }
        }
        for (number, meter) in self.instruments.iter().enumerate() {
            let name = format!("meter{number}");
            let emf = Emf::Constant(meter.emf);
            exact_branch(
                &mut deck,
                &name,
                meter.red,
                meter.black,
                emf,
                meter.resistance.ohms(),
            );
        }
        line(&mut deck, format_args!("Vcrank crank 0 {:e}", self.crank));
        let friction = mechanics.friction(&mut deck);
        match turn {
            Turn::Held => line(
                &mut deck,
                format_args!("Vhold speed 0 0\nBfriction breakaway 0 V={friction}"),
            ),
            Turn::Towards(sign) => {
                mechanics.viscous(&mut deck);
                line(
                    &mut deck,
                    format_args!("Bfriction speed 0 I=({sign})*{friction}"),
                );
            }
        }
        deck.push_str(".control\nset numdgt=15\nset width=80\nop\nprint all\n.endc\n.end\n");
        Some(deck)
    }

    fn conducts(&self, id: ComponentId, path: &Path, mechanics: &Mechanics) -> bool {
        match &path.gate {
            Gate::Always => true,
            Gate::Position(closed) => closed.contains(&self.positions[id.index()]),
            Gate::Untripped | Gate::Mated => !self.open.contains(&id),
            Gate::Cam { inside } => *inside == mechanics.cam_inside(self.crank),
            Gate::BrushDown { lifted } => self.shaft >= lifted.radians(),
        }
    }
}

/// A branch whose potentials are exact beside insulation: its current is an unknown.
fn exact_branch(deck: &mut String, name: &str, p: Node, n: Node, emf: Emf, ohms: f64) {
    let (p, n) = (p.index(), n.index());
    let inner = match emf {
        Emf::None => format!("V{name} {p} x{name} 0"),
        Emf::Constant(emf) => format!("V{name} {p} x{name} {:e}", emf.volts()),
        Emf::PerSpeed(constant) => {
            let k = constant.volt_seconds();
            format!(
                "V{name} {p} y{name} 0\nE{name} y{name} x{name} speed 0 {k:e}\nF{name} 0 speed V{name} {k:e}"
            )
        }
    };
    let plain = ohms >= SERIES_OHM_MAX;
    match (plain, emf) {
        (true, Emf::None) => line(deck, format_args!("R{name} {p} {n} {ohms:e}")),
        (true, _) => line(deck, format_args!("{inner}\nR{name} x{name} {n} {ohms:e}")),
        (false, _) => line(
            deck,
            format_args!("{inner}\nH{name} x{name} {n} V{name} {ohms:e}"),
        ),
    }
}

/// From a time on, where the controls stand.
#[derive(Clone, Debug)]
pub struct Phase {
    /// Seconds from the start.
    pub from: f64,
    /// Position of each component's control.
    pub positions: Vec<usize>,
}

/// A vehicle run in time from rest, breakers cold.
#[derive(Clone, Debug)]
pub struct Run<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// The state of the glass.
    pub glass: Glass,
    /// Where the controls stand, the first from zero.
    pub phases: Vec<Phase>,
    /// Inductance, henries, between the brushes of the largest EMF; none in the engine's model.
    pub inductance: f64,
    /// Seconds between the rows of the answer.
    pub row_s: f64,
    /// How many rows there are, without that at zero.
    pub rows: u32,
}

impl Run<'_> {
    /// The deck of a run. Its own commands write speed, crank angle and charge drawn from the battery, row by
    /// row, to `file`, and print the times `click1`, `click2` .. at which breakers opened or closed.
    ///
    /// `None` for a vehicle without a motor and what it moves, or without a battery.
    #[must_use]
    pub fn deck(&self, file: &str) -> Option<String> {
        let mechanics = Mechanics::of(self.vehicle, self.glass)?;
        let mut deck = format!("* {}\n", self.vehicle.id);
        let mut parts = Parts::default();
        for (number, id, path) in paths(self.vehicle) {
            self.branch(&mut deck, number, id, path, &mut parts);
        }
        let supply = parts.supply?;
        line(
            &mut deck,
            format_args!("Fdrawn 0 drawn V{supply} -1\nCdrawn drawn 0 1\n.ic v(drawn)=0"),
        );
        for (id, sensor) in &parts.breakers {
            let kind = &self.vehicle.component(*id).kind;
            if let Kind::Breaker(data) | Kind::FusibleLink(data) = kind {
                breaker(&mut deck, id.index(), *sensor, kind, data);
            }
        }
        self.mechanics(&mut deck, &mechanics);
        self.commands(&mut deck, &parts, file);
        Some(deck)
    }

    fn mechanics(&self, deck: &mut String, mechanics: &Mechanics) {
        let friction = mechanics.friction(deck);
        mechanics.viscous(deck);
        mechanics.angles(deck, mechanics.parked());
        let stick = STICKING * STICKING;
        line(
            deck,
            format_args!(
                "Cspeed speed 0 {:e}\n.ic v(speed)=0\n\
                 Bfriction speed 0 I={friction}*v(speed)/sqrt(v(speed)^2+{stick:e})\n\
                 Bcam cam 0 V={SWITCH_GAIN:e}*(cos(v(wheel)-{:e})-{:e})",
                mechanics.inertia,
                mechanics.cam.centre.radians(),
                mechanics.cam.half_width.radians().cos(),
            ),
        );
    }

    fn commands(&self, deck: &mut String, parts: &Parts, file: &str) {
        let seconds = self.row_s * f64::from(self.rows);
        line(
            deck,
            format_args!(
                ".options method=gear reltol={TOLERANCE:e} abstol=1e-9 vntol=1e-7 trtol=1\n\
                 .control\nset numdgt=12\nset wr_singlescale\n\
                 tran {:e} {seconds:e} 0 {:e}",
                self.row_s,
                self.row_s * STEP_SHARE
            ),
        );
        for (id, _) in &parts.breakers {
            if !matches!(self.vehicle.component(*id).kind, Kind::Breaker(_)) {
                // What melts does not click.
                continue;
            }
            let node = format!("tripped{}", id.index());
            for click in 1..=CLICKS_MAX {
                line(
                    deck,
                    format_args!("meas tran {node}click{click} when v({node})=0.5 cross={click}"),
                );
            }
        }
        line(
            deck,
            format_args!(
                "linearize v(speed) v(crank) v(drawn)\n\
                 wrdata {file} v(speed) v(crank) v(drawn)\n.endc\n.end"
            ),
        );
    }

    fn branch(
        &self,
        deck: &mut String,
        number: usize,
        id: ComponentId,
        path: &Path,
        parts: &mut Parts,
    ) {
        let component = self.vehicle.component(id);
        let (p, n) = (path.p.index(), path.n.index());
        let trips = path.gate == Gate::Untripped;
        let mut from = p.to_string();
        if trips || path.emf != Emf::None {
            let volts = match path.emf {
                Emf::Constant(emf) => emf.volts(),
                Emf::None | Emf::PerSpeed(_) => 0.0,
            };
            line(deck, format_args!("V{number} {from} x{number} {volts:e}"));
            from = format!("x{number}");
        }
        if let Emf::PerSpeed(constant) = path.emf {
            let k = constant.volt_seconds();
            line(
                deck,
                format_args!(
                    "E{number} {from} y{number} speed 0 {k:e}\nF{number} 0 speed V{number} {k:e}"
                ),
            );
            from = format!("y{number}");
            if self.inductance > 0.0 {
                line(
                    deck,
                    format_args!("L{number} {from} z{number} {:e}", self.inductance),
                );
                from = format!("z{number}");
            }
        }
        if trips {
            parts.breakers.push((id, number));
        }
        if component.kind == Kind::Battery {
            parts.supply.get_or_insert(number);
        }
        let ohms = path.resistance.ohms();
        match self.mover(deck, number, id, path) {
            Mover::Stands(true) => line(deck, format_args!("R{number} {from} {n} {ohms:e}")),
            Mover::Stands(false) => {
                line(deck, format_args!("R{number} {from} {n} {RUN_OPEN_OHM:e}"))
            }
            Mover::Moves { control, model } => line(
                deck,
                format_args!(
                    "S{number} {from} {n} {control} m{number} ON\n\
                     .model m{number} sw({model} ron={ohms:e} roff={RUN_OPEN_OHM:e})"
                ),
            ),
        }
        if let Some(leak) = path.to_body {
            let body = self.vehicle.body.index();
            line(
                deck,
                format_args!("R{number}leak {n} {body} {:e}", leak.ohms()),
            );
        }
    }

    /// What moves a path's contact in the run, with the elements it takes.
    fn mover(&self, deck: &mut String, number: usize, id: ComponentId, path: &Path) -> Mover {
        let between = "vt=0 vh=0.01".to_owned();
        match &path.gate {
            Gate::Always | Gate::Mated => Mover::Stands(true),
            Gate::Position(closed) => self.worked(deck, number, id, closed),
            Gate::Untripped => Mover::Moves {
                control: format!("0 hot{}", id.index()),
                model: trip_model(&self.vehicle.component(id).kind),
            },
            Gate::Cam { inside } => Mover::Moves {
                control: (if *inside { "cam 0" } else { "0 cam" }).to_owned(),
                model: between,
            },
            Gate::BrushDown { lifted } => {
                let half = 0.5 * lifted.radians();
                line(
                    deck,
                    format_args!(
                        "Bdown{number} down{number} 0 V={SWITCH_GAIN:e}*({:e}-cos(v(shaft)-{half:e}))",
                        half.cos()
                    ),
                );
                Mover::Moves {
                    control: format!("down{number} 0"),
                    model: between,
                }
            }
        }
    }

    /// A contact worked by a control: it moves within a microsecond.
    fn worked(&self, deck: &mut String, number: usize, id: ComponentId, closed: &[usize]) -> Mover {
        let stands = |phase: &Phase| closed.contains(&phase.positions[id.index()]);
        let mut conducts = stands(&self.phases[0]);
        let level = |conducts: bool| if conducts { 1 } else { -1 };
        let mut points = format!("0 {}", level(conducts));
        let mut moves = false;
        for phase in &self.phases[1..] {
            let next = stands(phase);
            if next != conducts {
                let (from, end) = (phase.from, phase.from + 1e-6);
                points.push_str(&format!(
                    " {from:e} {} {end:e} {}",
                    level(conducts),
                    level(next)
                ));
                (conducts, moves) = (next, true);
            }
        }
        if !moves {
            return Mover::Stands(conducts);
        }
        line(
            deck,
            format_args!("Vhand{number} hand{number} 0 PWL({points})"),
        );
        Mover::Moves {
            control: format!("hand{number} 0"),
            model: "vt=0 vh=0.5".to_owned(),
        }
    }
}

/// Clicks of a breaker that are waited for.
pub const CLICKS_MAX: u32 = 5;

/// The heat of a breaker, its node times [`HEAT_GAIN`], and a node `tripped` that is at 1 V while it is open.
fn breaker(deck: &mut String, index: usize, sensor: usize, kind: &Kind, data: &TripData) {
    let ultimate = data.ultimate.amperes();
    line(
        deck,
        format_args!(
            "Bwarms{index} 0 heat{index} I=(i(V{sensor})/{ultimate:e})^2\n\
             Rheat{index} heat{index} 0 1\n\
             Cheat{index} heat{index} 0 {:e}\n.ic v(heat{index})=0\n\
             Ehot{index} hot{index} 0 heat{index} 0 {HEAT_GAIN:e}\n\
             Vone{index} one{index} 0 1\nRone{index} one{index} tripped{index} 1000\n\
             Stripped{index} tripped{index} 0 0 hot{index} mtripped{index} ON\n\
             .model mtripped{index} sw({} ron=0.001 roff={RUN_OPEN_OHM:e})",
            data.time_constant.seconds(),
            trip_model(kind),
        ),
    );
}

/// What of a run's deck is referred to elsewhere in it, by numbers of paths.
#[derive(Debug, Default)]
struct Parts {
    supply: Option<usize>,
    breakers: Vec<(ComponentId, usize)>,
}

/// How a contact stands or is moved.
enum Mover {
    Stands(bool),
    Moves { control: String, model: String },
}

/// Heat is turned round for the switch, which conducts when its control is high: it opens when heat passes 1,
/// and closes when it has fallen to where it recloses, or never.
fn trip_model(kind: &Kind) -> String {
    let reclose = match kind {
        Kind::Breaker(data) | Kind::FusibleLink(data) => data.reclose,
        _ => None,
    };
    let closes = reclose.unwrap_or(-1.0);
    let (middle, half) = (-0.5 * (1.0 + closes), 0.5 * (1.0 - closes));
    format!("vt={:e} vh={:e}", HEAT_GAIN * middle, HEAT_GAIN * half)
}

/// A number for a text, to know it again (FNV-1a, 64 bits).
#[must_use]
pub fn digest(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}
