//! Quasi-static nodal analysis of a resistive network with EMFs.
//!
//! Models: lumped resistances and Thévenin sources, DC at each instant (no inductance, no capacitance).
//! Knows nodes and branches by number only; no names, no vehicle.
//!
//! Sign convention, for the whole engine: a branch has terminals `p` and `n`; its voltage is the
//! potential of `p` minus that of `n`; its current is positive *into* `p`; its EMF is the voltage it
//! shows on open circuit. So `i = g (v_p - v_n - e)`, and a source that delivers has negative current.
//!
//! Solved by elimination that never subtracts: a node is removed by the star-mesh transformation
//! (`w_ij += w_ik w_jk / S`, with the pivot `S` the sum of what is left; Rosen 1924), which for positive
//! conductances keeps every conductance to full relative precision, from a 0.1 mΩ joint to a 10 GΩ
//! leak. Valid range: conductances positive and finite, sources as injections. Potentials keep full
//! precision for EMFs on the reference; an EMF between two nodes that hang on leaks alone is injected
//! at both with opposite signs and loses digits, at most ε times that current times the largest
//! resistance.
//! [Rosen 1924] [Ho 1975]

mod elimination;

pub use elimination::Elimination;

use crate::quantity::{Conductance, Current, Voltage};

/// A node of a network, given out by [`Network::add_node`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(usize);

impl NodeId {
    /// The node whose potential is zero by definition: the reference.
    pub const REFERENCE: Self = Self(0);

    /// Position in a list of potentials; the reference is 0.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

/// A branch of a network, given out by [`Network::add_branch`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BranchId(usize);

impl BranchId {
    /// Position in a list of currents.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

/// A conductance in series with an EMF, between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Branch {
    /// The positive terminal's node.
    pub p: NodeId,
    /// The negative terminal's node.
    pub n: NodeId,
    /// Conductance, positive and finite.
    pub conductance: Conductance,
    /// EMF: the open-circuit voltage of `p` over `n`.
    pub emf: Voltage,
}

/// Why a network has no solution.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SolveError {
    /// A node without any path to the reference: its potential is not defined.
    #[error("node {} has no path to the reference", .0.index())]
    FloatingNode(NodeId),
    /// A conductance that is zero, negative or not finite, or an EMF that is not finite.
    #[error("branch {} has conductance {conductance} S and EMF {emf} V; the first must be positive and both finite", .branch.index())]
    BadBranch {
        /// Which branch.
        branch: BranchId,
        /// Its conductance in siemens.
        conductance: f64,
        /// Its EMF in volts.
        emf: f64,
    },
    /// No way in which diodes may stand agrees with what it makes them carry.
    #[error("the diodes of the circuit can stand in no way")]
    Undecided,
}

/// Nodes and the branches between them.
#[derive(Clone, Debug)]
pub struct Network {
    nodes: usize,
    branches: Vec<Branch>,
}

impl Default for Network {
    fn default() -> Self {
        Self::new()
    }
}

