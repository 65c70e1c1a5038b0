//! The deck of a run in time: contacts that cam, heat, brushes and hands move, and a shaft that sticks.

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{
    ComponentId, Emf, Gate, Kind, Path, RelayData, TripData, Vehicle,
};

use super::flux::Winding;
use super::{Mechanics, line, paths};

/// Resistance of an open contact in a run, ohms. From a milliohm to insulation in one step breaks the
/// simulator's convergence; through ten megohms run 1.3 uA, a few millionths of the currents that are
/// compared.
const RUN_OPEN_OHM: f64 = 1e7;
/// Volts for each unit of what moves a switch. The simulator comes as near to a threshold as 0.05 V in one
/// step, so with this an edge of the cam is met to 2e-6 rad.
const SWITCH_GAIN: f64 = 1e5;
/// Volts for each unit of heat where it moves a switch: trips are met to a hundredth of a per cent.
const HEAT_GAIN: f64 = 1e3;
/// Lag, seconds, of a breaker's contact behind its heat. Without it the contact that opens ends the rise that
/// opens it in the same instant, and the simulator finds no state that holds.
const HEAT_LAG_S: f64 = 1e-4;
/// Shaft speed, rad/s, at which friction has grown to 0.7 of its full value. A motor that is stuck creeps
/// below a few times this, which is 1e-5 of the speeds that are compared, and moves the crank by 0.001
/// degrees in a second.
const STICKING: f64 = 1e-3;

/// Steps after which a run that does not get on is given up. The longest takes a tenth of that.
const STEPS_MAX: u32 = 400_000;
/// Relative tolerance of a step of a run. With a tenth of it and steps a fifth as long, what is compared changes
/// by less than a tenth of its bound; the run with a stiff pivot was not tried so.
const TOLERANCE: f64 = 1e-6;

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
    /// Inductance, henries, of the armature between the brushes of its largest EMF, where two halves of the
    /// ring are in parallel; spread over its arcs as the EMF is. The engine's model has none.
    pub inductance: f64,
    /// Seconds between the rows of the answer.
    pub row_s: f64,
    /// How many rows there are, without that at zero.
    pub rows: u32,
    /// Longest step, seconds.
    pub step_s: f64,
}

