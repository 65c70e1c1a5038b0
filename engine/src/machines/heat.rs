//! Heat of a motor's winding: copper that gives it to the armature's iron, that to the case, and the case to the air.
//!
//! Three masses and three conductances, so for constant power the temperatures near their final ones as three
//! exponentials: exact in closed form. Figures are judgement, for a motor of some 1.2 kg with its gear (specific heats as
//! in any table of physics, from memory): 29 J/K is 75 g of copper at 385 J/kg K; 80 J/K is 0.18 kg of laminations,
//! shaft and worm at 450; 400 J/K is 0.9 kg of yoke, magnets and gear housing. 1.45 W/K from copper to iron, through
//! slot paper and varnish, is a time constant of 20 s; 1 W/K goes across the air gap of an armature that stands; 1.1
//! W/K is a housing of 0.05 m2 at some 10 W/m2 K and as much again through gear, bracket and bolts into the body.
//! Air that a turning armature stirs is left out, as the little heat of a motor that turns is well below what harms.
//!
//! Copper has 0.393 % more resistance for each kelvin, from 20 degrees: [`Rises::copper_factor`]. Magnets stay as they
//! are; they would be some 15 to 20 % weaker at 100 K (ferrite, 0.2 % for each kelvin, from memory).

use std::sync::LazyLock;

use super::COPPER_COEFFICIENT;
use crate::math;
use crate::quantity::{Interval, Power, Temperature};

/// Heat that the copper takes up, joules per kelvin.
const COPPER_J_PER_K: f64 = 29.0;
/// What it gives to the iron, watts per kelvin.
const TO_IRON_W_PER_K: f64 = 1.45;
/// Heat that the iron takes up, joules per kelvin.
const IRON_J_PER_K: f64 = 80.0;
/// What it gives to the case, watts per kelvin.
const TO_CASE_W_PER_K: f64 = 1.0;
/// Heat that the case takes up, joules per kelvin.
const CASE_J_PER_K: f64 = 400.0;
/// What it gives to the air, watts per kelvin.
const TO_AIR_W_PER_K: f64 = 1.1;

/// How much hotter than the air they are, kelvins.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rises {
    /// The copper.
    pub copper: f64,
    /// The armature's iron.
    pub iron: f64,
    /// The case.
    pub case: f64,
}

/// What is left of a distance to the final temperatures after a span: of copper, iron and case, by each of those that
/// work on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept([[f64; 3]; 3]);

/// How fast a distance to the final temperatures goes: d(distance)/dt is minus this times it, per second.
const FALL: [[f64; 3]; 3] = [
    [
        TO_IRON_W_PER_K / COPPER_J_PER_K,
        -TO_IRON_W_PER_K / COPPER_J_PER_K,
        0.0,
    ],
    [
        -TO_IRON_W_PER_K / IRON_J_PER_K,
        (TO_IRON_W_PER_K + TO_CASE_W_PER_K) / IRON_J_PER_K,
        -TO_CASE_W_PER_K / IRON_J_PER_K,
    ],
    [
        0.0,
        -TO_CASE_W_PER_K / CASE_J_PER_K,
        (TO_CASE_W_PER_K + TO_AIR_W_PER_K) / CASE_J_PER_K,
    ],
];

/// The three rates of [`FALL`], per second: zeros of its characteristic polynomial.
fn rates() -> [f64; 3] {
    let (a, b) = (FALL[0][0], -FALL[1][0]);
    let (c, d) = (-FALL[1][2], -FALL[2][1]);
    let e = FALL[2][2] - d;
    let (sum, pairs, all) = (
        a + b + c + d + e,
        a * c + (a + b) * (d + e) + c * e,
        a * c * e,
    );
    // From zero Newton's steps come up to the least of them from below, whatever the figures.
    let mut slow = 0.0;
    for _ in 0..20 {
        let value = ((slow - sum) * slow + pairs) * slow - all;
        slow -= value / ((3.0 * slow - 2.0 * sum) * slow + pairs);
    }
    let (rest, product) = (sum - slow, all / slow);
    let fast = 0.5 * (rest + math::sqrt(rest * rest - 4.0 * product));
    [slow, product / fast, fast]
}

