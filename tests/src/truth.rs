//! The harness: every check that holds the engine against something outside it, in blocks.
//!
//! Each check is a test by its own name, at the scope of a sample; `cargo run --release -p groundside-tests
//! --bin truth` runs the same checks, at a wider scope if asked, and prints how many comparisons each block
//! made and where it came nearest to its bounds.

use std::fmt::Write as _;
use std::time::Duration;

use crate::determinism;
use crate::faults;
use crate::laws;
use crate::ledger::{Check, Ledger, Worst};
use crate::naive;
use crate::person;
use crate::predictions;
use crate::published;
use crate::repairs;
use crate::soak;
use crate::spice;

/// Checks of one kind.
#[derive(Clone, Copy, Debug)]
pub struct Block {
    /// Its name, as typed.
    pub name: &'static str,
    /// What it holds the engine against.
    pub title: &'static str,
    /// Its checks.
    pub checks: &'static [&'static [Check]],
}

/// All blocks, in the order they run.
pub const BLOCKS: &[Block] = &[
    Block {
        name: "spice-points",
        title: "ngspice at operating points, on printed decks and on decks written by hand",
        checks: &[spice::sweep::CHECKS, spice::by_hand::CHECKS],
    },
    Block {
        name: "spice-speed",
        title: "ngspice finding the speed, mechanics in the circuit",
        checks: &[spice::speed::CHECKS],
    },
    Block {
        name: "spice-transients",
        title: "ngspice running in time: spin-up, stall, trips, parking",
        checks: &[spice::transient::CHECKS],
    },
    Block {
        name: "laws",
        title: "laws of circuits and machines",
        checks: &[
            laws::networks::CHECKS,
            laws::vehicles::CHECKS,
            laws::machines::CHECKS,
            laws::energy::CHECKS,
            laws::splitting::CHECKS,
            laws::renaming::CHECKS,
        ],
    },
    Block {
        name: "faults",
        title: "what faults and repairs do to values, by their names",
        checks: &[faults::CHECKS],
    },
    Block {
        name: "naive",
        title: "a second, naive implementation of the vehicle in time",
        checks: &[
            naive::by_hand::CHECKS,
            naive::attempts::CHECKS,
            naive::readings::CHECKS,
            naive::wound::CHECKS,
        ],
    },
    Block {
        name: "person",
        title: "what a person sees, hears, feels and is charged, worked out by hand",
        checks: &[
            person::senses::CHECKS,
            person::instruments::CHECKS,
            person::rules::CHECKS,
        ],
    },
    Block {
        name: "marking",
        title: "what marking predicts against what a person then reads, and repairs in time",
        checks: &[predictions::CHECKS, repairs::CHECKS],
    },
    Block {
        name: "published",
        title: "published tables, worked examples, rules and practice",
        checks: published::CHECKS,
    },
    Block {
        name: "soak",
        title: "any command after any other, on any vehicle with any fault",
        checks: &[soak::CHECKS],
    },
    Block {
        name: "determinism",
        title: "kept digests of records and marks",
        checks: &[determinism::CHECKS],
    },
];

/// What a block came to.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The block.
    pub block: Block,
    /// Its comparisons, by check.
    pub ledgers: Vec<(&'static str, Ledger)>,
    /// How long it took.
    pub took: Duration,
}

impl Outcome {
    /// Why part of it was not made, if it was not.
    #[must_use]
    pub fn skipped(&self) -> Option<&str> {
        self.ledgers.iter().find_map(|(_, ledger)| ledger.skipped())
    }

    /// Vehicles that some check passes over, each with why.
    fn uncovered(&self) -> Vec<&str> {
        let each = self.ledgers.iter();
        let mut list: Vec<&str> = each
            .flat_map(|(_, ledger)| ledger.uncovered())
            .map(String::as_str)
            .collect();
        list.sort_unstable();
        list.dedup();
        list
    }

    fn comparisons(&self) -> u64 {
        self.ledgers
            .iter()
            .map(|(_, ledger)| ledger.comparisons())
            .sum()
    }

    /// The comparison of all checks that came nearest to its bound, and its check.
    fn worst(&self) -> Option<(&'static str, &Worst)> {
        let each = self.ledgers.iter();
        each.filter_map(|(check, ledger)| Some((*check, ledger.worst()?)))
            .max_by(|(_, one), (_, other)| one.share().total_cmp(&other.share()))
    }

    /// Its line of the table.
    #[must_use]
    pub fn row(&self) -> String {
        let worst = self.worst().map_or_else(String::new, |(check, worst)| {
            format!(
                "{:.1e} of {:.0e} ({:.0} %): {check}, {}",
                worst.apart(),
                worst.bound,
                100.0 * worst.share(),
                short(&worst.what)
            )
        });
        let broken: u64 = self.ledgers.iter().map(|(_, ledger)| ledger.broken()).sum();
        let verdict = match (broken, self.skipped()) {
            (1.., _) => format!("**{broken} BROKEN**"),
            (0, Some(why)) => format!("not all: {why}"),
            (0, None) => "holds".to_owned(),
        };
        let uncovered = self.uncovered();
        let verdict = if uncovered.is_empty() {
            verdict
        } else {
            format!("{verdict}; NOT COVERED: {}", uncovered.join("; "))
        };
        format!(
            "| {} | {} | {} | {} | {worst} | {verdict} |",
            self.block.name,
            self.block.title,
            self.ledgers.len(),
            self.comparisons(),
        )
    }
}

/// The beginning of a long text: a table tells where to look, `--each` the whole.
fn short(text: &str) -> String {
    const LETTERS_MAX: usize = 40;
    match text.char_indices().nth(LETTERS_MAX) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_owned(),
    }
}

/// The head of the table.
pub const TABLE_HEAD: &str = "\
| block | held against | checks | comparisons | worst, of its bound | verdict |
|---|---|---|---|---|---|";

/// Everything that was broken, by check; empty when all holds.
#[must_use]
pub fn complaints(outcome: &Outcome) -> String {
    let mut text = String::new();
    for (check, ledger) in &outcome.ledgers {
        if let Some(complaint) = ledger.complaint() {
            // Writing into a String cannot fail.
            let _ = writeln!(text, "{}/{check}: {complaint}", outcome.block.name);
        }
    }
    text
}
