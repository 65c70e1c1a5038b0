//! Operating points: the engine's elimination beside a general dense one and beside ngspice.

use std::error::Error;
use std::hint::black_box;
use std::sync::Arc;

use groundside_engine::network::{BranchId, Network, NodeId};
use groundside_engine::quantity::{Resistance, Voltage};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{
    Circuit, Drift, Emf, Instrument, Node, OPEN, Response, Setting, Vehicle,
};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft};
use nalgebra::{DMatrix, DVector};

use crate::ngspice;
use crate::timing::{Entrant, cells, in_turn, words};

/// Rounds of each comparison.
const ROUNDS: usize = 3000;
/// Work of less than a microsecond is timed so many times over.
const BATCH: usize = 32;
/// Branches below this carry the vehicle's currents; they are removed one after the other.
const CONDUCTS: Resistance = Resistance::from_ohms(100.0);
/// Ladders of so many nodes beside the reference.
const LADDERS: [usize; 4] = [20, 40, 80, 160];

/// A network by name, and the branches of it that are removed in turn.
pub(crate) struct Subject {
    name: String,
    network: Network,
    removed: Vec<BranchId>,
}

impl Subject {
    fn of(name: String, network: Network) -> Self {
        let removed = |conductance: f64| conductance > 1.0 / CONDUCTS.ohms();
        let branches = network.branches().iter().zip(network_ids(&network));
        let removed = branches
            .filter(|(branch, _)| removed(branch.conductance.siemens()))
            .map(|(_, id)| id)
            .collect();
        Self {
            name,
            removed,
            network,
        }
    }

    /// The network with the branch of a round removed: as open as an open contact.
    fn changed(&self, round: usize) -> Network {
        let mut network = self.network.clone();
        let branch = self.removed[round % self.removed.len()];
        network.set_conductance(branch, OPEN.to_conductance());
        network
    }
}

/// The branches' names, in their order: they are given out again by a network that is built alike.
fn network_ids(network: &Network) -> Vec<BranchId> {
    let mut again = Network::new();
    for _ in 1..network.node_count() {
        again.add_node();
    }
    let add = |branch: &groundside_engine::network::Branch| {
        again.add_branch(branch.p, branch.n, branch.conductance, branch.emf)
    };
    network.branches().iter().map(add).collect()
}

/// A vehicle with the key on and the wipers at the first of their speeds, running.
pub(crate) fn running(vehicle: &Arc<Vehicle>) -> Result<OperatingPoint, Box<dyn Error>> {
    let roles = vehicle.roles().ok_or("a vehicle without wipers")?;
    let query = PointQuery {
        positions: vec![(roles.key, roles.key_on), (roles.wiper, roles.speeds[0])],
        unplugged: Vec::new(),
        tripped: Vec::new(),
        parted: Vec::new(),
        crank: None,
        shaft_angle: None,
        shaft: Shaft::Running,
        glass: Glass::Wet,
        instruments: Vec::new(),
    };
    Ok(OperatingPoint::of(vehicle, &query)?)
}

/// The circuit of a vehicle that runs, as a network with its motor's EMF at that speed.
fn of_vehicle(vehicle: &Arc<Vehicle>) -> Result<Subject, Box<dyn Error>> {
    let point = running(vehicle)?;
    let mut network = Network::new();
    let mut nodes = vec![NodeId::REFERENCE];
    nodes.extend((1..vehicle.node_names.len()).map(|_| network.add_node()));
    for element in point.response.elements() {
        let emf = match element.emf {
            Emf::None => Voltage::ZERO,
            Emf::Constant(emf) => emf,
            Emf::PerSpeed(constant) => constant * point.speed,
        };
        let [p, n] = [element.p, element.n].map(|node| nodes[node.index()]);
        network.add_branch(p, n, element.resistance.to_conductance(), emf);
    }
    Ok(Subject::of(vehicle.id.to_string(), network))
}