fn times(one: &[[f64; 3]; 3], other: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let entry = |row: usize, column: usize| {
        one[row][0] * other[0][column]
            + one[row][1] * other[1][column]
            + one[row][2] * other[2][column]
    };
    [0, 1, 2].map(|row| [0, 1, 2].map(|column| entry(row, column)))
}

/// One of the three exponentials of the exponential of [`FALL`], by Sylvester's formula.
#[derive(Clone, Copy)]
struct Term {
    /// Per second.
    rate: f64,
    /// What its part is to be divided by.
    over: f64,
    part: [[f64; 3]; 3],
}

impl Term {
    /// Its share after some seconds.
    fn share(&self, seconds: f64) -> f64 {
        math::exp(-self.rate * seconds) / self.over
    }
}

/// The three of them: figures like [`FALL`], for which roots have to be taken.
static TERMS: LazyLock<[Term; 3]> = LazyLock::new(|| {
    let rates = rates();
    // Less a rate on its diagonal.
    let less = |rate: f64| {
        let mut matrix = FALL;
        for (place, row) in matrix.iter_mut().enumerate() {
            row[place] -= rate;
        }
        matrix
    };
    [0, 1, 2].map(|place| {
        let (rate, one, other) = (rates[place], rates[(place + 1) % 3], rates[(place + 2) % 3]);
        Term {
            rate,
            over: (rate - one) * (rate - other),
            part: times(&less(one), &less(other)),
        }
    })
});

impl Kept {
    /// After `span`.
    #[must_use]
    pub fn after(span: Interval) -> Self {
        let mut kept = [[0.0; 3]; 3];
        for term in TERMS.iter() {
            let share = term.share(span.seconds());
            for (row, of) in kept.iter_mut().zip(&term.part) {
                for (entry, of) in row.iter_mut().zip(of) {
                    *entry += share * of;
                }
            }
        }
        Self(kept)
    }

    /// What is left of a distance.
    #[must_use]
    pub const fn of(&self, distance: Rises) -> Rises {
        let [copper, iron, case] = &self.0;
        let (of_copper, of_iron, of_case) = (distance.copper, distance.iron, distance.case);
        Rises {
            copper: copper[0] * of_copper + copper[1] * of_iron + copper[2] * of_case,
            iron: iron[0] * of_copper + iron[1] * of_iron + iron[2] * of_case,
            case: case[0] * of_copper + case[1] * of_iron + case[2] * of_case,
        }
    }
}

impl Rises {
    /// Those that a constant power in the copper leads to.
    #[must_use]
    pub fn at_last(power: Power) -> Self {
        let case = power.watts() / TO_AIR_W_PER_K;
        let iron = case + power.watts() / TO_CASE_W_PER_K;
        Self {
            copper: iron + power.watts() / TO_IRON_W_PER_K,
            iron,
            case,
        }
    }

    /// Resistance of copper that is `rise` kelvins hotter than the air, in terms of what it has at the air's
    /// temperature. [NBS 1966]
    #[must_use]
    pub fn copper_factor(rise: f64, air: Temperature) -> f64 {
        let at = |degc: f64| 1.0 + COPPER_COEFFICIENT * (degc - 20.0);
        let air = air.degrees_celsius();
        at(air + rise) / at(air)
    }

    /// These after a span of constant power, with what is kept over that span.
    #[must_use]
    pub fn after(self, power: Power, kept: &Kept) -> Self {
        let goal = Self::at_last(power);
        goal.plus(kept.of(self.less(goal)))
    }

