//! Readings of what gives way to shaking: met closed, met parted, or met as it parts and closes.

use super::entry::Met;
use super::information::Bout;
use crate::math;
use crate::world::{Errors, Observable, Observation, Quantity, Scale};

/// Share of bouts that begin or end in the window of a reading, which then lies anywhere (judgement).
const BETWEEN: f64 = 0.2;
/// Standard deviation of the mean of what hands part and close again and again, as a share of its swing (judgement): for how
/// long it is parted hangs on the hand.
const BY_HAND: f64 = 0.15;
/// Farthest that blades are from their rest where a bout stops them, millimetres at the tip (judgement).
const ANYWHERE_MM: f64 = 700.0;
/// Level of blades that stand far from their rest; the next one is that they go.
const FARTHEST_STANDING: f64 = 2.0;
/// Standard deviation of where blades stand that something may stop anywhere on that way.
pub(super) const STOPPED_SD_MM: f64 = 200.0;

/// A bout's prediction without a spread of severities, but for that of what swings. Blades that it stops stand anywhere.
pub(super) fn bout(mut met: Met) -> Bout {
    stand_anywhere(&mut met.seen);
    let spread = |of: &Observable| {
        let swing = match of.scale {
            Scale::Display(_) => BY_HAND * (of.max - of.min),
            Scale::Words(_) => 0.0,
        };
        math::sqrt(math::square(of.quantity.tolerance(of.value)) + math::square(swing))
    };
    Bout {
        chance: met.chance,
        spreads: met.seen.iter().map(spread).collect(),
        seen: met.seen,
    }
}

/// Lets blades that something stopped on their way stand anywhere on it: how far they came hangs on when that was, and
/// after some minutes of wiping on far less of a severity than two hypotheses are apart.
pub(super) fn stand_anywhere(seen: &mut [Observable]) {
    for of in seen {
        let farthest = match of.quantity {
            Quantity::Rest => ANYWHERE_MM,
            Quantity::Blades if of.value <= FARTHEST_STANDING => FARTHEST_STANDING,
            _ => continue,
        };
        (of.min, of.max) = (0.0, farthest);
        of.value = 0.5 * farthest;
    }
}

/// Lets an answer that hangs on the moment of a bout be anywhere in its range: which one a vehicle would give by
/// itself is no more likely than the others.
pub(super) fn told_by_chance(seen: &mut [Observable]) {
    for told in seen
        .iter_mut()
        .filter(|seen| seen.quantity == Quantity::Told)
    {
        told.value = 0.5 * (told.min + told.max);
    }
}

/// Logarithm of the likelihood of what is read while a contact closes and parts: its mean lies anywhere
/// between those of the two. How far it swings hangs on how often a motor starts again meanwhile; whether motor
/// or meter take notice of a hand that does something else, and whether relays drop out and pull in with the contact,
/// is chance.
pub(super) fn between(closed: &[Observable], parted: &[Observable], read: &Observation) -> f64 {
    let of = |list: &[Observable]| list.iter().find(|seen| seen.is_of(read)).cloned();
    let (Some(closed), Some(parted)) = (of(closed), of(parted)) else {
        return read.log_chance();
    };
    if matches!(
        closed.quantity,
        Quantity::Falters | Quantity::ClipSwings | Quantity::RelayClicks
    ) {
        return read.log_chance();
    }
    // Blades that a bout has stopped go home once it ends, in a position in which they stand before it and in it.
    let of_blades = matches!(
        closed.quantity,
        Quantity::Pace | Quantity::Blades | Quantity::Rest | Quantity::Evenness | Quantity::Pitch
    );
    if of_blades && closed.observe(Errors::NONE) == parted.observe(Errors::NONE) {
        return read.log_chance();
    }
    let (min, max) = (closed.min.min(parted.min), closed.max.max(parted.max));
    let (one, other) = match closed.scale {
        Scale::Display(_) => (min, max),
        Scale::Words(_) => (closed.value, parted.value),
    };
    let apart = other - one;
    let both = Observable {
        value: 0.5 * (one + other),
        min,
        max,
        ..closed
    };
    let tolerance = both.quantity.tolerance(both.value);
    let spread = math::sqrt(math::square(apart) / 12.0 + math::square(tolerance));
    both.log_likelihood_of_mean(read, spread)
}

