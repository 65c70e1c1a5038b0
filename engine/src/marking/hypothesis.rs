//! Everything that could be wrong: each fault of the vehicle that the weather allows in each cell of its
//! severity, and 'none of these'.
//!
//! A severity law is cut into cells of equal probability; the spread within a cell is added to the noise
//! of every prediction. One typical severity for each fault would be badly over-confident.

use super::belief::{AtPoints, POINTS};
use crate::math;
use crate::scenario::Scenario;
use crate::vehicle::{ComponentId, Fault, Loose, ModeId, SeverityLaw, Spread, Vehicle};

/// Cells of a severity.
pub(super) const CELLS: u32 = 9;

/// Where the last cell of a law that reaches far out is parted again, and its end.
const FAR_OUT: [f64; 3] = [0.95, 0.985, 1.0];

/// Prior of 'none of these'.
pub(super) const NONE_OF_THESE: f64 = 0.01;

/// A repair that cures: the class that bits are counted over. Bits about a severity cure nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cure {
    pub(super) component: ComponentId,
    /// Position in the component's repairs.
    pub(super) way: usize,
}

/// One fault in one cell of its severity.
#[derive(Clone, Debug)]
pub(super) struct Hypothesis {
    pub(super) fault: Fault,
    /// Position among the cells of the same fault, and how many there are.
    pub(super) cell: usize,
    pub(super) cells: usize,
    /// Where points of the cell lie between its middle and those of the next cells, in steps to them: milder ones below
    /// nought, worse ones above. The last ones reach far out. 0 where there is one cell.
    pub(super) points: AtPoints,
    /// Prior probability; those of all hypotheses and of 'none of these' sum to 1.
    pub(super) prior: f64,
    /// Position in the list of cures.
    pub(super) class: usize,
}

impl Hypothesis {
    /// The next milder and the next worse cell of the same fault, by the place of this one in the list.
    pub(super) fn beside(&self, index: usize) -> [Option<usize>; 2] {
        let milder = (self.cell > 0).then(|| index - 1);
        let worse = (self.cell + 1 < self.cells).then_some(index + 1);
        [milder, worse]
    }
}

/// All hypotheses of a vehicle in a scenario, cells of one fault side by side in rising severity, and their cures.
pub(super) fn hypotheses(vehicle: &Vehicle, scenario: &Scenario) -> (Vec<Hypothesis>, Vec<Cure>) {
    let possible: Vec<_> = vehicle
        .faults()
        .into_iter()
        .zip(vehicle.prior_weights())
        .filter(|((_, _, mode), _)| scenario.can_bring(mode))
        .collect();
    let total: f64 = possible.iter().map(|(_, weight)| weight).sum();
    let mut cures: Vec<Cure> = Vec::new();
    let mut list = Vec::new();
    for ((component, mode, data), weight) in possible {
        let cure = cure_of(vehicle, component, mode);
        let class = cures
            .iter()
            .position(|known| *known == cure)
            .unwrap_or_else(|| {
                cures.push(cure);
                cures.len() - 1
            });
        let median = Fault {
            component,
            mode,
            severity: data.severity.map(|law| law.median()),
        };
        // What parts in bouts is met closed or parted, and hardly differs by how often.
        let law = data.severity;
        let edges = match law {
            Some(law) if !parts_in_bouts(vehicle, &median) => edges(law),
            _ => vec![0.0, 1.0],
        };
        for cell in 0..edges.len() - 1 {
            let severity = law.map(|law| law.quantile(middle(&edges, cell)));
            list.push(Hypothesis {
                fault: Fault {
                    component,
                    mode,
                    severity,
                },
                cell,
                cells: edges.len() - 1,
                points: law.map_or([0.0; POINTS], |law| points(law, &edges, cell)),
                prior: (1.0 - NONE_OF_THESE) * weight / total * (edges[cell + 1] - edges[cell]),
                class,
            });
        }
    }
    (list, cures)
}

