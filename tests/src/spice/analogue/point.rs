//! The deck of an operating point: held still, or turning at a speed that the simulator finds.

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Emf, Gate, Instrument, Loose, Node, Path, Vehicle};

use super::{Mechanics, line, paths};

/// Resistance of a contact that is open at an operating point, ohms: the vehicle's own insulation.
const INSULATION_OHM: f64 = 1e12;
/// Resistance from which on a branch of an operating point is a plain resistor; below, it is a source whose
/// current is an unknown of its own, so that milliohms do not swamp insulation (see `netlist`).
const SERIES_OHM_MAX: f64 = 1e6;
/// How an operating point is solved, as strictly as can be (see `netlist`), and printed.
const POINT_COMMANDS: &str = "\
.options pivrel=0.9 pivtol=1e-30 gmin=1e-30 reltol=1e-9 vntol=1e-12 abstol=1e-15
.control
set numdgt=15
set width=80
op
print all
.endc
.end
";

/// Which of a vehicle's paths conduct, at an operating point.
#[derive(Clone, Debug)]
pub struct Standing<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// Position of each component's control.
    pub positions: Vec<usize>,
    /// Components that stand open: unplugged, off, tripped or melted.
    pub open: Vec<ComponentId>,
    /// Whether each relay is pulled, each interval unit's output on, each diode conducting: as the engine says.
    pub pulled: Vec<bool>,
    /// Components whose loose paths have given way.
    pub parted: Vec<ComponentId>,
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
    /// Turning one way, that of this speed in rad/s, so that friction opposes that way. With a wound field, the speed
    /// is sought from there.
    From(f64),
}

impl Standing<'_> {
    /// The deck of an operating point. Nodes of the circuit keep their numbers.
    ///
    /// `None` for a vehicle without a motor and what it moves.
    #[must_use]
    pub fn deck(&self, turn: Turn) -> Option<String> {
        let forward = matches!(turn, Turn::From(speed) if speed > 0.0);
        let mechanics = Mechanics::of(self.vehicle, self.glass)?.standing(self.crank, forward);
        let mut deck = format!("* {}\n", self.vehicle.id);
        let mut windings = Vec::new();
        for (number, id, path) in paths(self.vehicle) {
            let gave_way = path.loose.filter(|_| self.parted.contains(&id));
            let opened = matches!(gave_way, Some(Loose::Shaken { .. } | Loose::Warm { .. }));
            let conducts = !opened && self.conducts(id, path, &mechanics);
            let ohms = if conducts {
                path.resistance.ohms()
            } else {
                INSULATION_OHM
            };
            let winding = mechanics.winding_of(self.vehicle.component(id), path);
            if let Some(winding) = winding {
                windings.push((number, winding));
            }
            exact_branch(
                &mut deck,
                &number.to_string(),
                (path.p, path.n),
                winding.is_some(),
                // A diode that blocks has no drop.
                if conducts || path.gate != Gate::Forward {
                    path.emf
                } else {
                    Emf::None
                },
                ohms,
                mechanics.turned_by(),
            );
            let wet = match gave_way {
                Some(Loose::Wet { leak }) => Some(leak),
                _ => None,
            };
            if let Some(leak) = path.to_body.or(wet) {
                let body = self.vehicle.body;
                let name = format!("{number}leak");
                let ends = (path.n, body);
                exact_branch(
                    &mut deck,
                    &name,
                    ends,
                    false,
                    Emf::None,
                    leak.ohms(),
                    ["speed"; 2],
                );
            }
        }
        for (number, meter) in self.instruments.iter().enumerate() {
            let name = format!("meter{number}");
            let emf = Emf::Constant(meter.emf);
            let ends = (meter.red, meter.black);
            let ohms = meter.resistance.ohms();
            exact_branch(&mut deck, &name, ends, false, emf, ohms, ["speed"; 2]);
        }
        mechanics.settled_flux(&mut deck, &windings);
        line(&mut deck, format_args!("Vcrank crank 0 {:e}", self.crank));
        let friction = mechanics.friction(&mut deck);
        match turn {
            Turn::Held => line(
                &mut deck,
                format_args!("Vhold speed 0 0\nBfriction breakaway 0 V={friction}"),
            ),
            Turn::From(speed) => {
                mechanics.viscous(&mut deck);
                mechanics.sought_from(&mut deck, speed);
                line(
                    &mut deck,
                    format_args!("Bfriction speed 0 I=({})*{friction}", speed.signum()),
                );
            }
        }
        deck.push_str(POINT_COMMANDS);
        Some(deck)
    }

    fn conducts(&self, id: ComponentId, path: &Path, mechanics: &Mechanics) -> bool {
        match &path.gate {
            Gate::Always => true,
            Gate::Position(closed) => closed.contains(&self.positions[id.index()]),
            Gate::Untripped | Gate::Mated => !self.open.contains(&id),
            Gate::Relay { pulled } => *pulled == self.pulled[id.index()],
            Gate::Forward => self.pulled[id.index()],
            Gate::Cam { inside } => *inside == mechanics.works_inside(self.crank),
            Gate::ShaftOutside(arc) => {
                let (from, to) = (arc.from.radians(), arc.to.radians());
                let before = self.shaft < from;
                let after = self.shaft >= to;
                // Where the arc passes through zero, what is open is from its beginning on and up to its end.
                if from <= to {
                    before || after
                } else {
                    before && after
                }
            }
        }
    }
}

/// A branch whose potentials are exact beside insulation: its current is an unknown, and can be asked for where it
/// is `measured`.
fn exact_branch(
    deck: &mut String,
    name: &str,
    (p, n): (Node, Node),
    measured: bool,
    emf: Emf,
    ohms: f64,
    [seen, wind]: [&str; 2],
) {
    let (p, n) = (p.index(), n.index());
    let inner = match emf {
        Emf::None => format!("V{name} {p} x{name} 0"),
        Emf::Constant(emf) => format!("V{name} {p} x{name} {:e}", emf.volts()),
        Emf::PerSpeed(constant) => {
            let k = constant.volt_seconds();
            format!(
                "V{name} {p} y{name} 0\nE{name} y{name} x{name} {seen} 0 {k:e}\nF{name} 0 {wind} V{name} {k:e}"
            )
        }
    };
    let plain = ohms >= SERIES_OHM_MAX;
    match (plain, emf) {
        (true, Emf::None) if !measured => line(deck, format_args!("R{name} {p} {n} {ohms:e}")),
        (true, _) => line(deck, format_args!("{inner}\nR{name} x{name} {n} {ohms:e}")),
        (false, _) => line(
            deck,
            format_args!("{inner}\nH{name} x{name} {n} V{name} {ohms:e}"),
        ),
    }
}
