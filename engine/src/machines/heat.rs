//! Heat of a motor's winding: copper that gives it to iron, and iron that gives it to the air.
//!
//! Two masses and two conductances, so for constant power the temperatures near their final ones as two
//! exponentials: exact in closed form. A hand feels neither, but the case, which follows the iron with a lag. Figures
//! are judgement, for a motor of some 1.2 kg with its gear: 45 J/K is 0.12 kg of copper at 385 J/kg K, 350 J/K is 0.78
//! kg of iron at 450 (specific heats as in any table of physics, from memory); 0.9 W/K is a housing of 0.05 m2 at some
//! 10 W/m2 K and half as much again through shaft, gear and bolts.
//!
//! The resistance is left as it is when cold, and so are the magnets. Copper has 0.39 % more of it for each kelvin:
//! at 100 K over the air a winding of 0.6 ohm would have 0.84. A stalled motor in LOW, with 0.38 ohm of brushes, limiter and wires before it, would then draw 10.3 A where 12.8 A are
//! computed, and heat by 89 W where 98 are: at 100 K stall currents are a quarter too high, the heat of a winding a
//! tenth. Magnets would be some 15 to 20 % weaker (ferrite, 0.2 % for each kelvin, from memory).

use crate::math;
use crate::quantity::{Interval, Power};

/// Heat that the copper takes up, joules per kelvin.
const COPPER_J_PER_K: f64 = 45.0;
/// What it gives to the iron, watts per kelvin.
const TO_IRON_W_PER_K: f64 = 2.0;
/// Heat that the iron takes up, joules per kelvin.
const IRON_J_PER_K: f64 = 350.0;
/// What it gives to the air, watts per kelvin.
const TO_AIR_W_PER_K: f64 = 0.9;

/// How long the case lags behind the iron, seconds: a quarter of a kilojoule for each kelvin of steel, magnets and gear
/// housing, across an air gap of some 2 W/K.
const CASE_LAG_S: f64 = 120.0;

/// How much hotter than the air they are, kelvins.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rises {
    /// The copper.
    pub copper: f64,
    /// The iron.
    pub iron: f64,
    /// The case. Its heat is a part of the iron's, so it takes none of its own.
    pub case: f64,
}

/// What is left of a distance to the final temperatures after a span: of copper, iron and case, by each of those that
/// work on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept {
    masses: [[f64; 2]; 2],
    case: [f64; 3],
}

impl Kept {
    /// After `span`.
    #[must_use]
    pub fn after(span: Interval) -> Self {
        // d(copper)/dt = -a (copper - iron), d(iron)/dt = b (copper - iron) - c iron.
        let (a, b, c) = (
            TO_IRON_W_PER_K / COPPER_J_PER_K,
            TO_IRON_W_PER_K / IRON_J_PER_K,
            TO_AIR_W_PER_K / IRON_J_PER_K,
        );
        let sum = a + b + c;
        let apart = math::sqrt(sum * sum - 4.0 * a * c);
        let (fast, slow) = (0.5 * (sum + apart), 2.0 * a * c / (sum + apart));
        let seconds = span.seconds();
        let (quick, long) = (math::exp(-fast * seconds), math::exp(-slow * seconds));
        // Sylvester's formula for the exponential of the two by two matrix.
        let entry =
            |one: f64, of: f64| (long * (of + fast * one) - quick * (of + slow * one)) / apart;
        // The case follows the iron's two exponentials: each convolved with its own.
        let follows = 1.0 / CASE_LAG_S;
        let own = math::exp(-follows * seconds);
        let after_long = follows * (long - own) / (follows - slow);
        let after_quick = follows * (quick - own) / (follows - fast);
        let lagging = |one: f64, of: f64| {
            (after_long * (of + fast * one) - after_quick * (of + slow * one)) / apart
        };
        Self {
            masses: [
                [entry(1.0, -a), entry(0.0, a)],
                [entry(0.0, b), entry(1.0, -b - c)],
            ],
            case: [lagging(0.0, b), lagging(1.0, -b - c), own],
        }
    }

    /// What is left of a distance.
    #[must_use]
    pub const fn of(&self, distance: Rises) -> Rises {
        let [[cc, ci], [ic, ii]] = self.masses;
        let [by_copper, by_iron, own] = self.case;
        Rises {
            copper: cc * distance.copper + ci * distance.iron,
            iron: ic * distance.copper + ii * distance.iron,
            case: by_copper * distance.copper + by_iron * distance.iron + own * distance.case,
        }
    }
}

impl Rises {
    /// Those that a constant power in the copper leads to.
    #[must_use]
    pub fn at_last(power: Power) -> Self {
        let iron = power.watts() / TO_AIR_W_PER_K;
        Self {
            copper: iron + power.watts() / TO_IRON_W_PER_K,
            iron,
            case: iron,
        }
    }

    /// These after a span of constant power, with what is kept over that span.
    #[must_use]
    pub fn after(self, power: Power, kept: &Kept) -> Self {
        let goal = Self::at_last(power);
        goal.plus(kept.of(self.less(goal)))
    }

    /// Time until the copper's rise reaches `level` under a constant power, at most `longest`; `None` when it
    /// does not by then. Copper that is heated from where the air and the iron left it only rises.
    #[must_use]
    pub fn time_to(self, level: f64, power: Power, longest: Interval) -> Option<Interval> {
        let at = |seconds: f64| {
            let kept = Kept::after(Interval::from_seconds(seconds));
            self.after(power, &kept).copper
        };
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
        // 45 W over 0.9 W/K and another 45 over 2.
        let last = after(45.0, 1e5);
        assert!((last.iron - 50.0).abs() < 1e-9 && (last.copper - 72.5).abs() < 1e-9);
    }

    #[test]
    fn at_first_the_copper_takes_it_all() {
        // 90 W in 45 J/K: 2 K/s, less what has gone to the iron: 2 W/K of half a second's mean rise, 1 K, by then.
        let first = after(90.0, 1.0);
        assert!(
            (first.copper - (2.0 - 2.0 * 1.0 / 45.0)).abs() < 2e-3,
            "{first:?}"
        );
        assert!((first.iron - 2.0 * 1.0 / 350.0).abs() < 2e-4, "{first:?}");
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
            let across = 2.0 * (copper - iron);
            copper += step * (120.0 - across) / 45.0;
            case += step * (iron - case) / 120.0;
            iron += step * (across - 0.9 * iron) / 350.0;
        }
        assert!((whole.case - case).abs() < 2e-3, "{whole:?}, {case}");
        assert!((whole.copper - copper).abs() < 2e-3 && (whole.iron - iron).abs() < 2e-3);
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

    /// Stalled with nothing to open the circuit: 12.8 A through 0.6 ohm of ring, 0.2 of limiter and two brushes in
    /// LOW, 17.6 A through 0.533 ohm and two brushes in HIGH. It smells at 130 degrees, from 20. [no source: worked out
    /// independently beforehand, loosely]
    #[test]
    fn a_stalled_winding_smells_in_minutes() {
        let time = |amperes: f64, ohms: f64| {
            let power = Power::from_watts(amperes * amperes * ohms);
            let hour = Interval::from_seconds(3600.0);
            let time = Rises::default().time_to(110.0, power, hour);
            time.map(|time| time.seconds() / 60.0)
        };
        let (low, high) = (time(12.8, 0.6).unwrap(), time(17.6, 0.533).unwrap());
        assert!((5.0..10.0).contains(&low), "{low} min in LOW");
        assert!((1.5..4.0).contains(&high), "{high} min in HIGH");
        assert_eq!(time(8.0, 0.6), None);
    }
}