/// Logarithm of the likelihood of a reading that meets a contact parted with a chance: from those of the
/// reading with it closed and parted, and of one between them, for bouts that begin or end meanwhile.
pub(super) fn mixed(chance: f64, closed: f64, parted: f64, between: f64) -> f64 {
    let terms = [
        (1.0 - chance, closed),
        (chance * (1.0 - BETWEEN), parted),
        (chance * BETWEEN, between),
    ];
    let best = closed.max(parted).max(between);
    let sum: f64 = terms
        .iter()
        .map(|(weight, log)| weight * math::exp(log - best))
        .sum();
    best + math::log(sum)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::{Display, Words};
    use std::slice::from_ref;

    #[test]
    fn good_trials_wear_an_intermittent_fault_down_but_do_not_kill_it() {
        // p = .5, shown in three trials of ten, five trials that are good: .4118 .3289 .2554 .1936 .1439
        // by p(1-g) / (p(1-g) + 1 - p). A good trial is as likely under the other hypothesis as when the
        // contact is closed, and hardly possible when it is parted.
        let mut p = 0.5;
        for expected in [0.4118, 0.3289, 0.2554, 0.1936, 0.1439] {
            let good = math::exp(mixed(0.3, 0.0, -30.0, -30.0));
            p = p * good / (p * good + 1.0 - p);
            assert!((p - expected).abs() < 5e-5, "{p} {expected}");
        }
    }

    /// A start of the motor while the contact closes and parts swings a meter farther than either state.
    #[test]
    fn what_a_contact_does_meanwhile_is_no_surprise() {
        let volts = |value: f64, min: f64, max: f64| {
            let subject = "feed".to_owned();
            let scale = Scale::Display(Display {
                unit: "V",
                ranges: &[(40.0, -2)],
                step: 1,
                share: 0.005,
                counts: 2.0,
            });
            let steady = Observable::steady(Quantity::Voltage, subject, value, scale);
            Observable { min, max, ..steady }
        };
        let (closed, parted) = (volts(12.33, 12.25, 12.49), volts(12.6, 12.6, 12.6));
        let read = |of: Observable| of.observe(Errors::NONE);
        let starts = read(volts(12.42, 11.15, 12.6));
        let steady = read(volts(9.0, 9.0, 9.0));
        let within = between(from_ref(&closed), from_ref(&parted), &starts);
        let outside = between(from_ref(&closed), from_ref(&parted), &steady);
        assert!(within > starts.log_chance() && outside < within - 10.0);
        assert!(closed.log_likelihood(&starts, 0.0) < within - 10.0);
    }

    /// Blades that stand at OFF before a bout and in it creep home as it ends.
    #[test]
    fn blades_that_go_home_as_a_bout_ends_are_no_surprise() {
        let pace = |value: f64| {
            let scale = Scale::Words(Words {
                cuts: &[0.5, 15.0],
                words: &["still", "creeping", "slow"],
                sd: 0.1,
                share: 0.0,
            });
            Observable::steady(Quantity::Pace, "blades".to_owned(), value, scale)
        };
        let (still, creeping) = (pace(0.0), pace(5.0).observe(Errors::NONE));
        let within = between(from_ref(&still), from_ref(&still), &creeping);
        assert!((within - creeping.log_chance()).abs() < 1e-12);
        // By themselves, or in a bout, they do not.
        assert!(still.log_likelihood(&creeping, 0.0) < within - 5.0);
    }

    #[test]
    fn a_bout_met_speaks_for_it_and_one_that_ends_meanwhile_is_no_surprise() {
        let shown = mixed(0.3, -30.0, 0.0, -3.0);
        assert!((shown - math::log(0.3 * (0.8 + 0.2 * math::exp(-3.0)))).abs() < 1e-9);
        assert!(mixed(0.3, -30.0, -30.0, -3.0) > -6.0);
    }
}
