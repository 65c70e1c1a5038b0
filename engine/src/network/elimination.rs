//! Star-mesh elimination of all nodes, kept so that several sets of sources share it.

use super::{Network, NodeId, SolveError};

/// One removed node: what it was tied to, as shares of its total conductance.
#[derive(Clone, Debug)]
struct Step {
    node: usize,
    /// Total conductance at the moment of removal, siemens.
    total: f64,
    /// Where its shares end in the list of all; they begin where those of the step before end.
    end: usize,
}

/// A network whose nodes have all been removed, ready for any injections.
#[derive(Clone, Debug)]
pub struct Elimination {
    nodes: usize,
    steps: Vec<Step>,
    /// Neighbours left as each node was removed and the share of its total that goes to each, step after step; those of a
    /// step sum to 1.
    shares: Vec<(usize, f64)>,
}

/// Conductances between nodes, and which nodes have any, in the order in which they came to be tied. All in two
/// squares: a list for each node would cost more to allocate than to fill.
struct Mesh {
    nodes: usize,
    weights: Vec<f64>,
    neighbours: Vec<usize>,
    counts: Vec<usize>,
}

impl Mesh {
    fn of(network: &Network) -> Self {
        let nodes = network.node_count();
        let mut mesh = Self {
            nodes,
            weights: vec![0.0; nodes * nodes],
            neighbours: vec![0; nodes * nodes],
            counts: vec![0; nodes],
        };
        for branch in network.branches() {
            let (p, n) = (branch.p.index(), branch.n.index());
            if p != n {
                mesh.join(p, n, branch.conductance.siemens());
            }
        }
        mesh
    }

    fn neighbours(&self, node: usize) -> &[usize] {
        let first = node * self.nodes;
        &self.neighbours[first..first + self.counts[node]]
    }

    fn weight(&self, p: usize, n: usize) -> f64 {
        self.weights[p * self.nodes + n]
    }

    fn join(&mut self, p: usize, n: usize, conductance: f64) {
        // A product of leaks too small for a number ties nothing, and must not be counted again and again.
        if conductance == 0.0 {
            return;
        }
        let here = p * self.nodes + n;
        if self.weights[here] == 0.0 {
            self.tie(p, n);
            self.tie(n, p);
        }
        self.weights[here] += conductance;
        self.weights[n * self.nodes + p] = self.weights[here];
    }

    fn tie(&mut self, node: usize, other: usize) {
        self.neighbours[node * self.nodes + self.counts[node]] = other;
        self.counts[node] += 1;
    }

    /// Takes a node out of the neighbours of another, which keep their order.
    fn untie(&mut self, node: usize, other: usize) {
        let first = node * self.nodes;
        let list = &mut self.neighbours[first..first + self.counts[node]];
        if let Some(place) = list.iter().position(|&tied| tied == other) {
            list.copy_within(place + 1.., place);
            self.counts[node] -= 1;
        }
    }
}

impl Elimination {
    /// Removes the node with the fewest neighbours first (lowest number on a tie), so that the order,
    /// and with it every bit of the result, depends on the network alone.
    pub(super) fn of(network: &Network) -> Result<Self, SolveError> {
        let nodes = network.node_count();
        let mut mesh = Mesh::of(network);
        // Ascending, so that the first of the fewest is the lowest.
        let mut left: Vec<usize> = (1..nodes).collect();
        let mut steps = Vec::with_capacity(left.len());
        let mut shares: Vec<(usize, f64)> = Vec::with_capacity(4 * nodes);
        while let Some(place) = (0..left.len()).min_by_key(|&place| mesh.counts[left[place]]) {
            let node = left.remove(place);
            let tied = mesh.neighbours(node);
            let total: f64 = tied.iter().map(|&other| mesh.weight(node, other)).sum();
            if tied.is_empty() {
                return Err(SolveError::FloatingNode(NodeId(node)));
            }
            let begin = shares.len();
            let share = |&other: &usize| (other, mesh.weight(node, other) / total);
            shares.extend(tied.iter().map(share));
            let own = &shares[begin..];
            for (rank, &(first, share)) in own.iter().enumerate() {
                mesh.untie(first, node);
                for &(second, _) in &own[rank + 1..] {
                    mesh.join(first, second, share * mesh.weight(node, second));
                }
            }
            steps.push(Step {
                node,
                total,
                end: shares.len(),
            });
        }
        Ok(Self {
            nodes,
            steps,
            shares,
        })
    }

    /// Each removed node with its shares, in the order of removal.
    fn removed(&self) -> impl DoubleEndedIterator<Item = (&Step, &[(usize, f64)])> {
        self.steps.iter().enumerate().map(|(place, step)| {
            let begin = place
                .checked_sub(1)
                .map_or(0, |before| self.steps[before].end);
            (step, &self.shares[begin..step.end])
        })
    }

    /// Node potentials in volts for injections in amperes, both by node index.
    ///
    /// # Panics
    /// When the list is not as long as the network has nodes.
    #[must_use]
    pub fn potentials(&self, mut injected: Vec<f64>) -> Vec<f64> {
        assert_eq!(injected.len(), self.nodes, "one injection for each node");
        for (step, shares) in self.removed() {
            let current = injected[step.node];
            if current != 0.0 {
                for &(other, share) in shares {
                    injected[other] += current * share;
                }
            }
        }
        let mut potentials = vec![0.0; self.nodes];
        for (step, shares) in self.removed().rev() {
            let lifted: f64 = shares
                .iter()
                .map(|&(other, share)| share * potentials[other])
                .sum();
            potentials[step.node] = lifted + injected[step.node] / step.total;
        }
        potentials
    }
}
