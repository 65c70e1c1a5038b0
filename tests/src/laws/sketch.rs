//! Random networks: connected, with conductances over as many powers of ten as are asked for.

use groundside_engine::network::{Network, NodeId};
use groundside_engine::quantity::{Conductance, Voltage};
use proptest::prelude::*;

use super::ROUNDING;
use crate::naive::gauss::Number;

/// A branch: its nodes, siemens, volts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Branch {
    pub(super) p: usize,
    pub(super) n: usize,
    pub(super) siemens: f64,
    pub(super) volts: f64,
}

/// A connected network of nodes 0 (the reference) to `nodes - 1`.
#[derive(Clone, Debug)]
pub(super) struct Sketch {
    pub(super) nodes: usize,
    pub(super) branches: Vec<Branch>,
}

impl Sketch {
    pub(super) fn network(&self) -> (Network, Vec<NodeId>) {
        let mut network = Network::new();
        let mut ids = vec![NodeId::REFERENCE];
        ids.extend((1..self.nodes).map(|_| network.add_node()));
        for branch in &self.branches {
            network.add_branch(
                ids[branch.p],
                ids[branch.n],
                Conductance::from_siemens(branch.siemens),
                Voltage::from_volts(branch.volts),
            );
        }
        (network, ids)
    }

    pub(super) fn solve(&self) -> Vec<f64> {
        let (network, ids) = self.network();
        let potentials = network.solve().unwrap();
        ids.iter().map(|id| potentials[id.index()]).collect()
    }

    /// Potentials when one ampere goes in at `node`.
    pub(super) fn with_unit_current(&self, node: usize) -> Vec<f64> {
        let (network, ids) = self.network();
        let mut injected = vec![0.0; network.node_count()];
        injected[ids[node].index()] = 1.0;
        let potentials = network.eliminate().unwrap().potentials(injected);
        ids.iter().map(|id| potentials[id.index()]).collect()
    }

    /// The same with each branch changed; its position is handed over too.
    pub(super) fn with(&self, change: impl Fn(usize, Branch) -> Branch) -> Self {
        let branches = self.branches.iter().enumerate();
        Self {
            nodes: self.nodes,
            branches: branches.map(|(k, &branch)| change(k, branch)).collect(),
        }
    }

    pub(super) fn with_volts(&self, volts: impl Fn(usize, f64) -> f64) -> Self {
        self.with(|k, branch| Branch {
            volts: volts(k, branch.volts),
            ..branch
        })
    }

    /// The largest potential that its EMFs could sum to.
    pub(super) fn reach(&self) -> f64 {
        self.branches.iter().map(|branch| branch.volts.abs()).sum()
    }

    /// The current that all EMFs together could drive with their ends joined, which is what is injected for them.
    pub(super) fn injected(&self) -> f64 {
        self.branches
            .iter()
            .map(|branch| branch.siemens * branch.volts.abs())
            .sum()
    }

    /// How far rounding can put a potential off: some errors of the EMFs themselves, and, as an EMF is solved for as
    /// a current in at one end and out at the other, one of these currents through the largest resistance
    /// to the reference. The second is nothing for an EMF on the reference, such as a battery; for one between two
    /// nodes that hang on insulation alone it is the digit where exactness ends.
    pub(super) fn slack(&self) -> f64 {
        let largest = (1..self.nodes)
            .map(|node| self.with_unit_current(node)[node])
            .fold(0.0, f64::max);
        ROUNDING * self.reach() + 4.0 * f64::EPSILON * self.injected() * largest
    }

    /// Conductance matrix and injected currents without the reference, row by row.
    pub(super) fn matrix<T: Number>(&self) -> Vec<Vec<T>> {
        let size = self.nodes - 1;
        let mut rows = vec![vec![T::from(0.0); size + 1]; size];
        for branch in &self.branches {
            let siemens = T::from(branch.siemens);
            let amperes = siemens.times(T::from(branch.volts));
            for (here, there, sign) in [(branch.p, branch.n, 1.0), (branch.n, branch.p, -1.0)] {
                if here == 0 {
                    continue;
                }
                let row = &mut rows[here - 1];
                row[here - 1] = row[here - 1].plus(siemens);
                if there != 0 {
                    row[there - 1] = row[there - 1].minus(siemens);
                }
                row[size] = row[size].plus(amperes.times(T::from(sign)));
            }
        }
        rows
    }
}

/// Every node hangs on an earlier one, so there is a path to the reference; more branches go anywhere.
/// Conductances lie between two powers of ten, even in their logarithm.
pub(super) fn sketches(least: f64, most: f64) -> impl Strategy<Value = Sketch> {
    let numbers = (
        least..most,
        prop_oneof![2 => Just(0.0), 1 => -24.0..24.0_f64],
    );
    (3..=12_usize).prop_flat_map(move |nodes| {
        let hanging =
            prop::collection::vec((any::<prop::sample::Index>(), numbers.clone()), nodes - 1);
        let anywhere = prop::collection::vec((0..nodes, 1..nodes, numbers.clone()), 1..2 * nodes);
        (hanging, anywhere).prop_map(move |(hanging, anywhere)| {
            let hanging = hanging
                .into_iter()
                .enumerate()
                .map(|(before, (on, numbers))| (before + 1, on.index(before + 1), numbers));
            // From a node to another one: a step of 1 to nodes - 1 round the circle.
            let anywhere = anywhere
                .into_iter()
                .map(|(p, step, numbers)| (p, (p + step) % nodes, numbers));
            let branch = |(p, n, (power, volts)): (usize, usize, (f64, f64))| Branch {
                p,
                n,
                siemens: 10.0_f64.powf(power),
                volts,
            };
            Sketch {
                nodes,
                branches: hanging.chain(anywhere).map(branch).collect(),
            }
        })
    })
}

/// Sixteen powers of ten: from 1 Tohm of insulation to a joint of 0.1 mohm.
pub(super) fn wide() -> impl Strategy<Value = Sketch> {
    sketches(-12.0, 4.0)
}
