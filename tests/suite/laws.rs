//! Laws that hold whatever the numbers, on random networks of conductances over fourteen powers of ten:
//! the current law, Tellegen's theorem, reciprocity, superposition, passivity, scaling, and agreement
//! with naive Gauss elimination, in ordinary numbers where the network is well conditioned and in numbers of twice
//! the length where it is not. Then the laws of the motor on the shipped vehicle.
//!
//! Kirchhoff 1845; Tellegen 1952; the rest as in any text on networks (Bird, Electrical Circuit Theory and
//! Technology). Tolerances are a few hundred rounding errors of the terms that are summed.

use groundside_engine::network::{Network, NodeId};
use groundside_engine::quantity::{AngularVelocity, Conductance, Voltage};
use groundside_engine::vehicle::Emf;
use groundside_engine::world::Shaft;
use groundside_tests::{Operation, Wiper, faulty, operating_point, vehicle, with_added};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// The same networks in every run, so that a failure is one for everybody; another seed or more cases for a search.
fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 256,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(1845),
        ..ProptestConfig::default()
    }
}

/// Some hundred rounding errors.
const ROUNDING: f64 = 5e-14;

/// A branch: its nodes, siemens, volts.
#[derive(Clone, Copy, Debug)]
struct Branch {
    p: usize,
    n: usize,
    siemens: f64,
    volts: f64,
}

/// A connected network of nodes 0 (the reference) to `nodes - 1`.
#[derive(Clone, Debug)]
struct Sketch {
    nodes: usize,
    branches: Vec<Branch>,
}

