//! The circuit of a vehicle, by its gates and by dense elimination.

use std::f64::consts::TAU;

use groundside_engine::vehicle::{Emf, Gate, Instrument, Kind, Path, Vehicle};

use super::gauss::{Double, Number as _, gauss};
use super::slow::Slow;

/// Resistance of an open contact, ohm: what the vehicle format says an open is.
const OPEN_OHM: f64 = 1e12;

/// What drives current along a branch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Source {
    /// Nothing.
    None,
    /// Volts.
    Constant(f64),
    /// Volts for each rad/s of the shaft.
    PerSpeed(f64),
}

impl Source {
    pub(super) fn at(self, speed: f64) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Constant(volts) => volts,
            Self::PerSpeed(constant) => constant * speed,
        }
    }
}

/// A branch: nodes by index, what it resists with when it conducts, and when it does.
#[derive(Clone, Debug)]
pub(super) struct Branch {
    pub(super) component: usize,
    pub(super) path: usize,
    pub(super) p: usize,
    pub(super) n: usize,
    ohms: f64,
    /// What it resists with when cold, if it is copper of a winding.
    winding: Option<f64>,
    /// Volts of a rested battery, if it is one.
    rested: Option<f64>,
    pub(super) source: Source,
    gate: Gate,
}

/// How contacts stand; lists by component.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stand {
    pub(super) positions: Vec<usize>,
    pub(super) unplugged: Vec<bool>,
    pub(super) tripped: Vec<bool>,
    /// Armatures that are pulled, units whose output is on, diodes that conduct.
    pub(super) pulled: Vec<bool>,
    pub(super) cam_inside: bool,
    /// Angle of the shaft within its turn, radians.
    pub(super) shaft: f64,
}

impl Branch {
    /// Whether the shaft's angle matters to it.
    pub(super) fn lifts(&self) -> bool {
        matches!(self.gate, Gate::ShaftOutside(_))
    }

    /// Whether it is a diode, which has no drop while it blocks.
    pub(super) fn is_diode(&self) -> bool {
        self.gate == Gate::Forward
    }

    pub(super) fn conducts(&self, stand: &Stand) -> bool {
        match &self.gate {
            Gate::Always => true,
            Gate::Position(closed) => {
                let position = stand.positions[self.component];
                closed.contains(&position)
            }
            Gate::Untripped => !stand.tripped[self.component],
            Gate::Mated => !stand.unplugged[self.component],
            Gate::Relay { pulled } => stand.pulled[self.component] == *pulled,
            Gate::Forward => stand.pulled[self.component],
            Gate::Cam { inside: true } => stand.cam_inside,
            Gate::Cam { inside: false } => !stand.cam_inside,
            // How far the shaft has turned past where the open arc begins, beside how long that is.
            Gate::ShaftOutside(arc) => {
                let past = (stand.shaft - arc.from.radians()).rem_euclid(TAU);
                past >= (arc.to.radians() - arc.from.radians()).rem_euclid(TAU)
            }
        }
    }
}

/// Whether a path is wound copper: what turns in a field, and the windings of one.
fn is_winding(path: &Path) -> bool {
    let field = ["series-field", "shunt-field"].contains(&path.name.as_str());
    field || matches!(path.emf, Emf::PerSpeed(_))
}

/// All branches of a vehicle.
#[derive(Clone, Debug)]
pub(super) struct Wiring {
    pub(super) branches: Vec<Branch>,
    pub(super) nodes: usize,
}

/// The circuit solved for one way the contacts stand.
#[derive(Clone, Debug)]
pub(super) struct Solved {
    /// Ohms of each branch as it stands.
    ohms: Vec<f64>,
    /// Potentials of all nodes at rest, and what each rad/s of the shaft adds.
    at_rest: Vec<f64>,
    per_speed: Vec<f64>,
}

impl Wiring {
    /// The branches of a vehicle with meters on it.
    pub(super) fn of(vehicle: &Vehicle, meters: &[Instrument]) -> Self {
        let mut branches = Vec::new();
        for (component, part) in vehicle.components.iter().enumerate() {
            for (path, piece) in part.paths.iter().enumerate() {
                let own = Branch {
                    component,
                    path,
                    p: piece.p.index(),
                    n: piece.n.index(),
                    ohms: piece.resistance.ohms(),
                    winding: is_winding(piece).then(|| piece.resistance.ohms()),
                    rested: match (&part.kind, piece.emf) {
                        (Kind::Battery(_), Emf::Constant(volts)) => Some(volts.volts()),
                        _ => None,
                    },
                    source: match piece.emf {
                        Emf::None => Source::None,
                        Emf::Constant(volts) => Source::Constant(volts.volts()),
                        Emf::PerSpeed(constant) => Source::PerSpeed(constant.volt_seconds()),
                    },
                    gate: piece.gate.clone(),
                };
                let leak = piece.to_body.map(|ohms| Branch {
                    path: usize::MAX,
                    p: piece.n.index(),
                    n: vehicle.body.index(),
                    ohms: ohms.ohms(),
                    winding: None,
                    rested: None,
                    source: Source::None,
                    gate: Gate::Always,
                    ..own.clone()
                });
                branches.push(own);
                branches.extend(leak);
            }
        }
        branches.extend(meters.iter().map(|meter| Branch {
            component: usize::MAX,
            path: usize::MAX,
            p: meter.red.index(),
            n: meter.black.index(),
            ohms: meter.resistance.ohms(),
            winding: None,
            rested: None,
            source: Source::Constant(meter.emf.volts()),
            gate: Gate::Always,
        }));
        Self {
            branches,
            nodes: vehicle.node_names.len(),
        }
    }