impl Network {
    /// A network with the reference node alone.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            nodes: 1,
            branches: Vec::new(),
        }
    }

    /// Adds a node.
    pub const fn add_node(&mut self) -> NodeId {
        self.nodes += 1;
        NodeId(self.nodes - 1)
    }

    /// Adds a branch.
    pub fn add_branch(
        &mut self,
        p: NodeId,
        n: NodeId,
        conductance: Conductance,
        emf: Voltage,
    ) -> BranchId {
        self.branches.push(Branch {
            p,
            n,
            conductance,
            emf,
        });
        BranchId(self.branches.len() - 1)
    }

    /// Gives a branch another conductance.
    ///
    /// # Panics
    /// When the branch belongs to another network.
    pub fn set_conductance(&mut self, branch: BranchId, conductance: Conductance) {
        self.branches[branch.0].conductance = conductance;
    }

    /// Number of nodes, the reference among them.
    #[must_use]
    pub const fn node_count(&self) -> usize {
        self.nodes
    }

    /// The branches, in the order they were added.
    #[must_use]
    pub fn branches(&self) -> &[Branch] {
        &self.branches
    }

    /// Removes all nodes once, so that any EMFs can be solved for.
    ///
    /// # Errors
    /// [`SolveError::BadBranch`] or [`SolveError::FloatingNode`].
    pub fn eliminate(&self) -> Result<Elimination, SolveError> {
        for (index, branch) in self.branches.iter().enumerate() {
            let (conductance, emf) = (branch.conductance.siemens(), branch.emf.volts());
            if !(conductance.is_finite() && conductance > 0.0 && emf.is_finite()) {
                return Err(SolveError::BadBranch {
                    branch: BranchId(index),
                    conductance,
                    emf,
                });
            }
        }
        Elimination::of(self)
    }

    /// Potentials of all nodes in volts, with the branches' own EMFs.
    ///
    /// # Errors
    /// As [`Network::eliminate`].
    pub fn solve(&self) -> Result<Vec<f64>, SolveError> {
        let elimination = self.eliminate()?;
        Ok(elimination.potentials(self.injections(|_, branch| branch.emf)))
    }

    /// Current injected at each node when branch `k` has the EMF `emf(k, branch)`, amperes by node index.
    #[must_use]
    pub fn injections(&self, emf: impl Fn(BranchId, &Branch) -> Voltage) -> Vec<f64> {
        let mut injected = vec![0.0; self.nodes];
        for (index, branch) in self.branches.iter().enumerate() {
            let current = branch.conductance.siemens() * emf(BranchId(index), branch).volts();
            if current != 0.0 {
                injected[branch.p.0] += current;
                injected[branch.n.0] -= current;
            }
        }
        injected
    }

    /// Current into terminal `p` of a branch at the given potentials, with the EMF `emf`.
    ///
    /// # Panics
    /// When the branch or the potentials belong to another network.
    #[must_use]
    pub fn current(&self, branch: BranchId, potentials: &[f64], emf: Voltage) -> Current {
        let Branch {
            p, n, conductance, ..
        } = self.branches[branch.0];
        Current::from_amperes(
            conductance.siemens() * (potentials[p.0] - potentials[n.0] - emf.volts()),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Resistance;

    fn resistor(network: &mut Network, p: NodeId, n: NodeId, ohms: f64) -> BranchId {
        network.add_branch(
            p,
            n,
            Resistance::from_ohms(ohms).to_conductance(),
            Voltage::ZERO,
        )
    }

    fn source(network: &mut Network, p: NodeId, n: NodeId, volts: f64, ohms: f64) -> BranchId {
        let conductance = Resistance::from_ohms(ohms).to_conductance();
        network.add_branch(p, n, conductance, Voltage::from_volts(volts))
    }

    #[test]
    fn a_source_that_delivers_has_negative_current() {
        let mut network = Network::new();
        let top = network.add_node();
        let cell = source(&mut network, top, NodeId::REFERENCE, 6.0, 1.0);
        let load = resistor(&mut network, top, NodeId::REFERENCE, 2.0);
        let potentials = network.solve().unwrap();
        let amperes = |branch, emf| network.current(branch, &potentials, emf).amperes();
        assert!((amperes(cell, Voltage::from_volts(6.0)) + 2.0).abs() < 1e-15);
        assert!((amperes(load, Voltage::ZERO) - 2.0).abs() < 1e-15);
    }

    #[test]
    fn a_leak_of_a_teraohm_beside_a_milliohm_keeps_its_precision() {
        // 12 V through 1 Tohm and then 0.1 mohm to a node with a 1 Tohm leak: half, to the last bits.
        let mut network = Network::new();
        let nodes: Vec<NodeId> = (0..3).map(|_| network.add_node()).collect();
        source(&mut network, nodes[0], NodeId::REFERENCE, 12.0, 1e-3);
        resistor(&mut network, nodes[0], nodes[1], 1e12);
        resistor(&mut network, nodes[1], nodes[2], 1e-4);
        resistor(&mut network, nodes[2], NodeId::REFERENCE, 1e12);
        let potentials = network.solve().unwrap();
        assert!((potentials[nodes[2].index()] - 6.0).abs() < 1e-11);
    }

    #[test]
    fn a_node_without_a_path_to_the_reference_is_an_error() {
        let mut network = Network::new();
        let (a, b) = (network.add_node(), network.add_node());
        resistor(&mut network, a, b, 1.0);
        assert!(matches!(network.solve(), Err(SolveError::FloatingNode(_))));
    }

    #[test]
    fn a_branch_that_is_not_physical_is_an_error() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let mut network = Network::new();
            let a = network.add_node();
            network.add_branch(
                a,
                NodeId::REFERENCE,
                Conductance::from_siemens(bad),
                Voltage::ZERO,
            );
            assert!(
                matches!(network.solve(), Err(SolveError::BadBranch { .. })),
                "{bad}"
            );
        }
    }
}
