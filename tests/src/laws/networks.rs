//! Laws of networks, on random networks of conductances over fourteen powers of ten: the current law, Tellegen's
//! theorem, reciprocity, superposition, passivity, scaling, monotonicity, and agreement with naive Gauss
//! elimination, in ordinary numbers where the network is well conditioned and in numbers of twice the length
//! where it is not.
//!
//! Tolerances are a few hundred rounding errors of the terms that are summed.

use proptest::prelude::*;
use proptest::sample::Index;

use super::sketch::{Branch, Sketch, sketches, wide};
use super::{CASES, ROUNDING};
use crate::ledger::{Known, Ledger};
use crate::naive::gauss::{Double, gauss};

crate::checks![
    currents_into_a_node_sum_to_nothing,
    power_over_all_branches_sums_to_nothing,
    a_current_here_lifts_there_as_one_there_lifts_here,
    causes_add_up,
    without_causes_nothing_happens_and_potentials_stay_within_reach,
    all_conductances_or_all_causes_can_be_scaled,
    names_of_nodes_and_order_of_branches_do_not_matter,
    a_better_conductor_never_raises_the_resistance_seen,
    a_dense_solver_gives_the_same_where_it_can,
    a_dense_solver_with_twice_the_digits_gives_the_same_everywhere,
];

/// Holds two lists within a share of each number and an absolute amount.
fn agree(
    ledger: &mut Ledger,
    what: &str,
    found: &[f64],
    expected: &[f64],
    (relative, absolute): (f64, f64),
) {
    for (found, expected) in found.iter().zip(expected) {
        let bound = relative * expected.abs() + absolute;
        ledger.near(what, *found, *expected, bound);
    }
}

fn currents_into_a_node_sum_to_nothing(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Kirchhoff 1845, the current law; Bird, Electrical Circuit Theory and Technology",
    );
    ledger.for_all(CASES, &wide(), |sketch, ledger| {
        let potentials = sketch.solve();
        let mut sums = vec![0.0; sketch.nodes];
        let mut sizes = vec![0.0; sketch.nodes];
        for branch in &sketch.branches {
            let (p, n) = (potentials[branch.p], potentials[branch.n]);
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
            ledger.near("sum of currents into a node", *sum, 0.0, ROUNDING * size);
        }
    });
}

fn power_over_all_branches_sums_to_nothing(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "Tellegen 1952");
    ledger.for_all(CASES, &wide(), |sketch, ledger| {
        let potentials = sketch.solve();
        let (mut sum, mut size, mut heat, mut delivered) = (0.0, 0.0, 0.0, 0.0);
        for branch in &sketch.branches {
            let (p, n) = (potentials[branch.p], potentials[branch.n]);
            let amperes = branch.siemens * (p - n - branch.volts);
            sum += (p - n) * amperes;
            delivered -= branch.volts * amperes;
            let reach = p.abs() + n.abs() + branch.volts.abs();
            size += branch.siemens * reach * reach;
            // Passivity: what a resistance takes is never negative.
            heat += amperes * amperes / branch.siemens;
        }
        ledger.near("power of all branches", sum, 0.0, ROUNDING * size);
        ledger.near("delivered against heat", delivered, heat, ROUNDING * size);
    });
}

fn a_current_here_lifts_there_as_one_there_lifts_here(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "the theorem of reciprocity, and passivity");
    let cases = (wide(), any::<Index>(), any::<Index>());
    ledger.for_all(CASES, &cases, |(sketch, a, b), ledger| {
        let (a, b) = (1 + a.index(sketch.nodes - 1), 1 + b.index(sketch.nodes - 1));
        let (from_a, from_b) = (sketch.with_unit_current(a), sketch.with_unit_current(b));
        // To the last digits of each number, however small: nothing is subtracted on the way.
        ledger.near_share("reciprocity", from_a[b], from_b[a], ROUNDING);
        // Nothing is lifted below the reference, or above the node that the current enters.
        for volts in &from_a {
            let within = *volts >= 0.0 && *volts <= from_a[a] * (1.0 + ROUNDING);
            ledger.holds("lifted between the reference and the source", within);
        }
    });
}

fn causes_add_up(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "the theorem of superposition");
    let cases = (wide(), prop::collection::vec(0.0..1.0_f64, 64));
    ledger.for_all(CASES, &cases, |(sketch, parts), ledger| {
        let one = sketch.with_volts(|k, volts| volts * parts[k % 64]);
        let other = sketch.with_volts(|k, volts| volts - volts * parts[k % 64]);
        let both = one.solve().into_iter().zip(other.solve());
        let sum: Vec<f64> = both.map(|(a, b)| a + b).collect();
        let slack = sketch.slack();
        agree(ledger, "sum of causes", &sum, &sketch.solve(), (0.0, slack));
    });
}

fn without_causes_nothing_happens_and_potentials_stay_within_reach(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "passivity");
    ledger.for_all(CASES, &wide(), |sketch, ledger| {
        let silent = sketch.with_volts(|_, _| 0.0).solve();
        ledger.holds("no cause, no potential", silent.iter().all(|&v| v == 0.0));
        let reach = sketch.reach() + sketch.slack();
        for volts in sketch.solve() {
            ledger.holds("a potential is within reach", volts.abs() <= reach);
        }
    });
}