/// A battery and a run of wire with a lamp and a leak to ground at every joint.
fn ladder(nodes: usize) -> Subject {
    let mut network = Network::new();
    let mut before = NodeId::REFERENCE;
    for joint in 0..nodes {
        let here = network.add_node();
        let (ohms, volts) = if joint == 0 {
            (0.01, 12.6)
        } else {
            (0.02, 0.0)
        };
        let siemens = |ohms| Resistance::from_ohms(ohms).to_conductance();
        network.add_branch(here, before, siemens(ohms), Voltage::from_volts(volts));
        network.add_branch(here, NodeId::REFERENCE, siemens(12.0), Voltage::ZERO);
        network.add_branch(
            here,
            NodeId::REFERENCE,
            OPEN.to_conductance(),
            Voltage::ZERO,
        );
        before = here;
    }
    Subject::of(format!("ladder of {nodes}"), network)
}

/// Potentials by general dense elimination with partial pivoting, the reference left out.
struct Dense {
    matrix: DMatrix<f64>,
    injected: DVector<f64>,
}

impl Dense {
    fn for_network(network: &Network) -> Self {
        let unknown = network.node_count() - 1;
        Self {
            matrix: DMatrix::zeros(unknown, unknown),
            injected: DVector::zeros(unknown),
        }
    }

    /// None where the matrix is singular to rounding.
    fn solve(&mut self, network: &Network) -> Option<DVector<f64>> {
        self.matrix.fill(0.0);
        self.injected.fill(0.0);
        for branch in network.branches() {
            let siemens = branch.conductance.siemens();
            let amperes = siemens * branch.emf.volts();
            let [p, n] = [branch.p, branch.n].map(|node| node.index().checked_sub(1));
            for (end, other, sign) in [(p, n, 1.0), (n, p, -1.0)] {
                let Some(end) = end else { continue };
                self.matrix[(end, end)] += siemens;
                self.injected[end] += sign * amperes;
                if let Some(other) = other {
                    self.matrix[(end, other)] -= siemens;
                }
            }
        }
        self.matrix.clone().lu().solve(&self.injected)
    }

    /// The farthest that a potential is from the engine's, volts, over all removals.
    fn farthest(&mut self, subject: &Subject) -> Result<f64, Box<dyn Error>> {
        let mut farthest = 0.0_f64;
        for round in 0..subject.removed.len() {
            let network = subject.changed(round);
            let ours = network.solve()?;
            match self.solve(&network) {
                Some(theirs) => {
                    let apart = ours.iter().skip(1).zip(theirs.iter());
                    farthest = apart.fold(farthest, |most, (a, b)| most.max((a - b).abs()));
                }
                None => farthest = f64::INFINITY,
            }
        }
        Ok(farthest)
    }
}

/// The shipped vehicles by growing number of components, and the ladders.
pub(crate) fn subjects(vehicles: &[Arc<Vehicle>]) -> Result<Vec<Subject>, Box<dyn Error>> {
    let of_vehicles: Result<Vec<_>, _> = vehicles.iter().map(of_vehicle).collect();
    let mut subjects = of_vehicles?;
    subjects.extend(LADDERS.map(ladder));
    Ok(subjects)
}