impl Run<'_> {
    /// The deck of a run. Its own commands write speed, crank angle and charge drawn from the battery, row by
    /// row, to `file`, and print the times `..click1`, `..click2` .. at which breakers opened or closed, and
    /// the time that was `reached`.
    ///
    /// `None` for a vehicle without a motor and what it moves, or without a battery.
    #[must_use]
    pub fn deck(&self, file: &str) -> Option<String> {
        let mechanics = Mechanics::of(self.vehicle, self.glass)?;
        let parked = mechanics.parked();
        let mechanics = mechanics.running();
        let mut deck = format!("* {}\n", self.vehicle.id);
        let mut parts = Parts::default();
        for (number, id, path) in paths(self.vehicle) {
            let winding = mechanics.winding_of(self.vehicle.component(id), path);
            if let Some(winding) = winding {
                parts.windings.push((number, winding));
            }
            self.branch(&mut deck, number, id, path, &mechanics, &mut parts);
        }
        mechanics.flux_in_time(&mut deck, &parts.windings);
        let supply = parts.supply?;
        line(
            &mut deck,
            format_args!("Fdrawn 0 drawn V{supply} -1\nCdrawn drawn 0 1\n.ic v(drawn)=0"),
        );
        for (id, sensor) in &parts.breakers {
            let kind = &self.vehicle.component(*id).kind;
            if let Kind::Breaker(data) | Kind::FusibleLink(data) | Kind::Fuse(data) = kind {
                breaker(&mut deck, id.index(), *sensor, kind, data);
            }
        }
        if !parts.relays.is_empty() {
            line(&mut deck, format_args!("Vgoes goes 0 PWL(0 0 1e-6 1)"));
        }
        for (id, sensor) in &parts.relays {
            if let Kind::Relay(data) = &self.vehicle.component(*id).kind {
                relay(&mut deck, id.index(), *sensor, data);
            }
        }
        self.mechanics(&mut deck, &mechanics, parked);
        self.commands(&mut deck, &parts, file);
        Some(deck)
    }

    fn mechanics(&self, deck: &mut String, mechanics: &Mechanics, parked: f64) {
        let friction = mechanics.friction(deck);
        mechanics.viscous(deck);
        // Where it starts hangs on how it was built, and not on an eccentric that is stuck.
        mechanics.angles(deck, parked);
        let stick = STICKING * STICKING;
        line(
            deck,
            format_args!(
                "Cspeed speed 0 {:e}\n.ic v(speed)=0\n\
                 Bfriction speed 0 I={friction}*v(speed)/sqrt(v(speed)^2+{stick:e})\n\
                 Bcam cam 0 V={SWITCH_GAIN:e}*{}",
                mechanics.inertia,
                mechanics.cam(),
            ),
        );
    }

    fn commands(&self, deck: &mut String, parts: &Parts, file: &str) {
        let seconds = self.row_s * f64::from(self.rows);
        // What melts does not click.
        let clicking = parts
            .breakers
            .iter()
            .filter(|(id, _)| matches!(self.vehicle.component(*id).kind, Kind::Breaker(_)));
        let clicking: Vec<String> = clicking
            .map(|(id, _)| format!("tripped{}", id.index()))
            .collect();
        let followed = "v(speed) v(crank) v(drawn)";
        line(
            deck,
            format_args!(
                ".options method=gear reltol={TOLERANCE:e} abstol=1e-9 vntol=1e-7 chgtol=1e-7 trtol=1\n\
                 .control\nset numdgt=12\nset wr_singlescale\nsave {followed} {}\n\
                 stop after {STEPS_MAX}\ntran {:e} {seconds:e} 0 {:e}\n\
                 let reached=time[length(time)-1]\nprint reached",
                clicking.join(" "),
                self.row_s,
                self.step_s
            ),
        );
        for node in clicking {
            for click in 1..=CLICKS_MAX {
                line(
                    deck,
                    format_args!("meas tran {node}click{click} when v({node})=0.5 cross={click}"),
                );
            }
        }
        line(
            deck,
            format_args!("linearize {followed}\nwrdata {file} {followed}\n.endc\n.end"),
        );
    }

    fn branch(
        &self,
        deck: &mut String,
        number: usize,
        id: ComponentId,
        path: &Path,
        mechanics: &Mechanics,
        parts: &mut Parts,
    ) {
        let component = self.vehicle.component(id);
        let (p, n) = (path.p.index(), path.n.index());
        let trips = path.gate == Gate::Untripped;
        let coil = matches!(component.kind, Kind::Relay(_))
            && path.gate == Gate::Always
            && path.name.as_str() == "coil";
        let mut from = p.to_string();
        let winding = mechanics.winding_of(component, path).is_some();
        if trips || coil || winding || path.emf != Emf::None {
            let volts = match path.emf {
                Emf::Constant(emf) => emf.volts(),
                Emf::None | Emf::PerSpeed(_) => 0.0,
            };
            line(deck, format_args!("V{number} {from} x{number} {volts:e}"));
            from = format!("x{number}");
        }
        if let Emf::PerSpeed(constant) = path.emf {
            let k = constant.volt_seconds();
            let [seen, wind] = mechanics.turned_by();
            line(
                deck,
                format_args!(
                    "E{number} {from} y{number} {seen} 0 {k:e}\nF{number} 0 {wind} V{number} {k:e}"
                ),
            );
            from = format!("y{number}");
            if self.inductance > 0.0 {
                let henries = 2.0 * self.inductance * k / largest_constant(self.vehicle);
                line(deck, format_args!("L{number} {from} z{number} {henries:e}"));
                from = format!("z{number}");
            }
        }
        if trips {
            parts.breakers.push((id, number));
        }
        if coil {
            parts.relays.push((id, number));
        }
        if matches!(component.kind, Kind::Battery(_)) {
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
            Gate::Relay { pulled } if matches!(self.vehicle.component(id).kind, Kind::Relay(_)) => {
                let pulled_by = format!("pulled{}", id.index());
                Mover::Moves {
                    control: if *pulled {
                        format!("{pulled_by} 0")
                    } else {
                        format!("0 {pulled_by}")
                    },
                    model: "vt=0 vh=0.1".to_owned(),
                }
            }
            // Nothing calls an interval unit in these runs, and a diode across a coil blocks.
            Gate::Relay { .. } | Gate::Forward => Mover::Stands(false),
            Gate::Cam { inside } => Mover::Moves {
                control: (if *inside { "cam 0" } else { "0 cam" }).to_owned(),
                model: between,
            },
            Gate::ShaftOutside(arc) => {
                let half = 0.5 * arc.width().radians();
                let middle = arc.from.radians() + half;
                line(
                    deck,
                    format_args!(
                        "Boff{number} off{number} 0 V={SWITCH_GAIN:e}*(cos({half:e})-cos(v(shaft)-{middle:e}))"
                    ),
                );
                Mover::Moves {
                    control: format!("off{number} 0"),
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
const CLICKS_MAX: u32 = 8;

/// The heat of a breaker, that times [`HEAT_GAIN`] for its contact, and a node `tripped` that is at 1 V while it is open.
fn breaker(deck: &mut String, index: usize, sensor: usize, kind: &Kind, data: &TripData) {
    let ultimate = data.ultimate.amperes();
    line(
        deck,
        format_args!(
            "Bwarms{index} 0 heat{index} I=(i(V{sensor})/{ultimate:e})^2\n\
             Rheat{index} heat{index} 0 1\n\
             Cheat{index} heat{index} 0 {:e}\n.ic v(heat{index})=0\n\
             Ehot{index} behind{index} 0 heat{index} 0 {HEAT_GAIN:e}\n\
             Rhot{index} behind{index} hot{index} 1\n\
             Chot{index} hot{index} 0 {HEAT_LAG_S:e}\n.ic v(hot{index})=0\n\
             Vone{index} one{index} 0 1\nRone{index} one{index} tripped{index} 1000\n\
             Stripped{index} tripped{index} 0 0 hot{index} mtripped{index} ON\n\
             .model mtripped{index} sw({} ron=0.001 roff={RUN_OPEN_OHM:e})",
            data.time_constant.seconds(),
            trip_model(kind),
        ),
    );
}

/// The armature of a relay: armed while its coil carries enough, and that, as 1 or -1 V, after its operate time, by a
/// line of that delay between its own resistances. Nothing is armed at the very start, as the engine's is not.
fn relay(deck: &mut String, index: usize, sensor: usize, data: &RelayData) {
    let (pull_in, drop_out) = (data.pull_in.amperes(), data.drop_out.amperes());
    line(
        deck,
        format_args!(
            "Bcoil{index} coil{index} 0 V=abs(i(V{sensor}))*v(goes)*1000\n\
             Vlow{index} low{index} 0 -1\nRlow{index} low{index} armed{index} 1000\n\
             Vup{index} up{index} 0 1\n\
             Sarmed{index} up{index} armed{index} coil{index} 0 marmed{index} OFF\n\
             .model marmed{index} sw(vt={:e} vh={:e} ron=0.001 roff=1e9)\n\
             Esent{index} sent{index} 0 armed{index} 0 2\nRsent{index} sent{index} line{index} 1000\n\
             Tarm{index} line{index} 0 pulled{index} 0 z0=1000 td={:e}\n\
             Rpulled{index} pulled{index} 0 1000",
            500.0 * (pull_in + drop_out),
            500.0 * (pull_in - drop_out),
            data.operate.seconds(),
        ),
    );
}

/// What of a run's deck is referred to elsewhere in it, by numbers of paths.
#[derive(Debug, Default)]
struct Parts {
    supply: Option<usize>,
    breakers: Vec<(ComponentId, usize)>,
    relays: Vec<(ComponentId, usize)>,
    windings: Vec<(usize, Winding)>,
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
        Kind::Breaker(data) | Kind::FusibleLink(data) | Kind::Fuse(data) => data.reclose,
        _ => None,
    };
    let closes = reclose.unwrap_or(-1.0);
    let (middle, half) = (-0.5 * (1.0 + closes), 0.5 * (1.0 - closes));
    format!("vt={:e} vh={:e}", HEAT_GAIN * middle, HEAT_GAIN * half)
}

/// EMF constant of the largest arc, volt seconds.
fn largest_constant(vehicle: &Vehicle) -> f64 {
    let constants = paths(vehicle).filter_map(|(_, _, path)| match path.emf {
        Emf::PerSpeed(constant) => Some(constant.volt_seconds()),
        _ => None,
    });
    constants.fold(0.0, f64::max)
}