impl Sketch {
    fn network(&self) -> (Network, Vec<NodeId>) {
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

    fn solve(&self) -> Vec<f64> {
        let (network, ids) = self.network();
        let potentials = network.solve().unwrap();
        ids.iter().map(|id| potentials[id.index()]).collect()
    }

    /// Potentials when one ampere goes in at `node`.
    fn with_unit_current(&self, node: usize) -> Vec<f64> {
        let (network, ids) = self.network();
        let mut injected = vec![0.0; network.node_count()];
        injected[ids[node].index()] = 1.0;
        let potentials = network.eliminate().unwrap().potentials(injected);
        ids.iter().map(|id| potentials[id.index()]).collect()
    }

    fn with_volts(&self, volts: impl Fn(usize, f64) -> f64) -> Self {
        let branches = self.branches.iter().enumerate();
        let changed = branches.map(|(k, &branch)| Branch {
            volts: volts(k, branch.volts),
            ..branch
        });
        Self {
            nodes: self.nodes,
            branches: changed.collect(),
        }
    }

    /// The largest potential that its EMFs could sum to.
    fn reach(&self) -> f64 {
        self.branches.iter().map(|branch| branch.volts.abs()).sum()
    }

    /// The current that all EMFs together could drive with their ends joined, which is what is injected for them.
    fn injected(&self) -> f64 {
        self.branches
            .iter()
            .map(|branch| branch.siemens * branch.volts.abs())
            .sum()
    }

    /// How far rounding can put a potential off: some errors of the EMFs themselves, and, as an EMF is solved for as
    /// a current in at one end and out at the other, one of these currents through the largest resistance
    /// to the reference. The second is nothing for an EMF on the reference, such as a battery; for one between two
    /// nodes that hang on insulation alone it is the digit where exactness ends.
    fn slack(&self) -> f64 {
        let largest = (1..self.nodes)
            .map(|node| self.with_unit_current(node)[node])
            .fold(0.0, f64::max);
        ROUNDING * self.reach() + 4.0 * f64::EPSILON * self.injected() * largest
    }

    /// Conductance matrix and injected currents without the reference, row by row.
    fn matrix<T: Number>(&self) -> Vec<Vec<T>> {
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
fn sketches(least: f64, most: f64) -> impl Strategy<Value = Sketch> {
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

/// Fourteen powers of ten: from 10 Gohm of insulation to a joint of 0.1 mohm.
fn wide() -> impl Strategy<Value = Sketch> {
    sketches(-10.0, 4.0)
}

/// What elimination needs of a number.
trait Number: Copy + From<f64> {
    fn plus(self, other: Self) -> Self;
    fn minus(self, other: Self) -> Self;
    fn times(self, other: Self) -> Self;
    fn over(self, other: Self) -> Self;
    fn value(self) -> f64;
}

impl Number for f64 {
    fn plus(self, other: Self) -> Self {
        self + other
    }
    fn minus(self, other: Self) -> Self {
        self - other
    }
    fn times(self, other: Self) -> Self {
        self * other
    }
    fn over(self, other: Self) -> Self {
        self / other
    }
    fn value(self) -> f64 {
        self
    }
}

/// An unevaluated sum of two doubles, some 32 digits. (Dekker 1971, Knuth 1969: error-free sum and product.)
#[derive(Clone, Copy, Debug)]
struct Double {
    high: f64,
    low: f64,
}

impl Double {
    fn of_sum(a: f64, b: f64) -> Self {
        let high = a + b;
        let of_b = high - a;
        Self {
            high,
            low: (a - (high - of_b)) + (b - of_b),
        }
    }
}

impl From<f64> for Double {
    fn from(high: f64) -> Self {
        Self { high, low: 0.0 }
    }
}

impl Number for Double {
    fn plus(self, other: Self) -> Self {
        let high = Self::of_sum(self.high, other.high);
        let low = Self::of_sum(self.low, other.low);
        let sum = Self::of_sum(high.high, high.low + low.high);
        Self::of_sum(sum.high, sum.low + low.low)
    }
    fn minus(self, other: Self) -> Self {
        self.plus(Self {
            high: -other.high,
            low: -other.low,
        })
    }
    fn times(self, other: Self) -> Self {
        let high = self.high * other.high;
        let low = self.high.mul_add(other.high, -high);
        Self::of_sum(high, low + self.high * other.low + self.low * other.high)
    }
    fn over(self, other: Self) -> Self {
        let first = self.high / other.high;
        let left = self.minus(other.times(Self::from(first)));
        let second = left.high / other.high;
        let left = left.minus(other.times(Self::from(second)));
        Self::of_sum(first, second).plus(Self::from(left.high / other.high))
    }
    fn value(self) -> f64 {
        self.high + self.low
    }
}

/// Gauss elimination with partial pivoting, written down as it is taught: rows of the matrix with the right side
/// as their last entry. The reference's potential comes first.
fn gauss<T: Number>(mut rows: Vec<Vec<T>>) -> Vec<f64> {
    let size = rows.len();
    for column in 0..size {
        let largest = (column..size)
            .max_by(|&a, &b| {
                let size = |row: usize| rows[row][column].value().abs();
                size(a).total_cmp(&size(b))
            })
            .unwrap();
        rows.swap(column, largest);
        let pivot = rows[column].clone();
        for row in &mut rows[column + 1..] {
            let factor = row[column].over(pivot[column]);
            for (entry, above) in row.iter_mut().zip(&pivot).skip(column) {
                *entry = entry.minus(factor.times(*above));
            }
        }
    }
    let mut solution = vec![T::from(0.0); size];
    for row in (0..size).rev() {
        let known = (row + 1..size).fold(rows[row][size], |left, column| {
            left.minus(rows[row][column].times(solution[column]))
        });
        solution[row] = known.over(rows[row][row]);
    }
    std::iter::once(0.0)
        .chain(solution.into_iter().map(T::value))
        .collect()
}

/// Whether two lists agree within a share of each number and an absolute amount.
fn agree(
    found: &[f64],
    expected: &[f64],
    relative: f64,
    absolute: f64,
) -> Result<(), TestCaseError> {
    for (found, expected) in found.iter().zip(expected) {
        let tolerance = relative * expected.abs() + absolute;
        prop_assert!(
            (found - expected).abs() <= tolerance,
            "{found:e} where {expected:e} +/- {tolerance:e}"
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn currents_into_a_node_sum_to_nothing(sketch in wide()) {
        let (network, ids) = sketch.network();
        let potentials = network.solve().unwrap();
        let mut sums = vec![0.0; sketch.nodes];
        let mut sizes = vec![0.0; sketch.nodes];
        for branch in &sketch.branches {
            let (p, n) = (potentials[ids[branch.p].index()], potentials[ids[branch.n].index()]);
            let amperes = branch.siemens * (p - n - branch.volts);
            let size = branch.siemens * (p.abs() + n.abs() + branch.volts.abs());
            sums[branch.p] += amperes;
            sums[branch.n] -= amperes;
            sizes[branch.p] += size;
            sizes[branch.n] += size;
        }
        for (sum, size) in sums.iter().zip(sizes) {
            // Besides the node's own currents there are the injected ones of all EMFs, see `slack`.
            let size = size + sketch.injected();
            prop_assert!(sum.abs() <= ROUNDING * size, "{sum:e} A of {size:e} A");
        }
    }

    #[test]
    fn power_over_all_branches_sums_to_nothing(sketch in wide()) {
        // Tellegen's theorem.
        let potentials = sketch.solve();
        let (mut sum, mut size, mut heat) = (0.0, 0.0, 0.0);
        for branch in &sketch.branches {
            let volts = potentials[branch.p] - potentials[branch.n];
            let amperes = branch.siemens * (volts - branch.volts);
            sum += volts * amperes;
            let reach = potentials[branch.p].abs() + potentials[branch.n].abs() + branch.volts.abs();
            size += branch.siemens * reach * reach;
            // Passivity: what a resistance takes is never negative.
            heat += amperes * amperes / branch.siemens;
        }
        prop_assert!(sum.abs() <= ROUNDING * size, "{sum:e} W of {size:e} W");
        let delivered: f64 = sketch.branches.iter().map(|branch| {
            let amperes = branch.siemens * (potentials[branch.p] - potentials[branch.n] - branch.volts);
            -branch.volts * amperes
        }).sum();
        prop_assert!((delivered - heat).abs() <= ROUNDING * size, "{delivered:e} W delivered, {heat:e} W of heat");
    }

    #[test]
    fn a_current_here_lifts_there_as_one_there_lifts_here(sketch in wide(), a: prop::sample::Index, b: prop::sample::Index) {
        let (a, b) = (1 + a.index(sketch.nodes - 1), 1 + b.index(sketch.nodes - 1));
        let (from_a, from_b) = (sketch.with_unit_current(a), sketch.with_unit_current(b));
        // Reciprocity, to the last digits of each number, however small: nothing is subtracted on the way.
        agree(&[from_a[b]], &[from_b[a]], ROUNDING, 0.0)?;
        // Passivity: nothing is lifted below the reference, or above the node that the current enters.
        for volts in &from_a {
            prop_assert!(*volts >= 0.0 && *volts <= from_a[a] * (1.0 + ROUNDING));
        }
    }

    #[test]
    fn causes_add_up(sketch in wide(), parts in prop::collection::vec(0.0..1.0_f64, 64)) {
        let one = sketch.with_volts(|k, volts| volts * parts[k % 64]);
        let other = sketch.with_volts(|k, volts| volts - volts * parts[k % 64]);
        let sum: Vec<f64> = one.solve().iter().zip(other.solve()).map(|(a, b)| a + b).collect();
        agree(&sum, &sketch.solve(), 0.0, sketch.slack())?;
    }

    #[test]
    fn without_causes_nothing_happens_and_potentials_stay_within_reach(sketch in wide()) {
        let silent = sketch.with_volts(|_, _| 0.0);
        prop_assert!(silent.solve().iter().all(|&volts| volts == 0.0));
        let reach = sketch.reach() + sketch.slack();
        prop_assert!(sketch.solve().iter().all(|volts| volts.abs() <= reach));
    }

    #[test]
    fn all_conductances_or_all_causes_can_be_scaled(sketch in wide(), power in -3.0..3.0_f64, share in -5.0..5.0_f64) {
        let factor = 10.0_f64.powf(power);
        let branches = sketch.branches.iter().map(|&branch| Branch { siemens: branch.siemens * factor, ..branch });
        let stiffer = Sketch { nodes: sketch.nodes, branches: branches.collect() };
        let solution = sketch.solve();
        agree(&stiffer.solve(), &solution, 0.0, sketch.slack())?;
        let scaled: Vec<f64> = solution.iter().map(|volts| volts * share).collect();
        agree(&sketch.with_volts(|_, volts| volts * share).solve(), &scaled, 0.0, share.abs() * sketch.slack())?;
    }

    #[test]
    fn names_of_nodes_and_order_of_branches_do_not_matter(sketch in wide(), seed in any::<[u32; 40]>()) {
        let mut nodes: Vec<usize> = (1..sketch.nodes).collect();
        nodes.sort_by_key(|&node| seed[node]);
        nodes.insert(0, 0);
        let mut branches: Vec<Branch> = sketch
            .branches
            .iter()
            .map(|&branch| Branch { p: nodes[branch.p], n: nodes[branch.n], ..branch })
            .collect();
        branches.sort_by_key(|branch| (branch.siemens.to_bits() % 1009, branch.p, branch.n));
        let renamed = Sketch { nodes: sketch.nodes, branches };
        let solution = renamed.solve();
        let back: Vec<f64> = nodes.iter().map(|&node| solution[node]).collect();
        agree(&back, &sketch.solve(), 0.0, sketch.slack())?;
        // A branch turned round, with its EMF, is the same branch.
        let turned = sketch.branches.iter().map(|&branch| Branch {
            p: branch.n,
            n: branch.p,
            volts: -branch.volts,
            ..branch
        });
        let turned = Sketch { nodes: sketch.nodes, branches: turned.collect() };
        agree(&turned.solve(), &sketch.solve(), 0.0, sketch.slack())?;
    }

    #[test]
    fn a_dense_solver_gives_the_same_where_it_can(sketch in sketches(-2.0, 2.0)) {
        // Four powers of ten: the matrix's condition stays below some 1e7, which leaves nine digits.
        agree(&gauss(sketch.matrix::<f64>()), &sketch.solve(), 0.0, 1e-9 * sketch.reach())?;
    }

    #[test]
    fn a_dense_solver_with_twice_the_digits_gives_the_same_everywhere(sketch in wide(), node: prop::sample::Index) {
        agree(&gauss(sketch.matrix::<Double>()), &sketch.solve(), 0.0, sketch.slack())?;
        // An EMF on the reference costs no digit.
        let mut anchored = sketch.clone();
        for branch in &mut anchored.branches {
            if branch.p != 0 && branch.n != 0 {
                branch.volts = 0.0;
            }
        }
        agree(&gauss(anchored.matrix::<Double>()), &anchored.solve(), 0.0, ROUNDING * anchored.reach())?;
        // And to the last digits of each potential, however small, when one current drives them all.
        let node = 1 + node.index(sketch.nodes - 1);
        let mut rows = sketch.with_volts(|_, _| 0.0).matrix::<Double>();
        let size = rows.len();
        rows[node - 1][size] = Double::from(1.0);
        agree(&sketch.with_unit_current(node), &gauss(rows), ROUNDING, 0.0)?;
    }
}

/// Vehicles and settings in which the laws of the motor are tried.
fn operations() -> Vec<(&'static str, Wiper, f64)> {
    let mut list = Vec::new();
    for fault in [
        "",
        "motor-strap.high-resistance:1",
        "motor.low-brush-worn:2",
        "motor.high-brush-open",
        "motor.magnets-weak:0.7",
        "park-contact.ground-open",
        "motor-53.short-to-ground:0.1",
    ] {
        for wiper in [Wiper::Off, Wiper::Low, Wiper::High] {
            for speed in [-150.0, 0.0, 290.0, 420.0] {
                list.push((fault, wiper, speed));
            }
        }
    }
    list
}

#[test]
fn what_the_sources_give_is_heat_and_shaft_power() {
    // Conservation of energy: power out of the battery = sum of i^2 R + torque x speed; and power into the
    // armature's EMFs, k omega i over its arcs, is torque x speed by itself.
    for (fault, wiper, speed) in operations() {
        let vehicle = if fault.is_empty() {
            vehicle()
        } else {
            faulty(fault)
        };
        let operation = Operation {
            wiper,
            crank_deg: Some(100.0),
            shaft: Shaft::Held,
            meters: Vec::new(),
        };
        let response = operating_point(&vehicle, &operation).response;
        let omega = AngularVelocity::from_radians_per_second(speed);
        let (mut battery, mut heat, mut into_emfs) = (0.0, 0.0, 0.0);
        // The power that sources would turn to heat with their ends joined: the scale of rounding.
        let mut short_circuit = 0.0;
        for (index, element) in response.elements().iter().enumerate() {
            let amperes = response.current_at(index, omega).amperes();
            heat += amperes * amperes * element.resistance.ohms();
            match element.emf {
                Emf::None => {}
                Emf::Constant(emf) => {
                    battery -= emf.volts() * amperes;
                    short_circuit += emf.volts() * emf.volts() / element.resistance.ohms();
                }
                Emf::PerSpeed(constant) => {
                    let volts = (constant * omega).volts();
                    into_emfs += volts * amperes;
                    short_circuit += volts * volts / element.resistance.ohms();
                }
            }
        }
        let shaft = response.torque_at(omega).newton_metres() * speed;
        let size = heat + battery.abs() + shaft.abs() + short_circuit;
        assert!(
            (battery - heat - shaft).abs() <= ROUNDING * size,
            "{fault}, {wiper:?}: {battery} - {heat} - {shaft}"
        );
        assert!(
            (into_emfs - shaft).abs() <= ROUNDING * size,
            "{fault}, {wiper:?}: {into_emfs}, {shaft}"
        );
    }
}

#[test]
fn more_resistance_in_series_never_raises_what_is_behind_it() {
    let paths = [
        "battery-link",
        "fusible-link",
        "bulkhead 30",
        "wiper-breaker",
        "breaker-switch",
        "motor-plug 53",
    ];
    for path in paths {
        for shaft in [Shaft::Held, Shaft::Running] {
            let operation = Operation {
                wiper: Wiper::Low,
                crank_deg: Some(100.0),
                shaft,
                meters: Vec::new(),
            };
            let (mut volts_before, mut speed_before) = (f64::INFINITY, f64::INFINITY);
            for step in 0..24_i32 {
                let vehicle = with_added(path, 1e-3 * 1.9_f64.powi(step));
                let solved = operating_point(&vehicle, &operation);
                let terminal = groundside_tests::node(&vehicle, "motor 53");
                let volts = solved.response.potential_at(terminal, solved.speed).volts();
                let speed = solved.speed.radians_per_second();
                assert!(
                    volts <= volts_before && speed <= speed_before,
                    "{path}, {shaft:?}: {volts} after {volts_before}"
                );
                (volts_before, speed_before) = (volts, speed);
            }
        }
    }
}
