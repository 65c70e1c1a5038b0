//! A circuit as a textbook draws it, on the engine's network: nodes by letter, resistors, sources, branches that
//! force a current.

use std::collections::BTreeMap;

use groundside_engine::network::{BranchId, Network, NodeId};
use groundside_engine::quantity::{Resistance, Voltage};

/// Resistance of a source that the book takes as ideal, ohms: beside ohms it is below rounding. A current is
/// not read on it, where two nearly equal potentials are subtracted.
const IDEAL_OHM: f64 = 1e-12;
/// Resistance behind a forced current, ohms: what it lets by is below rounding.
const FORCED_OHM: f64 = 1e12;
/// The node that all potentials are told from.
pub(super) const GROUND: &str = "0";

/// A circuit being put together.
#[derive(Debug, Default)]
pub(super) struct Bench {
    network: Network,
    nodes: BTreeMap<&'static str, NodeId>,
    emfs: Vec<f64>,
}

/// Its solution.
#[derive(Debug)]
pub(super) struct Solved {
    bench: Bench,
    potentials: Vec<f64>,
}

impl Bench {
    /// A circuit of resistors: from node, to node, ohms.
    pub(super) fn of(resistors: &[(&'static str, &'static str, f64)]) -> Self {
        let mut bench = Self::default();
        for &(p, n, ohms) in resistors {
            bench.ohms(p, n, ohms);
        }
        bench
    }

    fn node(&mut self, name: &'static str) -> NodeId {
        if name == GROUND {
            return NodeId::REFERENCE;
        }
        let network = &mut self.network;
        *self.nodes.entry(name).or_insert_with(|| network.add_node())
    }

    fn branch(&mut self, p: &'static str, n: &'static str, ohms: f64, volts: f64) -> BranchId {
        let (p, n) = (self.node(p), self.node(n));
        let conductance = Resistance::from_ohms(ohms).to_conductance();
        self.emfs.push(volts);
        self.network
            .add_branch(p, n, conductance, Voltage::from_volts(volts))
    }

    /// Adds a resistor.
    pub(super) fn ohms(&mut self, p: &'static str, n: &'static str, ohms: f64) -> BranchId {
        self.branch(p, n, ohms, 0.0)
    }

    /// Adds a source with a resistance of its own.
    pub(super) fn cell(
        &mut self,
        p: &'static str,
        n: &'static str,
        volts: f64,
        ohms: f64,
    ) -> BranchId {
        self.branch(p, n, ohms, volts)
    }

    /// The same circuit with a source without resistance.
    pub(super) fn with_volts(mut self, p: &'static str, n: &'static str, volts: f64) -> Self {
        self.branch(p, n, IDEAL_OHM, volts);
        self
    }

    /// The same circuit with a current forced from one node into another.
    pub(super) fn with_amps(mut self, from: &'static str, into: &'static str, amps: f64) -> Self {
        self.branch(into, from, FORCED_OHM, amps * FORCED_OHM);
        self
    }

    /// Solves the circuit.
    pub(super) fn solve(self) -> Solved {
        let potentials = self.network.solve().unwrap();
        Solved {
            bench: self,
            potentials,
        }
    }
}

impl Solved {
    /// Voltage of one node over another.
    pub(super) fn volts(&self, p: &str, n: &str) -> f64 {
        let at = |name: &str| match name {
            GROUND => 0.0,
            _ => self.potentials[self.bench.nodes[name].index()],
        };
        at(p) - at(n)
    }

    /// Current into the first node of a branch, amperes; negative for a source that delivers.
    pub(super) fn amps(&self, branch: BranchId) -> f64 {
        let emf = Voltage::from_volts(self.bench.emfs[branch.index()]);
        self.bench
            .network
            .current(branch, &self.potentials, emf)
            .amperes()
    }
}
