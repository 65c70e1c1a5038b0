//! One and the same run on the engine and on the naive vehicle.

use std::sync::Arc;

use groundside_engine::quantity::{Angle, Interval, Voltage};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Gate, Instrument, Kind, Node, Vehicle};
use groundside_engine::world::{Followed, Trial, VOLTMETER};

use super::friction;
use super::machine::{Naive, STEP_S};
use super::trace::{DRIFT, LIFTING_DRIFT, Row, Trace, WOUND_DRIFT};
use crate::has_wound_field;
use crate::ledger::Ledger;

/// Torque that a hand adds to an arm, newton metres: what the hand in the engine is said to be.
pub(super) const HAND_NM: f64 = 6.0;

/// How much further the shaft may have stood, radians: a tenth of a degree of the crank. It matters to brushes that
/// lift, and where a motor that stops on its dead spot starts again is a hair.
const NUDGE: f64 = 0.1;

/// Something done to a vehicle in no time, or time that passes.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Deed {
    /// A control is put in a position.
    Set(ComponentId, usize),
    /// Crank nut or link is undone.
    Undo(ComponentId),
    /// A connector is taken apart (`true`) or joined.
    Unplug(ComponentId, bool),
    /// A voltmeter is put on, or taken off.
    Meter(Option<(Node, Node)>),
    /// An arm is helped along, or let go.
    Assist(Option<ComponentId>),
    /// The shaft is turned by itself to an angle, radians.
    TurnShaft(f64),
    /// Wheel and crank are turned to an angle, radians.
    TurnCrank(f64),
    /// So many rows of so many seconds pass.
    Wait { rows: u32, row_s: f64 },
}

/// A run: a vehicle, the glass, and what is done.
#[derive(Clone, Debug)]
pub(super) struct Run {
    pub(super) what: String,
    pub(super) vehicle: Arc<Vehicle>,
    pub(super) glass: Glass,
    pub(super) deeds: Vec<Deed>,
    /// What is followed: the currents first.
    pub(super) follow: Vec<Followed>,
}

/// What came of holding a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Held {
    /// It agrees, or the ledger says where it does not.
    Yes,
    /// The naive run does not settle with shorter steps: a hair decides, and it was left out.
    Unsettled,
}

/// A voltmeter between two nodes; nothing when both leads are on one.
pub(super) fn voltmeter((red, black): (Node, Node)) -> Option<Instrument> {
    (red != black).then_some(Instrument {
        red,
        black,
        resistance: VOLTMETER,
        emf: Voltage::ZERO,
    })
}

/// How much hotter than the air copper and iron of the motor are.
fn rises(trial: &Trial, vehicle: &Vehicle) -> [f64; 2] {
    let motor = |id: &ComponentId| matches!(vehicle.component(*id).kind, Kind::Motor(_));
    let found = vehicle.ids().find(motor);
    let air = vehicle.ambient.degrees_celsius();
    let at = found.and_then(|motor| trial.winding_temperature(motor));
    at.map_or([0.0; 2], |(copper, iron)| [copper - air, iron - air])
}

impl Run {
    fn currents(&self) -> usize {
        let is_current = |followed: &&Followed| matches!(followed, Followed::Current(..));
        self.follow.iter().filter(is_current).count()
    }

    fn drift(&self) -> f64 {
        let mut paths = self.vehicle.components.iter().flat_map(|part| &part.paths);
        let lifts = paths.any(|path| matches!(path.gate, Gate::ShaftOutside(_)));
        match () {
            () if lifts => LIFTING_DRIFT,
            () if has_wound_field(&self.vehicle) => WOUND_DRIFT,
            () => DRIFT,
        }
    }