    /// The copper's rise after some seconds of a constant power: that of [`Rises::after`], alone.
    fn copper_under(self, power: Power) -> impl Fn(f64) -> f64 {
        let goal = Self::at_last(power);
        let Self { copper, iron, case } = self.less(goal);
        move |seconds| {
            let mut kept = [0.0; 3];
            for term in TERMS.iter() {
                let share = term.share(seconds);
                for (entry, of) in kept.iter_mut().zip(&term.part[0]) {
                    *entry += share * of;
                }
            }
            goal.copper + (kept[0] * copper + kept[1] * iron + kept[2] * case)
        }
    }

    /// Time until the copper's rise leaves the range from `low` to `high` under a constant power, at most `longest`;
    /// `None` when it is within by then.
    #[must_use]
    pub fn time_to_leave(
        self,
        (low, high): (f64, f64),
        power: Power,
        longest: Interval,
    ) -> Option<Interval> {
        let at = self.copper_under(power);
        let last = at(longest.seconds());
        let seconds = if last >= high {
            math::bisect_rising(0.0, longest.seconds(), high, &at)
        } else if last <= low {
            math::bisect_rising(0.0, longest.seconds(), -low, |seconds| -at(seconds))
        } else {
            return None;
        };
        Some(Interval::from_seconds(seconds))
    }

    /// Time until the copper's rise reaches `level` under a constant power, at most `longest`; `None` when it
    /// does not by then. Copper that is heated from where the air and the iron left it only rises.
    #[must_use]
    pub fn time_to(self, level: f64, power: Power, longest: Interval) -> Option<Interval> {
        let at = self.copper_under(power);
        if self.copper >= level {
            return Some(Interval::ZERO);
        }
        (at(longest.seconds()) >= level)
            .then(|| math::bisect_rising(0.0, longest.seconds(), level, at))
            .map(Interval::from_seconds)
    }

