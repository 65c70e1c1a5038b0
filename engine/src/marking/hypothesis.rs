//! Everything that could be wrong: each fault of the vehicle that the weather allows in each cell of its
//! severity, and 'none of these'.
//!
//! A severity law is cut into cells of equal probability; the spread within a cell is added to the noise
//! of every prediction. One typical severity for each fault would be badly over-confident.

use crate::scenario::Scenario;
use crate::vehicle::{ComponentId, Fault, Loose, ModeId, Vehicle};

/// Cells of a severity.
pub(super) const CELLS: u32 = 9;

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
    /// Prior probability; those of all hypotheses and of 'none of these' sum to 1.
    pub(super) prior: f64,
    /// Position in the list of cures.
    pub(super) class: usize,
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
        let cells = if data.severity.is_some() && !parts_in_bouts(vehicle, &median) {
            CELLS
        } else {
            1
        };
        for cell in 0..cells {
            let quantile = (f64::from(cell) + 0.5) / f64::from(cells);
            let severity = data.severity.map(|law| law.quantile(quantile));
            list.push(Hypothesis {
                fault: Fault {
                    component,
                    mode,
                    severity,
                },
                cell: cell as usize,
                cells: cells as usize,
                prior: (1.0 - NONE_OF_THESE) * weight / (total * f64::from(cells)),
                class,
            });
        }
    }
    (list, cures)
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