/// The shares of all cases that are less bad than where one cell ends and the next begins. Cells are equally likely, but for
/// the last where it reaches far out: a vehicle that has the middle of that cell may run and one farther out stand.
fn edges(law: SeverityLaw) -> Vec<f64> {
    let mut edges: Vec<f64> = (0..=CELLS)
        .map(|edge| f64::from(edge) / f64::from(CELLS))
        .collect();
    if reaches_far_out(law) {
        edges.splice(edges.len() - 1.., FAR_OUT);
    }
    edges
}

/// The share of all cases that is less bad than the middle of a cell.
fn middle(edges: &[f64], cell: usize) -> f64 {
    0.5 * (edges[cell] + edges[cell + 1])
}

/// Where points of a cell, each as likely as the next, lie in steps to its neighbours. On the side where it has none, a step
/// is as long as on the other; beyond the worst of a law that reaches far out it is one of what severity is a denominator
/// of, as a resistance is.
fn points(law: SeverityLaw, edges: &[f64], cell: usize) -> AtPoints {
    let cells = edges.len() - 1;
    let middle_of = |cell: usize| law.quantile(middle(edges, cell));
    let own = middle_of(cell);
    let low = (cell > 0).then(|| middle_of(cell - 1));
    let high = (cell + 1 < cells).then(|| middle_of(cell + 1));
    let at = |point: usize| {
        #[expect(clippy::cast_precision_loss, reason = "a few points")]
        let share = (point as f64 + 0.5) / POINTS as f64;
        let severity = law.quantile(edges[cell] + share * (edges[cell + 1] - edges[cell]));
        let steps = match (low, high) {
            (None, None) => 0.0,
            (Some(low), _) if severity < own => (severity - own) / (own - low),
            (_, Some(high)) => (severity - own) / (high - own),
            (Some(low), None) if reaches_far_out(law) => {
                (1.0 / own - 1.0 / severity) / (1.0 / low - 1.0 / own)
            }
            (Some(low), None) => (severity - own) / (own - low),
        };
        if steps.is_finite() { steps } else { 0.0 }
    };
    std::array::from_fn(at)
}

const fn reaches_far_out(law: SeverityLaw) -> bool {
    matches!(law.spread, Spread::LogNormal { .. })
}

/// How far points are from the middle, root mean square, in steps.
pub(super) fn reach(points: &[f64]) -> f64 {
    let squares: f64 = points.iter().map(|steps| math::square(*steps)).sum();
    #[expect(clippy::cast_precision_loss, reason = "a few points")]
    let count = points.len().max(1) as f64;
    math::sqrt(squares / count)
}

fn parts_in_bouts(vehicle: &Vehicle, fault: &Fault) -> bool {
    let faulty = vehicle.inject(fault);
    let shaken = |loose| matches!(loose, Loose::Shaken { .. });
    faulty.loose_paths().any(|(.., loose)| shaken(loose))
}

