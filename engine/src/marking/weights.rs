//! Weights, bands and limits of the mark, all in one place. They are judgement until learners' results
//! say better.

pub use crate::attempt::MARKING_VERSION;

/// Share of each mark in the total.
pub const TIME: f64 = 0.5;
/// Share of each mark in the total.
pub const ORDER: f64 = 0.3;
/// Share of each mark in the total.
pub const CORRECTNESS: f64 = 0.2;

/// Share of the hand-over's mark that hangs on what was seen after the last repair; the rest is the write-up.
pub const HAND_OVER_SEEN: f64 = 0.6;
/// Points off the total when nothing of what could remain would have shown at hand-over.
pub const UNVERIFIED: f64 = 15.0;
/// Points off safety, and off the total, for each minor hazard.
pub const MINOR_HAZARD: f64 = 5.0;
/// Points off safety for each major hazard.
pub const MAJOR_HAZARD: f64 = 40.0;
/// Points off the total for each major hazard: it never costs less than a minor one, however low the total is.
pub const MAJOR_POINTS: f64 = 15.0;
/// The most that the total can be after a major hazard.
pub const MAJOR_CAP: f64 = 59.0;
/// Belief in vehicles whose linkage would have moved with the hands in it from which that counts as if it had
/// moved: that it stood was luck, and luck is no excuse.
pub const WOULD_HAVE_CAUGHT: f64 = 0.5;
/// The most that the total can be when the vehicle was not put right, times the verdict's kinship.
pub const UNCURED_CAP: f64 = 40.0;
/// Why the total is held to that.
pub const NOT_PUT_RIGHT: &str = "the vehicle was not put right";

/// Minutes added to par, so that a trivial case does not turn on one minute.
pub const PAR_CONSTANT_MIN: f64 = 4.0;
/// Share of par that may be lost without costing anything.
pub const PAR_SLACK: f64 = 0.1;
/// Minutes that an action may lose and still count as fully efficient.
pub const TRIFLE_MIN: f64 = 0.25;
/// Bits below which a check is redundant.
pub const REDUNDANT_BITS: f64 = 0.02;
/// Minutes an ordered repair may lose and still count as well founded.
pub const FOUNDED_MIN: f64 = 0.5;
/// Belief in a repair at which the reference orders it.
pub const PROVEN: f64 = 0.95;
/// Minutes of operating all positions and park after a repair, reckoned with each repair.
pub const VERIFY_MIN: f64 = 4.0;
/// Minutes that may be spent on seeing to the vehicle after a repair without costing anything.
pub const VERIFY_FREE_MIN: f64 = 8.0;
/// Minutes that may be spent on confirming what is already proven without costing anything, repeats apart: a person is
/// not as sure of a reading as the reckoning is, and proof is what the trade asks for.
pub const CONFIRM_FREE_MIN: f64 = 8.0;
/// Minutes beyond its own, as a walk and a control, that may come before a first look or question without being counted
/// with the next check.
pub const LOOK_FREE_MIN: f64 = 0.6;
/// Coarseness of the second reading model: a sound expert may read coarser than the meter allows.
pub const COARSE: f64 = 3.0;

/// Lower limits of the bands and their words, best first.
pub const BANDS: [(f64, &str); 4] = [
    (85.0, "shop-ready"),
    (70.0, "sound"),
    (55.0, "developing"),
    (0.0, "redo"),
];

/// The band of a total, which is in whole points.
#[must_use]
pub fn band(total: f64) -> &'static str {
    BANDS
        .iter()
        .find(|(limit, _)| total >= *limit)
        .map_or("redo", |(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shares_of_the_total_make_up_the_whole() {
        assert!((TIME + ORDER + CORRECTNESS - 1.0).abs() < 1e-12);
    }

    #[test]
    fn bands_begin_at_their_limits() {
        for (total, word) in [
            (100.0, "shop-ready"),
            (85.0, "shop-ready"),
            (84.0, "sound"),
            (69.0, "developing"),
            (MAJOR_CAP, "developing"),
            (54.0, "redo"),
            (0.0, "redo"),
        ] {
            assert_eq!(band(total), word, "{total}");
        }
    }
}
