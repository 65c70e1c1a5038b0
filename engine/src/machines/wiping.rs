//! What the law asks of the frequencies of a wiper system, in cycles a minute: a cycle is one forward and
//! return stroke, which is one turn of the crank [78/318/EEC].
//!
//! United States: at least two frequencies; one of at least 45 a minute, and one of at least 20 that lies 15
//! or more below the highest [49 CFR 571.104]. European Union: at least two; one of at least 45, another from
//! 10 to 55, and one that lies 15 or more below the highest [EU 1008/2010]. Both are tried on wet glass (from
//! memory; and the two numbers 20 and 15 of the American rule from memory and a text that quotes it).

/// Slowest that the fast one may be, both rules.
const FAST_MIN: f64 = 45.0;
/// Least difference between the highest and a lower one, both rules.
const APART_MIN: f64 = 15.0;
/// Slowest that the lower one may be, United States.
const SLOW_MIN_US: f64 = 20.0;
/// Slowest that the slow one may be, European Union.
const SLOW_MIN_EU: f64 = 10.0;
/// Fastest that the slow one may be, European Union.
const SLOW_MAX_EU: f64 = 55.0;

/// Whether wiping frequencies, one for each setting, meet 49 CFR 571.104 S4.1.1.
#[must_use]
pub fn meets_us_rule(per_minute: &[f64]) -> bool {
    let (highest, lower) = highest_and_lower(per_minute);
    highest >= FAST_MIN
        && lower
            .iter()
            .any(|slow| *slow >= SLOW_MIN_US && highest - slow >= APART_MIN)
}

/// Whether wiping frequencies, one for each setting, meet Regulation (EU) 1008/2010, Annex III, 1.1.5.
#[must_use]
pub fn meets_eu_rule(per_minute: &[f64]) -> bool {
    let (highest, lower) = highest_and_lower(per_minute);
    highest >= FAST_MIN
        && lower
            .iter()
            .any(|slow| (SLOW_MIN_EU..=SLOW_MAX_EU).contains(slow))
        && lower.iter().any(|slow| highest - slow >= APART_MIN)
}

/// The highest frequency and all the others; zero and none when there are none.
fn highest_and_lower(per_minute: &[f64]) -> (f64, Vec<f64>) {
    let mut rising = per_minute.to_vec();
    rising.sort_by(f64::total_cmp);
    let highest = rising.pop().unwrap_or(0.0);
    (highest, rising)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_speed_is_not_enough_and_a_third_may_stand_anywhere() {
        for meets in [meets_us_rule, meets_eu_rule] {
            assert!(!meets(&[]) && !meets(&[50.0]));
            assert!(meets(&[39.0, 50.4, 66.9]) && meets(&[66.9, 39.0, 50.4]));
        }
        // The same setting cannot be the slow one and the fast one.
        assert!(!meets_eu_rule(&[50.0, 5.0]));
    }
}