fn all_conductances_or_all_causes_can_be_scaled(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "linearity");
    let cases = (wide(), -3.0..3.0_f64, -5.0..5.0_f64);
    ledger.for_all(CASES, &cases, |(sketch, power, share), ledger| {
        let factor = 10.0_f64.powf(*power);
        let stiffer = sketch.with(|_, branch| Branch {
            siemens: branch.siemens * factor,
            ..branch
        });
        let (solution, slack) = (sketch.solve(), sketch.slack());
        let what = "all conductances scaled";
        agree(ledger, what, &stiffer.solve(), &solution, (0.0, slack));
        let scaled: Vec<f64> = solution.iter().map(|volts| volts * share).collect();
        let louder = sketch.with_volts(|_, volts| volts * share).solve();
        let bound = (0.0, share.abs() * slack);
        agree(ledger, "all causes scaled", &louder, &scaled, bound);
    });
}

fn names_of_nodes_and_order_of_branches_do_not_matter(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "names are no physics");
    let cases = (wide(), any::<[u32; 40]>());
    ledger.for_all(CASES, &cases, |(sketch, seed), ledger| {
        let mut nodes: Vec<usize> = (1..sketch.nodes).collect();
        nodes.sort_by_key(|&node| seed[node]);
        nodes.insert(0, 0);
        let mut renamed = sketch.with(|_, branch| Branch {
            p: nodes[branch.p],
            n: nodes[branch.n],
            ..branch
        });
        renamed
            .branches
            .sort_by_key(|branch| (branch.siemens.to_bits() % 1009, branch.p, branch.n));
        let solution = renamed.solve();
        let back: Vec<f64> = nodes.iter().map(|&node| solution[node]).collect();
        let (expected, bound) = (sketch.solve(), (0.0, sketch.slack()));
        agree(ledger, "renamed and reordered", &back, &expected, bound);
        // A branch turned round, with its EMF, is the same branch.
        let turned = sketch.with(|_, branch| Branch {
            p: branch.n,
            n: branch.p,
            volts: -branch.volts,
            ..branch
        });
        agree(ledger, "turned round", &turned.solve(), &expected, bound);
    });
}

fn a_better_conductor_never_raises_the_resistance_seen(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Rayleigh 1899, the law of monotonicity; the change is that of a single branch, exactly",
    );
    let cases = (wide(), any::<Index>(), any::<Index>(), 0.0..3.0_f64);
    ledger.for_all(CASES, &cases, |(sketch, node, branch, power), ledger| {
        let node = 1 + node.index(sketch.nodes - 1);
        let place = branch.index(sketch.branches.len());
        let factor = 10.0_f64.powf(*power);
        let better = sketch.with(|k, branch| Branch {
            siemens: branch.siemens * if k == place { factor } else { 1.0 },
            ..branch
        });
        let seen = |sketch: &Sketch| sketch.with_unit_current(node)[node];
        let (before, after) = (seen(sketch), seen(&better));
        let rises = after > before * (1.0 + ROUNDING);
        ledger.holds("the resistance seen does not rise", !rises);
        // The factor scales one conductance, so the resistance seen falls by that factor at most.
        let falls = after * factor < before * (1.0 - ROUNDING);
        ledger.holds("and falls no more than the one resistance did", !falls);
    });
}

fn a_dense_solver_gives_the_same_where_it_can(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "Gauss elimination with partial pivoting");
    // Four powers of ten: the matrix's condition stays below some 1e7, which leaves nine digits.
    ledger.for_all(CASES, &sketches(-2.0, 2.0), |sketch, ledger| {
        let bound = (0.0, 1e-9 * sketch.reach());
        let found = sketch.solve();
        let expected = &gauss(sketch.matrix::<f64>())[0];
        agree(ledger, "dense", &found[1..], expected, bound);
    });
}

fn a_dense_solver_with_twice_the_digits_gives_the_same_everywhere(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Gauss elimination with partial pivoting in numbers of 32 digits (Dekker 1971, Knuth 1969)",
    );
    let cases = (wide(), any::<Index>());
    ledger.for_all(CASES, &cases, |(sketch, node), ledger| {
        let dense = |sketch: &Sketch| gauss(sketch.matrix::<Double>()).swap_remove(0);
        let found = sketch.solve();
        let slack = (0.0, sketch.slack());
        agree(
            ledger,
            "dense, 32 digits",
            &found[1..],
            &dense(sketch),
            slack,
        );
        // An EMF on the reference costs no digit.
        let anchored = sketch.with(|_, branch| Branch {
            volts: if branch.p != 0 && branch.n != 0 {
                0.0
            } else {
                branch.volts
            },
            ..branch
        });
        let bound = (0.0, ROUNDING * anchored.reach());
        let found = anchored.solve();
        let what = "dense, 32 digits, EMFs on the reference";
        agree(ledger, what, &found[1..], &dense(&anchored), bound);
        // And to the last digits of each potential, however small, when one current drives them all.
        let node = 1 + node.index(sketch.nodes - 1);
        let mut rows = sketch.with_volts(|_, _| 0.0).matrix::<Double>();
        let size = rows.len();
        rows[node - 1][size] = Double::from(1.0);
        let found = sketch.with_unit_current(node);
        let expected = gauss(rows).swap_remove(0);
        let what = "dense, 32 digits, one current";
        agree(ledger, what, &found[1..], &expected, (ROUNDING, 0.0));
    });
}
