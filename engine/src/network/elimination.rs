//! Star-mesh elimination of all nodes, kept so that several sets of sources share it.

use super::{Network, NodeId, SolveError};

/// One removed node: what it was tied to, as shares of its total conductance.
#[derive(Clone, Debug)]
struct Step {
    node: usize,
    /// Total conductance at the moment of removal, siemens.
    total: f64,
    /// Neighbours left at that moment and the share of `total` that goes to each; shares sum to 1.
    shares: Vec<(usize, f64)>,
}

/// A network whose nodes have all been removed, ready for any injections.
#[derive(Clone, Debug)]
pub struct Elimination {
    nodes: usize,
    steps: Vec<Step>,
}

impl Elimination {
    /// Removes the node with the fewest neighbours first (lowest number on a tie), so that the order,
    /// and with it every bit of the result, depends on the network alone.
    pub(super) fn of(network: &Network) -> Result<Self, SolveError> {
        let nodes = network.node_count();
        let mut weights = vec![0.0_f64; nodes * nodes];
        let mut neighbours: Vec<Vec<usize>> = vec![Vec::new(); nodes];
        for branch in network.branches() {
            let (p, n) = (branch.p.index(), branch.n.index());
            if p != n {
                join(
                    &mut weights,
                    &mut neighbours,
                    nodes,
                    (p, n),
                    branch.conductance.siemens(),
                );
            }
        }

        let mut left: Vec<usize> = (1..nodes).collect();
        let mut steps = Vec::with_capacity(left.len());
        while let Some(place) =
            (0..left.len()).min_by_key(|&place| (neighbours[left[place]].len(), left[place]))
        {
            let node = left.remove(place);
            let tied = std::mem::take(&mut neighbours[node]);
            let total: f64 = tied
                .iter()
                .map(|&other| weights[node * nodes + other])
                .sum();
            if tied.is_empty() {
                return Err(SolveError::FloatingNode(NodeId(node)));
            }
            let shares: Vec<(usize, f64)> = tied
                .iter()
                .map(|&other| (other, weights[node * nodes + other] / total))
                .collect();
            for (rank, &(first, share)) in shares.iter().enumerate() {
                neighbours[first].retain(|&other| other != node);
                for &(second, _) in &shares[rank + 1..] {
                    let between = share * weights[node * nodes + second];
                    join(
                        &mut weights,
                        &mut neighbours,
                        nodes,
                        (first, second),
                        between,
                    );
                }
            }
            steps.push(Step {
                node,
                total,
                shares,
            });
        }
        Ok(Self { nodes, steps })
    }

    /// Node potentials in volts for injections in amperes, both by node index.
    ///
    /// # Panics
    /// When the list is not as long as the network has nodes.
    #[must_use]
    pub fn potentials(&self, mut injected: Vec<f64>) -> Vec<f64> {
        assert_eq!(injected.len(), self.nodes, "one injection for each node");
        for step in &self.steps {
            let current = injected[step.node];
            if current != 0.0 {
                for &(other, share) in &step.shares {
                    injected[other] += current * share;
                }
            }
        }
        let mut potentials = vec![0.0; self.nodes];
        for step in self.steps.iter().rev() {
            let lifted: f64 = step
                .shares
                .iter()
                .map(|&(other, share)| share * potentials[other])
                .sum();
            potentials[step.node] = lifted + injected[step.node] / step.total;
        }
        potentials
    }
}

fn join(
    weights: &mut [f64],
    neighbours: &mut [Vec<usize>],
    nodes: usize,
    (p, n): (usize, usize),
    conductance: f64,
) {
    let here = p * nodes + n;
    if weights[here] == 0.0 {
        neighbours[p].push(n);
        neighbours[n].push(p);
    }
    weights[here] += conductance;
    weights[n * nodes + p] = weights[here];
}