/// The proper repair of a fault.
pub(super) fn cure_of(vehicle: &Vehicle, component: ComponentId, mode: ModeId) -> Cure {
    let part = vehicle.component(component);
    let fault = Fault {
        component,
        mode,
        severity: None,
    };
    let cures = vehicle.mode(&fault).cures;
    let proper = cures
        .first()
        .and_then(|cure| part.repairs.iter().position(|repair| repair.name == *cure));
    Cure {
        component,
        way: proper.unwrap_or(0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vehicle::{SeverityUnit, Spread};

    /// Median 1, sigma 1, cut so far out that nothing of it is missed.
    const LAW: SeverityLaw = SeverityLaw {
        unit: SeverityUnit::Ohm,
        spread: Spread::LogNormal {
            median: 1.0,
            sigma: 1.0,
        },
        min: 1e-3,
        max: 1e3,
    };

    /// Points and weights of three and of five points for a normal weight [Abramowitz 1964], table 25.10: 0 and ±√3; 0
    /// and ±√(5 ± √10).
    const THREE: [(f64, f64); 3] = [
        (-1.732_051, 1.0 / 6.0),
        (0.0, 2.0 / 3.0),
        (1.732_051, 1.0 / 6.0),
    ];
    const FIVE: [(f64, f64); 5] = [
        (-2.856_970, 0.011_257),
        (-1.355_626, 0.222_076),
        (0.0, 0.533_333),
        (1.355_626, 0.222_076),
        (2.856_970, 0.011_257),
    ];

    fn severities(points: &[(f64, f64)]) -> Vec<f64> {
        let at = |(z, _): &(f64, f64)| LAW.quantile(math::normal_cdf(*z));
        points.iter().map(at).collect()
    }

    #[test]
    fn quantiles_of_a_lognormal_law_are_those_of_normal_tables() {
        let near = |found: Vec<f64>, expected: &[f64]| {
            for (found, expected) in found.iter().zip(expected) {
                assert!((found / expected - 1.0).abs() < 1e-3, "{found} {expected}");
            }
        };
        near(severities(&THREE), &[0.1769, 1.0, 5.6522]);
        near(severities(&FIVE), &[0.0574, 0.2578, 1.0, 3.879, 17.41]);
    }

    #[test]
    fn cells_leave_no_holes_where_the_points_of_a_quadrature_do() {
        // Averages over three and five points are right: their mean is e^½, as it should be. But between neighbours lies
        // a factor of 3.8 or more that a severity can fall into; between the middles of cells it is 2 at most.
        let mean = |points: &[(f64, f64)]| -> f64 {
            let each = severities(points).into_iter().zip(points);
            each.map(|(severity, (_, weight))| severity * weight).sum()
        };
        assert!((mean(&THREE) / math::exp(0.5) - 1.0).abs() < 1e-2);
        assert!((mean(&FIVE) / math::exp(0.5) - 1.0).abs() < 1e-3);
        let apart = |severities: &[f64]| -> Vec<f64> {
            severities
                .windows(2)
                .map(|pair| pair[1] / pair[0])
                .collect()
        };
        assert!(apart(&severities(&FIVE)).iter().all(|times| *times > 3.8));
        let edges = edges(LAW);
        let cells: Vec<f64> = (0..edges.len() - 1)
            .map(|cell| LAW.quantile(middle(&edges, cell)))
            .collect();
        assert!(apart(&cells).iter().all(|times| *times < 2.0), "{cells:?}");
        assert!((cells[4] - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_last_cell_of_a_law_that_reaches_far_out_is_parted() {
        // Own numbers: standard normal quantiles of .9194, .9675 and .9925 are 1.401, 1.846 and 2.432.
        let edges = edges(LAW);
        let middles: Vec<f64> = (8..edges.len() - 1)
            .map(|cell| math::log(LAW.quantile(middle(&edges, cell))))
            .collect();
        for (found, expected) in middles.iter().zip([1.401, 1.846, 2.432]) {
            assert!((found - expected).abs() < 2e-3, "{middles:?}");
        }
        assert_eq!(middles.len(), 3);
        let chances: f64 = edges.windows(2).map(|pair| pair[1] - pair[0]).sum();
        assert!((chances - 1.0).abs() < 1e-12);
    }

    #[test]
    fn points_fill_a_cell_from_half_way_to_half_way() {
        // A uniform law in nine cells: five points of one chance lie at -.4, -.2, 0, .2 and .4 of the way to the next.
        let even = SeverityLaw {
            spread: Spread::Uniform,
            ..LAW
        };
        let edges = edges(even);
        assert_eq!(edges.len(), CELLS as usize + 1);
        for cell in [0, 4, 8] {
            let points = points(even, &edges, cell);
            for (found, expected) in points.iter().zip([-0.4, -0.2, 0.0, 0.2, 0.4]) {
                assert!((found - expected).abs() < 1e-9, "{cell}: {points:?}");
            }
            assert!((reach(&points) - math::sqrt(0.08)).abs() < 1e-9);
        }
        // The worst of a law that reaches far out is a third as bad again and more, in steps of one over the severity.
        let edges = super::edges(LAW);
        let worst = points(LAW, &edges, edges.len() - 2);
        assert!(worst.windows(2).all(|pair| pair[0] < pair[1]), "{worst:?}");
        assert!(worst[4] > 0.3 && worst[4] < 2.0, "{worst:?}");
    }
}