/// Prints what one operating point takes after something was taken out of the circuit.
pub(crate) fn removals(subjects: &[Subject]) -> Result<(), Box<dyn Error>> {
    println!(
        "| network | nodes | branches | elimination: median | p99 | with one solution: median | p99 | one solution: median | p99 | dense LU: median | p99 | times as long | ngspice, mean of processor | times as long | of it the matrix | LU farthest off, V |"
    );
    println!("|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|");
    for subject in subjects {
        let networks: Vec<Network> = (0..subject.removed.len())
            .map(|round| subject.changed(round))
            .collect();
        let eliminations: Result<Vec<_>, _> = networks.iter().map(Network::eliminate).collect();
        let eliminations = eliminations?;
        let injections: Vec<_> = networks
            .iter()
            .map(|network| network.injections(|_, branch| branch.emf))
            .collect();
        let mut dense = Dense::for_network(&subject.network);
        let of = |round: usize| round % networks.len();
        let mut entrants: [Entrant<'_>; 4] = [
            (
                "elimination",
                Box::new(|round| drop(black_box(networks[of(round)].eliminate()))),
            ),
            (
                "with one solution",
                Box::new(|round| drop(black_box(networks[of(round)].solve()))),
            ),
            (
                "one solution",
                Box::new(|round| {
                    let injected = injections[of(round)].clone();
                    drop(black_box(eliminations[of(round)].potentials(injected)));
                }),
            ),
            (
                "dense LU",
                Box::new(|round| drop(black_box(dense.solve(&networks[of(round)])))),
            ),
        ];
        let times = in_turn(ROUNDS, 1, &mut entrants);
        drop(entrants);
        let own = times[1].median();
        let spice = ngspice::seconds_a_point(&subject.network, subject.removed[0].index())?;
        let cell = |seconds: f64| format!("{} | {:.1}", words(seconds), seconds / own);
        let (whole, matrix) = spice.map_or(("- | -".into(), "-".into()), |spice| {
            (
                cell(spice.seconds),
                format!("{:.0} %", 100.0 * spice.matrix),
            )
        });
        println!(
            "| {} | {} | {} | {} | {} | {} | {} | {:.1} | {whole} | {matrix} | {:.0e} |",
            subject.name,
            subject.network.node_count(),
            subject.network.branches().len(),
            cells(&times[0]),
            cells(&times[1]),
            cells(&times[2]),
            cells(&times[3]),
            times[3].median() / own,
            dense.farthest(subject)?,
        );
    }
    Ok(())
}

/// Prints what it takes to put something on a circuit that is solved, and to solve it all anew with it.
pub(crate) fn additions(vehicles: &[Arc<Vehicle>]) -> Result<(), Box<dyn Error>> {
    println!(
        "| vehicle | nodes | building: median | p99 | building and response: median | p99 | the same with a load: median | p99 | rank-one addition: median | p99 | anew: times as long |"
    );
    println!("|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|");
    for vehicle in vehicles {
        let OperatingPoint { setting, .. } = running(vehicle)?;
        let bare = || Circuit::drifted(vehicle, &setting, &[], &Drift::default());
        let elements = bare().elements().to_vec();
        // A test lamp over each element in turn that joins two nodes.
        let places: Vec<(Node, Node)> = elements
            .iter()
            .filter(|element| element.p != element.n)
            .map(|element| (element.p, element.n))
            .collect();
        let solved: Result<Vec<Response>, _> = places
            .iter()
            .map(|&place| bare().response_to_load(Some(place)))
            .collect();
        let solved = solved?;
        let lamp = lamp_resistance();
        let of = |round: usize| round % places.len();
        let anew = |round: usize| anew(vehicle, &setting, places[of(round)], lamp);
        let mut whole: [Entrant<'_>; 3] = [
            ("building", Box::new(|_| drop(black_box(bare())))),
            (
                "building and response",
                Box::new(|_| drop(black_box(bare().response()))),
            ),
            ("anew", Box::new(|round| drop(black_box(anew(round))))),
        ];
        let whole_times = in_turn(ROUNDS, 1, &mut whole);
        drop(whole);
        let mut small: [Entrant<'_>; 1] = [(
            "rank one",
            Box::new(|round| {
                drop(black_box(solved[of(round)].loaded(places[of(round)], lamp)));
            }),
        )];
        let small_times = in_turn(ROUNDS, BATCH, &mut small);
        drop(small);
        println!(
            "| {} | {} | {} | {} | {} | {} | {:.0} |",
            vehicle.id,
            vehicle.node_names.len(),
            cells(&whole_times[0]),
            cells(&whole_times[1]),
            cells(&whole_times[2]),
            cells(&small_times[0]),
            whole_times[2].median() / small_times[0].median(),
        );
    }
    Ok(())
}

fn anew(
    vehicle: &Vehicle,
    setting: &Setting,
    (red, black): (Node, Node),
    resistance: Resistance,
) -> Option<Response> {
    let load = Instrument {
        red,
        black,
        resistance,
        emf: Voltage::ZERO,
    };
    Circuit::drifted(vehicle, setting, &[load], &Drift::default())
        .response()
        .ok()
}

/// A lamp of 5 W at 12 V, hot.
const fn lamp_resistance() -> Resistance {
    Resistance::from_ohms(12.0 * 12.0 / 5.0)
}