    /// The run on the engine.
    pub(super) fn on_engine(&self) -> Trace {
        let mut trial = Trial::new(&self.vehicle, self.glass).unwrap();
        let mut trace = Trace {
            rows: Vec::new(),
            currents: self.currents(),
            drift: self.drift(),
        };
        let (mut time, mut turned) = (0.0, 0.0);
        for deed in &self.deeds {
            match deed {
                Deed::Set(control, position) => trial.set(*control, *position),
                Deed::Undo(part) => trial.undo(*part),
                Deed::Unplug(connector, off) => trial.unplug(*connector, *off),
                Deed::Meter(leads) => {
                    trial.connect(leads.and_then(voltmeter).into_iter().collect());
                }
                Deed::Assist(arm) => trial.assist(*arm),
                Deed::TurnShaft(angle) => trial.set_shaft(Angle::from_radians(*angle)),
                Deed::TurnCrank(angle) => trial.set_crank(Angle::from_radians(*angle)),
                Deed::Wait { rows, row_s } => {
                    for _ in 0..*rows {
                        let inside = trial.cam_inside();
                        let span = Interval::from_seconds(*row_s);
                        let stretch = trial.run(span, &self.follow).unwrap();
                        time += row_s;
                        turned += 360.0 * stretch.crank_turns;
                        trace.rows.push(Row {
                            time,
                            speed: trial.shaft_speed().radians_per_second(),
                            turned,
                            out: trial.eccentric_out().degrees(),
                            rises: rises(&trial, &self.vehicle),
                            means: stretch.followed.iter().map(|seen| seen.mean).collect(),
                            edge: trial.cam_inside() != inside || stretch.clicks > 0,
                            clicks: stretch.clicks,
                        });
                    }
                }
            }
        }
        trace
    }

    /// The run on the naive vehicle, in steps of so many seconds, the shaft turned so much further at every start.
    pub(super) fn on_naive(&self, step: f64, nudge: f64) -> Trace {
        let mut naive = Naive::new(&self.vehicle, friction(&self.vehicle, self.glass)).unwrap();
        naive.step = step;
        let mut trace = Trace {
            rows: Vec::new(),
            currents: self.currents(),
            drift: self.drift(),
        };
        let mut time = 0.0;
        naive.set_shaft(nudge);
        for deed in &self.deeds {
            match deed {
                Deed::TurnShaft(angle) => naive.set_shaft(angle + nudge),
                Deed::Wait { rows, row_s } => {
                    for _ in 0..*rows {
                        let (edges, clicks) = (naive.edges, naive.clicks);
                        let seen = naive.run(*row_s, &self.follow);
                        time += row_s;
                        trace.rows.push(Row {
                            time,
                            speed: naive.speed,
                            turned: naive.turned.to_degrees(),
                            out: naive.pin.out.to_degrees(),
                            rises: naive.rises(),
                            means: seen.iter().map(|seen| seen.mean).collect(),
                            edge: naive.edges != edges,
                            clicks: naive.clicks - clicks,
                        });
                    }
                }
                other => do_to(&mut naive, &self.vehicle, other),
            }
        }
        trace
    }

    /// Holds the engine against the naive vehicle: in steps of a tenth of a millisecond, or, where it does not
    /// agree with these, in steps a fifteenth as long, if these agree with ones a fifth as long and a shaft that
    /// stood a little elsewhere at first.
    pub(super) fn hold(&self, ledger: &mut Ledger) -> Held {
        let engine = self.on_engine();
        let against = |naive: &Trace, trace: &Trace| {
            let mut own = Ledger::of(ledger.scope());
            trace.hold(&self.what, naive, &mut own);
            own
        };
        let at_first = against(&self.on_naive(STEP_S, 0.0), &engine);
        if at_first.broken() == 0 {
            ledger.add(at_first);
            return Held::Yes;
        }
        let short = self.on_naive(STEP_S / 5.0, NUDGE);
        let shorter = self.on_naive(STEP_S / 15.0, 0.0);
        if against(&short, &shorter).broken() > 0 {
            return Held::Unsettled;
        }
        ledger.add(against(&shorter, &engine));
        Held::Yes
    }
}

/// Does to the naive vehicle what takes no time.
pub(super) fn do_to(naive: &mut Naive, vehicle: &Vehicle, deed: &Deed) {
    match deed {
        Deed::Set(control, position) => naive.set(control.index(), *position),
        Deed::Undo(part) => naive.undo(&vehicle.component(*part).kind),
        Deed::Unplug(connector, off) => naive.unplug(connector.index(), *off),
        Deed::Meter(leads) => {
            let meter = leads.and_then(voltmeter);
            naive.connect(meter.as_slice());
        }
        Deed::Assist(arm) => naive.handled.assist = arm.map(|arm| (arm, HAND_NM)),
        Deed::TurnShaft(angle) => naive.set_shaft(*angle),
        Deed::TurnCrank(angle) => naive.set_crank(*angle),
        Deed::Wait { rows, row_s } => {
            naive.run(f64::from(*rows) * row_s, &[]);
        }
    }
}