    /// The sum of two.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self {
            copper: self.copper + other.copper,
            iron: self.iron + other.iron,
            case: self.case + other.case,
        }
    }

    /// The difference of two.
    #[must_use]
    pub const fn less(self, other: Self) -> Self {
        Self {
            copper: self.copper - other.copper,
            iron: self.iron - other.iron,
            case: self.case - other.case,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(watts: f64, seconds: f64) -> Rises {
        let kept = Kept::after(Interval::from_seconds(seconds));
        Rises::default().after(Power::from_watts(watts), &kept)
    }

    #[test]
    fn it_ends_where_the_heat_goes_out_as_it_comes_in() {
        // 22 W over 1.1 W/K, over 1 and over 1.45.
        let last = after(22.0, 1e5);
        assert!((last.case - 20.0).abs() < 1e-9 && (last.iron - 42.0).abs() < 1e-9);
        assert!((last.copper - 42.0 - 22.0 / 1.45).abs() < 1e-9);
    }

    #[test]
    fn at_first_the_copper_takes_it_all() {
        // 87 W in 29 J/K: 3 K/s, less what has gone to the iron: 1.45 W/K of half a second's mean rise by then.
        let first = after(87.0, 1.0);
        assert!(
            (first.copper - (3.0 - 1.5 * 1.45 / 29.0)).abs() < 5e-3,
            "{first:?}"
        );
        assert!((first.iron - 1.5 * 1.45 / 80.0).abs() < 1e-3, "{first:?}");
    }

    #[test]
    fn the_coppers_rise_alone_is_that_of_all() {
        let (from, power) = (after(90.0, 70.0), Power::from_watts(33.0));
        for seconds in [0.0, 0.3, 20.0, 1e4] {
            let kept = Kept::after(Interval::from_seconds(seconds));
            let all = from.after(power, &kept).copper;
            assert_eq!(from.copper_under(power)(seconds).to_bits(), all.to_bits());
        }
    }

    #[test]
    fn a_span_comes_to_what_its_parts_come_to_and_to_what_small_steps_come_to() {
        let power = Power::from_watts(120.0);
        let kept = |seconds| Kept::after(Interval::from_seconds(seconds));
        let whole = after(120.0, 100.0);
        let parts = after(120.0, 37.0).after(power, &kept(63.0));
        assert!((whole.copper - parts.copper).abs() < 1e-10);
        assert!((whole.case - parts.case).abs() < 1e-10);
        let (mut copper, mut iron, mut case, step) = (0.0_f64, 0.0_f64, 0.0_f64, 1e-3);
        for _ in 0..100_000 {
            let (inner, across) = (1.45 * (copper - iron), iron - case);
            copper += step * (120.0 - inner) / 29.0;
            iron += step * (inner - across) / 80.0;
            case += step * (across - 1.1 * case) / 400.0;
        }
        assert!((whole.case - case).abs() < 2e-3, "{whole:?}, {case}");
        assert!((whole.copper - copper).abs() < 5e-3 && (whole.iron - iron).abs() < 5e-3);
    }

    /// No heat is lost or made on the way: what went in is in the three masses or went to the air.
    #[test]
    fn heat_is_kept_count_of() {
        let (watts, step) = (90.0, 0.5);
        let kept = Kept::after(Interval::from_seconds(step));
        let (mut rises, mut to_air) = (Rises::default(), 0.0);
        for _ in 0..1200 {
            let next = rises.after(Power::from_watts(watts), &kept);
            to_air += 1.1 * step * 0.5 * (rises.case + next.case);
            rises = next;
        }
        let held = 29.0 * rises.copper + 80.0 * rises.iron + 400.0 * rises.case;
        assert!(
            (held + to_air - watts * 600.0).abs() < 1.0,
            "{held} + {to_air}"
        );
    }

    /// A motor of 1.2 kg takes some 0.5 kJ for each kelvin: 98 W warm it by 22 K in two minutes and more, and its case is
    /// hot to a hand after three. [by hand from masses; no source]
    #[test]
    fn the_case_of_a_stalled_motor_is_hot_to_a_hand_after_minutes() {
        for (seconds, least, most) in [(60.0, 0.5, 6.0), (120.0, 5.0, 15.0), (240.0, 18.0, 40.0)] {
            let case = after(98.0, seconds).case;
            assert!((least..most).contains(&case), "{case} K after {seconds} s");
        }
    }

    /// [FAA AC 43.13-1B] para 11-66: at 80 degrees copper has 1.2358 times what it has at 20.
    #[test]
    fn copper_resists_more_when_it_is_hot() {
        let factor = |rise, air| Rises::copper_factor(rise, Temperature::from_degrees_celsius(air));
        assert!((factor(60.0, 20.0) - 1.2358).abs() < 1e-4);
        // From any air: (234.5 + 100) / (234.5 + 40).
        assert!((factor(60.0, 40.0) - 334.5 / 274.5).abs() < 1e-4);
        assert!((factor(0.0, 35.0) - 1.0).abs() < 1e-15);
    }

    /// Stalled on 14 V with nothing to open the circuit, a small motor's winding burns in some minutes: 0.6 ohm of ring
    /// behind 0.384 in LOW, 0.533 behind 0.183 in HIGH, the ring's ohms rising as it heats. [common practice, no published
    /// source]
    #[test]
    fn a_stalled_winding_smells_in_a_minute_or_two_and_burns_in_some_minutes() {
        let air = Temperature::from_degrees_celsius(20.0);
        let minutes = |ring: f64, behind: f64, level: f64| {
            let kept = Kept::after(Interval::from_seconds(0.1));
            let (mut rises, mut seconds) = (Rises::default(), 0.0);
            while rises.copper < level {
                let ohms = ring * Rises::copper_factor(rises.copper, air);
                let amperes = 14.0 / (ohms + behind);
                rises = rises.after(Power::from_watts(amperes * amperes * ohms), &kept);
                seconds += 0.1;
            }
            seconds / 60.0
        };
        assert!((0.7..2.0).contains(&minutes(0.6, 0.384, 110.0)));
        assert!((0.3..1.0).contains(&minutes(0.533, 0.183, 110.0)));
        assert!((3.0..7.0).contains(&minutes(0.6, 0.384, 180.0)));
        assert!((1.0..3.0).contains(&minutes(0.533, 0.183, 180.0)));
    }
}
