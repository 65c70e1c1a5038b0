//! Comparisons kept as they are made: how many, which came nearest to its bound, which broke it. The same
//! check then serves a test (no bound may be broken) and the table of `truth`.

use std::fmt::{Display, Write as _};

use proptest::strategy::Strategy;
use proptest::test_runner::{Config, RngAlgorithm, RngSeed, TestCaseError, TestRunner};

/// How an expected value is known, which says how tight a bound it carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    /// A law or another program: to rounding, or to what is said beside it.
    Computed,
    /// Read in the named document or in an open copy of its worked numbers: to the printed digits.
    Read,
    /// Read in a text that quotes the document: to the printed digits.
    Quoted,
    /// From memory: one-sided or wide bounds only.
    Memory,
    /// Common practice without a published source: one-sided or wide bounds only.
    Practice,
}

impl Known {
    /// The words used in tables.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Computed => "computed",
            Self::Read => "read",
            Self::Quoted => "quoted",
            Self::Memory => "from memory",
            Self::Practice => "practice, no source",
        }
    }
}

/// A comparison that came nearer to its bound than all before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Worst {
    /// What was compared.
    pub what: String,
    /// What the engine gives.
    pub found: f64,
    /// What it is held against.
    pub expected: f64,
    /// How far apart they may be.
    pub bound: f64,
}

impl Worst {
    /// How far apart they are.
    #[must_use]
    pub fn apart(&self) -> f64 {
        (self.found - self.expected).abs()
    }

    /// That, as a share of the bound; beyond 1 the bound is broken.
    #[must_use]
    pub fn share(&self) -> f64 {
        let apart = self.apart();
        if apart == 0.0 {
            0.0
        } else {
            apart / self.bound
        }
    }
}

/// How much of a space a check goes through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    /// A sample, for `cargo test`.
    #[default]
    Sample,
    /// More, within minutes.
    Sweep,
    /// All that is wanted before a release, however long it takes.
    Full,
}

/// Comparisons made by a check.
#[derive(Clone, Debug, Default)]
pub struct Ledger {
    scope: Scope,
    skipped: Option<String>,
    uncovered: Vec<String>,
    comparisons: u64,
    broken: u64,
    worst: Option<Worst>,
    failures: Vec<String>,
    sources: Vec<(Known, &'static str)>,
}

/// Failures that are told in full; of more only the count.
const TOLD_MAX: usize = 20;

impl Ledger {
    /// An empty ledger for a scope.
    #[must_use]
    pub fn of(scope: Scope) -> Self {
        Self {
            scope,
            ..Self::default()
        }
    }

    /// How much of its space a check should go through.
    #[must_use]
    pub const fn scope(&self) -> Scope {
        self.scope
    }

    /// Notes that the check cannot be made here, and why.
    pub fn skip(&mut self, why: impl Display) {
        self.skipped = Some(why.to_string());
    }

    /// Why the check was not made, if it was not.
    #[must_use]
    pub fn skipped(&self) -> Option<&str> {
        self.skipped.as_deref()
    }

    /// Notes a vehicle that the check passes over, and why.
    pub fn not_covered(&mut self, what: impl Display) {
        let what = what.to_string();
        if !self.uncovered.contains(&what) {
            self.uncovered.push(what);
        }
    }

    /// The vehicles that the check passes over, each with why.
    #[must_use]
    pub fn uncovered(&self) -> &[String] {
        &self.uncovered
    }

    /// Says what the comparisons to come are held against: author, year, title, section.
    pub fn source(&mut self, known: Known, source: &'static str) {
        if !self.sources.contains(&(known, source)) {
            self.sources.push((known, source));
        }
    }

    /// Holds `found` within `bound` of `expected`.
    pub fn near(&mut self, what: impl Display, found: f64, expected: f64, bound: f64) {
        self.comparisons += 1;
        let worst = |what: &dyn Display| Worst {
            what: what.to_string(),
            found,
            expected,
            bound,
        };
        let apart = (found - expected).abs();
        let share = if apart == 0.0 { 0.0 } else { apart / bound };
        if share.is_nan() || share > 1.0 {
            self.fail(format_args!(
                "{what}: {found:e} where {expected:e} +/- {bound:e} is expected"
            ));
        }
        if self
            .worst
            .as_ref()
            .is_none_or(|worst| share > worst.share() || share.is_nan())
        {
            self.worst = Some(worst(&what));
        }
    }

    /// Holds `found` within a share of `expected`.
    pub fn near_share(&mut self, what: impl Display, found: f64, expected: f64, share: f64) {
        self.near(what, found, expected, share * expected.abs());
    }

    /// Holds `found` between two limits, as for a value from memory.
    pub fn between(&mut self, what: impl Display, found: f64, low: f64, high: f64) {
        self.near(what, found, 0.5 * (low + high), 0.5 * (high - low));
    }

    /// Holds a statement to be true.
    pub fn holds(&mut self, what: impl Display, holds: bool) {
        self.comparisons += 1;
        if !holds {
            self.fail(format_args!("{what}: does not hold"));
        }
    }

    /// Notes a comparison that could not be made at all.
    pub fn fail(&mut self, what: impl Display) {
        self.broken += 1;
        if self.failures.len() < TOLD_MAX {
            self.failures.push(what.to_string());
        }
    }