    /// Takes on what drifts as the circuit is to have it.
    pub(super) fn take_on(&mut self, slow: &Slow) {
        for branch in &mut self.branches {
            if let Some(cold) = branch.winding {
                branch.ohms = cold * slow.copper_factor();
            }
            let plates = slow
                .plates
                .iter()
                .find(|on| on.component == branch.component);
            if let (Some(rested), Some(plates)) = (branch.rested, plates) {
                branch.source = Source::Constant(rested + plates.treads.at);
            }
        }
    }

    /// The branch that is a path of a component.
    pub(super) fn branch(&self, component: usize, path: usize) -> usize {
        let found = self
            .branches
            .iter()
            .position(|branch| branch.component == component && branch.path == path);
        found.unwrap()
    }

    /// Solves for one volt of each EMF by itself.
    pub(super) fn solve(&self, closed: &[bool]) -> Solved {
        let ohms: Vec<f64> = self
            .branches
            .iter()
            .zip(closed)
            .map(|(branch, &closed)| if closed { branch.ohms } else { OPEN_OHM })
            .collect();
        let sources: Vec<usize> = (0..self.branches.len())
            .filter(|&place| self.branches[place].source != Source::None)
            .filter(|&place| closed[place] || !self.branches[place].is_diode())
            .collect();
        let sides: Vec<Vec<(usize, f64)>> = sources.iter().map(|&k| vec![(k, 1.0)]).collect();
        let nodes = self.nodes;
        let (mut at_rest, mut per_speed) = (vec![0.0; nodes], vec![0.0; nodes]);
        for (place, per_volt) in sources.into_iter().zip(self.dense(&ohms, &sides)) {
            let (sum, emf) = match self.branches[place].source {
                Source::None => continue,
                Source::Constant(volts) => (&mut at_rest, volts),
                Source::PerSpeed(constant) => (&mut per_speed, constant),
            };
            for (sum, volts) in sum.iter_mut().zip(per_volt) {
                *sum += emf * volts;
            }
        }
        Solved {
            ohms,
            at_rest,
            per_speed,
        }
    }

    /// The potentials at a shaft speed, solved for as a whole.
    pub(super) fn solve_at(&self, solved: &Solved, speed: f64) -> Vec<f64> {
        let driven = self.branches.iter().enumerate();
        let drives =
            |&(k, branch): &(usize, &Branch)| !branch.is_diode() || solved.ohms[k] < OPEN_OHM;
        let driven = driven.filter(drives);
        let side = driven.map(|(k, branch)| (k, branch.source.at(speed)));
        self.dense(&solved.ohms, &[side.collect()]).swap_remove(0)
    }

    /// Potentials of all nodes for each list of EMFs, given by branch in volts.
    fn dense(&self, ohms: &[f64], sides: &[Vec<(usize, f64)>]) -> Vec<Vec<f64>> {
        let size = self.nodes - 1;
        let zero = Double::from(0.0);
        let mut rows = vec![vec![zero; size + sides.len()]; size];
        let siemens: Vec<Double> = ohms
            .iter()
            .map(|&ohms| Double::from(1.0).over(Double::from(ohms)))
            .collect();
        for (branch, &siemens) in self.branches.iter().zip(&siemens) {
            for (here, there) in [(branch.p, branch.n), (branch.n, branch.p)] {
                if here == 0 || here == there {
                    continue;
                }
                let row = &mut rows[here - 1];
                row[here - 1] = row[here - 1].plus(siemens);
                if there != 0 {
                    row[there - 1] = row[there - 1].minus(siemens);
                }
            }
        }
        for (column, side) in sides.iter().enumerate() {
            for &(k, volts) in side {
                let branch = &self.branches[k];
                let amperes = siemens[k].times(Double::from(volts));
                if branch.p != 0 {
                    let entry = &mut rows[branch.p - 1][size + column];
                    *entry = entry.plus(amperes);
                }
                if branch.n != 0 {
                    let entry = &mut rows[branch.n - 1][size + column];
                    *entry = entry.minus(amperes);
                }
            }
        }
        let with_reference = |mut potentials: Vec<f64>| {
            potentials.insert(0, 0.0);
            potentials
        };
        gauss(rows).into_iter().map(with_reference).collect()
    }

    /// Current of a branch, into its positive end.
    pub(super) fn current(&self, solved: &Solved, k: usize, volts: &[f64], speed: f64) -> f64 {
        let branch = &self.branches[k];
        (volts[branch.p] - volts[branch.n] - branch.source.at(speed)) / solved.ohms[k]
    }
}

impl Solved {
    /// What a branch resists with as it stands, ohms.
    pub(super) fn ohms(&self, branch: usize) -> f64 {
        self.ohms[branch]
    }

    /// Potentials of all nodes at a shaft speed: those of all EMFs added up.
    pub(super) fn potentials(&self, speed: f64) -> Vec<f64> {
        let both = self.at_rest.iter().zip(&self.per_speed);
        both.map(|(at_rest, per_speed)| at_rest + speed * per_speed)
            .collect()
    }
}