    /// Tries a law on random cases drawn with a fixed seed, so that a failure is one for everybody; what
    /// fails is reduced to a small case first. A sweep tries four times as many, a full one forty times.
    pub fn for_all<S: Strategy>(
        &mut self,
        cases: u32,
        strategy: &S,
        law: impl Fn(&S::Value, &mut Self),
    ) where
        S::Value: Clone,
    {
        let factor = match self.scope {
            Scope::Sample => 1,
            Scope::Sweep => 4,
            Scope::Full => 40,
        };
        let scope = self.scope;
        let config = Config {
            cases: cases * factor,
            failure_persistence: None,
            rng_algorithm: RngAlgorithm::ChaCha,
            rng_seed: RngSeed::Fixed(1845),
            ..Config::default()
        };
        let total = std::cell::RefCell::new(std::mem::take(self));
        let outcome = TestRunner::new(config).run(strategy, |case| {
            let mut ledger = Self::of(scope);
            law(&case, &mut ledger);
            let told = ledger.failures.first().cloned();
            match told {
                Some(told) => Err(TestCaseError::fail(told)),
                None => {
                    total.borrow_mut().add(ledger);
                    Ok(())
                }
            }
        });
        *self = total.into_inner();
        if let Err(error) = outcome {
            self.fail(error);
        }
    }

    /// Takes in the comparisons of another ledger.
    pub fn add(&mut self, other: Self) {
        self.comparisons += other.comparisons;
        self.broken += other.broken;
        let room = TOLD_MAX.saturating_sub(self.failures.len());
        self.failures.extend(other.failures.into_iter().take(room));
        if self.skipped.is_none() {
            self.skipped = other.skipped;
        }
        for (known, source) in other.sources {
            self.source(known, source);
        }
        for what in other.uncovered {
            self.not_covered(what);
        }
        if let Some(worst) = other.worst
            && self
                .worst
                .as_ref()
                .is_none_or(|own| worst.share() > own.share())
        {
            self.worst = Some(worst);
        }
    }

    /// How many comparisons were made.
    #[must_use]
    pub const fn comparisons(&self) -> u64 {
        self.comparisons
    }

    /// How many bounds were broken.
    #[must_use]
    pub const fn broken(&self) -> u64 {
        self.broken
    }

    /// The comparison that came nearest to its bound, or broke it furthest.
    #[must_use]
    pub const fn worst(&self) -> Option<&Worst> {
        self.worst.as_ref()
    }

    /// What the comparisons were held against.
    #[must_use]
    pub fn sources(&self) -> &[(Known, &'static str)] {
        &self.sources
    }

    /// What was broken, a line each; nothing when all bounds hold.
    #[must_use]
    pub fn complaint(&self) -> Option<String> {
        if self.broken == 0 {
            return None;
        }
        let mut text = format!("{} of {} comparisons fail", self.broken, self.comparisons);
        for failure in &self.failures {
            // Writing into a String cannot fail.
            let _ = write!(text, "\n  {failure}");
        }
        let untold = self.broken - self.failures.len() as u64;
        if untold > 0 {
            let _ = write!(text, "\n  and {untold} more");
        }
        for (known, source) in &self.sources {
            let _ = write!(text, "\n  held against ({}): {source}", known.words());
        }
        Some(text)
    }
}

/// A check: a name and what it compares.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its name, which is that of its test as well.
    pub name: &'static str,
    /// Makes its comparisons.
    pub run: fn(&mut Ledger),
}

/// Runs a check.
///
/// # Panics
/// When it breaks a bound, or compares nothing.
#[track_caller]
pub fn hold(check: fn(&mut Ledger)) {
    let mut ledger = Ledger::default();
    check(&mut ledger);
    if let Some(complaint) = ledger.complaint() {
        panic!("{complaint}");
    }
    let made = ledger.comparisons() > 0 || ledger.skipped().is_some();
    assert!(made, "nothing was compared");
}

/// The checks of a module: a list for `truth`, and a test by the same name for each.
#[macro_export]
macro_rules! checks {
    ($($name:ident),+ $(,)?) => {
        /// The checks of this module.
        pub const CHECKS: &[$crate::ledger::Check] =
            &[$($crate::ledger::Check { name: stringify!($name), run: $name }),+];

        #[cfg(test)]
        mod held {
            $(#[test]
            fn $name() {
                $crate::ledger::hold(super::$name);
            })+
        }
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_broken_bound_is_told_with_its_source() {
        let mut ledger = Ledger::default();
        ledger.source(Known::Read, "a book, section 1");
        ledger.near("a volt", 1.0, 1.0, 0.0);
        ledger.near("another", 1.2, 1.0, 0.1);
        ledger.near("no number", f64::NAN, 1.0, 0.1);
        ledger.holds("a law", false);
        assert_eq!((ledger.comparisons(), ledger.broken()), (4, 3));
        let complaint = ledger.complaint().unwrap();
        for told in [
            "3 of 4",
            "another: 1.2e0",
            "no number: NaN",
            "a law",
            "a book, section 1",
        ] {
            assert!(complaint.contains(told), "{complaint}");
        }
    }

    #[test]
    fn the_worst_is_the_one_nearest_to_its_bound() {
        let mut ledger = Ledger::default();
        ledger.near("far apart, wide bound", 2.0, 1.0, 10.0);
        ledger.near("close, tight bound", 1.01, 1.0, 0.02);
        ledger.between("in the middle", 5.0, 0.0, 10.0);
        assert_eq!(ledger.worst().unwrap().what, "close, tight bound");
        assert_eq!(ledger.complaint(), None);
    }

    #[test]
    fn a_law_that_fails_on_some_case_is_found() {
        let mut ledger = Ledger::default();
        ledger.for_all(64, &(0..100_u32), |&n, ledger| {
            ledger.holds("below 90", n < 90)
        });
        assert_eq!(ledger.broken(), 1);
        let complaint = ledger.complaint().unwrap();
        // Reduced to the smallest case that fails.
        assert!(
            complaint.contains("minimal failing input: 90"),
            "{complaint}"
        );
    }
}
