//! What is observed: quantities as the vehicle has them, and readings as a person gets them.
//!
//! The world answers a check with [`Observable`]s: exact values, each with the [`Scale`] it is read on.
//! An error and the scale's steps turn one into an [`Observation`]; the same error law gives the marking
//! its likelihoods. Nothing here knows of faults.

pub use super::observed::Quantity;
use crate::math;

/// How a value is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// On a numeric display.
    Display(Display),
    /// By the senses, as one of a few words.
    Words(Words),
}

/// A numeric display with ranges: `± (share of reading + counts)` at two standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Display {
    /// Unit as shown.
    pub unit: &'static str,
    /// Ranges: largest magnitude and power of ten of one count, smallest first.
    pub ranges: &'static [(f64, i8)],
    /// How many units of that power one count is (2 for a scale marked in twos).
    pub step: u8,
    /// Error as a share of the reading.
    pub share: f64,
    /// Error in counts.
    pub counts: f64,
}

/// Words for a value: those below each cut, and one more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Words {
    /// The values at which one word gives way to the next.
    pub cuts: &'static [f64],
    /// One word more than there are cuts.
    pub words: &'static [&'static str],
    /// Standard deviation of what is perceived: a fixed part.
    pub sd: f64,
    /// And a share of the value.
    pub share: f64,
}

/// Errors of an observation, as draws from the standard normal distribution.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Errors {
    /// That of the instrument, alike in all its readings: its gain is off.
    pub instrument: f64,
    /// That of this one reading or perception.
    pub own: f64,
}

impl Errors {
    /// No error.
    pub const NONE: Self = Self {
        instrument: 0.0,
        own: 0.0,
    };
}

/// A quantity as the vehicle has it, and the scale it is read on.
#[derive(Clone, Debug, PartialEq)]
pub struct Observable {
    /// What is observed.
    pub quantity: Quantity,
    /// Of what: points or a component, in words.
    pub subject: String,
    /// Mean over the window of observation, in the scale's unit.
    pub value: f64,
    /// Smallest over the window.
    pub min: f64,
    /// Largest over the window.
    pub max: f64,
    /// How it is read.
    pub scale: Scale,
    /// A recorded waveform, in the scale's unit; empty for everything that has none.
    pub samples: Vec<f64>,
}

/// A number on a display, in whole counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// Value in units of `10^exponent`.
    pub counts: i64,
    /// Power of ten.
    pub exponent: i8,
}

impl Shown {
    /// The number.
    #[must_use]
    pub fn value(self) -> f64 {
        #[expect(
            clippy::cast_precision_loss,
            reason = "counts of a display have at most nine digits"
        )]
        let counts = self.counts as f64;
        // Divided, not multiplied by a hundredth: the nearest double to what the display shows.
        if self.exponent < 0 {
            counts / ten_to(-self.exponent)
        } else {
            counts * ten_to(self.exponent)
        }
    }
}

impl std::fmt::Display for Shown {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let decimals = usize::from(self.exponent.min(0).unsigned_abs());
        write!(out, "{:.decimals$}", self.value())
    }
}

/// What a person gets.
#[derive(Clone, Debug, PartialEq)]
pub enum Observation {
    /// A number on a display.
    Reading {
        /// What is observed.
        quantity: Quantity,
        /// Of what.
        subject: String,
        /// Unit as shown.
        unit: &'static str,
        /// Mean, smallest and largest; `None` when the display shows overrange.
        shown: Option<[Shown; 3]>,
        /// One count, in the unit.
        resolution: f64,
        /// A recorded waveform, with the errors of the reading alike in all of it; empty where none is.
        samples: Vec<Shown>,
    },
    /// A word for what the senses tell.
    Perception {
        /// What is observed.
        quantity: Quantity,
        /// Of what.
        subject: String,
        /// Position among the scale's words.
        level: usize,
        /// The word.
        word: &'static str,
    },
}

/// A power of ten, exact up to the twenty-second; one below one is the double next to it.
const fn ten_to(exponent: i8) -> f64 {
    let mut power = 1.0;
    let mut left = exponent.unsigned_abs();
    while left > 0 {
        power *= 10.0;
        left -= 1;
    }
    if exponent < 0 { 1.0 / power } else { power }
}

impl Display {
    /// The power of ten of one count on the range that `value` is shown on; `None` beyond the last.
    fn exponent(&self, value: f64) -> Option<i8> {
        self.ranges
            .iter()
            .find(|(limit, _)| value.abs() < *limit)
            .map(|(_, exponent)| *exponent)
    }

    fn resolution(&self, exponent: i8) -> f64 {
        ten_to(exponent) * f64::from(self.step)
    }

    /// Standard deviation of the error at a value, without the rounding.
    #[must_use]
    pub fn sd(&self, value: f64) -> f64 {
        math::sqrt(math::square(self.share_sd(value)) + math::square(self.counts_sd(value)))
    }

    /// The part that is a share of the reading: one instrument has it alike in all its readings.
    fn share_sd(&self, value: f64) -> f64 {
        0.5 * self.share * value.abs()
    }

    /// The part in counts: each reading has its own.
    fn counts_sd(&self, value: f64) -> f64 {
        let last = self.ranges.last().map_or(0, |(_, exponent)| *exponent);
        0.5 * self.counts * self.resolution(self.exponent(value).unwrap_or(last))
    }

    fn show(&self, value: f64) -> Option<Shown> {
        let exponent = self.exponent(value)?;
        let step = i64::from(self.step);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the range bounds the count to five digits"
        )]
        let counts = (value / self.resolution(exponent)).round() as i64 * step;
        Some(Shown { counts, exponent })
    }
}

impl Words {
    /// Standard deviation of what is perceived of a value.
    #[must_use]
    pub fn spread(&self, value: f64) -> f64 {
        self.sd + self.share * value.abs()
    }

    fn level(&self, value: f64) -> usize {
        self.cuts.iter().filter(|cut| value >= **cut).count()
    }
}

impl Observable {
    /// An observable that did not vary over its window.
    #[must_use]
    pub fn steady(quantity: Quantity, subject: String, value: f64, scale: Scale) -> Self {
        Self {
            quantity,
            subject,
            value,
            min: value,
            max: value,
            scale,
            samples: Vec::new(),
        }
    }

    /// The observation of this with errors.
    #[must_use]
    pub fn observe(&self, errors: Errors) -> Observation {
        let (quantity, subject) = (self.quantity, self.subject.clone());
        match &self.scale {
            Scale::Display(display) => {
                // What stands still is not counted wrong.
                let still = self.quantity == Quantity::CyclesPerMinute && self.value < 0.01;
                let errors = if still { Errors::NONE } else { errors };
                let show = |v: f64| {
                    let off =
                        errors.instrument * display.share_sd(v) + errors.own * display.counts_sd(v);
                    let read = v + off;
                    // From top to bottom is never less than nothing.
                    let swing = self.quantity == Quantity::Ripple;
                    display.show(if swing { read.max(0.0) } else { read })
                };
                let shown = [self.value, self.min, self.max].map(show);
                let resolution = shown[0].map_or(0.0, |shown| display.resolution(shown.exponent));
                let shown = match shown {
                    [Some(mean), Some(min), Some(max)] => Some([mean, min, max]),
                    _ => None,
                };
                Observation::Reading {
                    quantity,
                    subject,
                    unit: display.unit,
                    shown,
                    resolution,
                    samples: self.samples.iter().filter_map(|v| show(*v)).collect(),
                }
            }
            Scale::Words(words) => {
                let level = words.level(self.value + errors.own * words.spread(self.value));
                Observation::Perception {
                    quantity,
                    subject,
                    level,
                    word: words.words[level],
                }
            }
        }
    }

    /// Logarithm of the likelihood of an observation if this is what the vehicle has; `spread` is a
    /// standard deviation in the value itself that comes on top of the instrument's (a severity cell's
    /// width). A recorded waveform counts for nothing: what it tells is in the swing and in words of their own.
    #[must_use]
    pub fn log_likelihood(&self, seen: &Observation, spread: f64) -> f64 {
        self.log_likelihood_at(self.values(), seen, spread)
    }

    /// Value, least and most.
    #[must_use]
    pub const fn values(&self) -> [f64; 3] {
        [self.value, self.min, self.max]
    }

    /// The same if the vehicle has other values of it: value, least and most.
    #[must_use]
    pub fn log_likelihood_at(
        &self,
        [value, min, max]: [f64; 3],
        seen: &Observation,
        spread: f64,
    ) -> f64 {
        match (&self.scale, seen) {
            (
                Scale::Display(display),
                Observation::Reading {
                    shown: Some(shown),
                    resolution,
                    ..
                },
            ) => {
                let widened = |value: f64| widened(*display, value, spread, *resolution);
                if display.exponent(value).is_none() {
                    return 2.0
                        * (LOG_ALMOST_NEVER + LOG_ROOT_TAU - math::log(self.quantity.span()));
                }
                let span = self.quantity.span();
                let mean = log_normal(shown[0].value() - value, widened(value), span);
                // The swing tells of ripple and of changes; its error is taken thrice, as it hangs on
                // the moment of the window.
                let swing = shown[2].value() - shown[1].value();
                mean + log_normal(
                    swing - (max - min),
                    3.0 * widened(max.abs().max(min.abs())),
                    span,
                )
            }
            (Scale::Display(display), Observation::Reading { shown: None, .. }) => {
                let over = [value, min, max]
                    .iter()
                    .any(|v| display.exponent(*v).is_none());
                if over { 0.0 } else { LOG_ALMOST_NEVER }
            }
            (Scale::Words(words), Observation::Perception { level, .. }) => {
                let own = words.spread(value);
                let sd = math::sqrt(own * own + spread * spread + swing_variance(min, max));
                let below = |cut: f64| math::normal_cdf((cut - value) / sd);
                let high = words.cuts.get(*level).map_or(1.0, |cut| below(*cut));
                let low = if *level == 0 {
                    0.0
                } else {
                    below(words.cuts[*level - 1])
                };
                math::log((high - low).max(ALMOST_NEVER))
            }
            _ => LOG_ALMOST_NEVER,
        }
    }

    /// The same of a display where only the mean can be told beforehand, and the swing is anything.
    #[must_use]
    pub fn log_likelihood_of_mean(&self, seen: &Observation, spread: f64) -> f64 {
        match (&self.scale, seen) {
            (
                Scale::Display(display),
                Observation::Reading {
                    shown: Some(shown),
                    resolution,
                    ..
                },
            ) if display.exponent(self.value).is_some() => {
                let span = self.quantity.span();
                let sd = widened(*display, self.value, spread, *resolution);
                log_normal(shown[0].value() - self.value, sd, span) + LOG_ROOT_TAU - math::log(span)
            }
            _ => self.log_likelihood(seen, spread),
        }
    }
}

fn swing_variance(min: f64, max: f64) -> f64 {
    math::square(max - min) / 12.0
}

/// Standard deviation of a displayed value: the instrument's, that of a cell, and that of rounding.
fn widened(display: Display, value: f64, spread: f64, resolution: f64) -> f64 {
    let sd = display.sd(value);
    math::sqrt(sd * sd + spread * spread + resolution * resolution / 12.0)
}

impl Observable {
    /// Variance of what is perceived over the range of values that it may have had: by the senses one
    /// moment is seen, and which one is chance.
    #[must_use]
    pub fn swing_variance(&self) -> f64 {
        swing_variance(self.min, self.max)
    }

    /// How far two observables of one quantity are apart, in standard deviations of reading them;
    /// `spread` is a standard deviation that comes on top.
    #[must_use]
    pub fn apart(&self, other: &Self, spread: f64) -> f64 {
        let own = match &self.scale {
            Scale::Display(display) => display.sd(self.value),
            Scale::Words(words) => words.spread(self.value),
        };
        (self.value - other.value).abs() / math::sqrt(own * own + spread * spread)
    }

    /// As [`Observable::apart`], of what can be read of the two.
    #[must_use]
    pub fn readable_apart(&self, other: &Self, spread: f64) -> f64 {
        let readable = |of: &Self| Self {
            value: of.readable(),
            ..of.clone()
        };
        readable(other).apart(&readable(self), spread)
    }

    /// The value as far as it can be told from another: all that is beyond a display's last range reads
    /// the same.
    #[must_use]
    pub fn readable(&self) -> f64 {
        match &self.scale {
            Scale::Display(display) if display.exponent(self.value).is_none() => {
                let end = display.ranges.last().map_or(0.0, |(limit, _)| *limit);
                (2.0 * end).copysign(self.value)
            }
            _ => self.value,
        }
    }

    /// Whether an observation is of this quantity and subject.
    #[must_use]
    pub fn is_of(&self, seen: &Observation) -> bool {
        let (quantity, subject) = seen.what();
        self.quantity == quantity && self.subject == subject
    }
}

impl Observation {
    /// Quantity and subject.
    #[must_use]
    pub fn what(&self) -> (Quantity, &str) {
        match self {
            Self::Reading {
                quantity, subject, ..
            }
            | Self::Perception {
                quantity, subject, ..
            } => (*quantity, subject),
        }
    }

    /// Logarithm of the likelihood of this if nothing is known of the vehicle: uniform over what the
    /// scale can show, on the footing of [`Observable::log_likelihood`].
    #[must_use]
    pub fn log_chance(&self) -> f64 {
        match self {
            // The mean and the swing are each anywhere in the span.
            Self::Reading { quantity, .. } => 2.0 * (LOG_ROOT_TAU - math::log(quantity.span())),
            Self::Perception { .. } => -math::log(4.0),
        }
    }
}

/// Logarithm of the square root of a whole turn, which [`log_normal`] leaves out.
const LOG_ROOT_TAU: f64 = 0.918_938_533_204_672_7;

/// Likelihood that is given to what a model says cannot be: lapses of hand and eye.
const ALMOST_NEVER: f64 = 1e-6;
const LOG_ALMOST_NEVER: f64 = -13.815_510_557_964_274;

/// Logarithm of a normal density at `miss`, on the footing of a density without its root of a turn; never
/// below that of a lapse, which is anywhere in `span`: a sharp prediction that fails has no merit left.
fn log_normal(miss: f64, sd: f64, span: f64) -> f64 {
    let z = miss / sd;
    let lapse = LOG_ALMOST_NEVER + LOG_ROOT_TAU - math::log(span);
    (-0.5 * z * z - math::log(sd)).max(lapse)
}

#[cfg(test)]
mod tests {
    use super::super::scales::{DASH, OHMS, PACE, VOLTS};
    use super::*;

    fn volts(value: f64) -> Observable {
        Observable::steady(
            Quantity::Voltage,
            "a to b".to_owned(),
            value,
            Scale::Display(VOLTS),
        )
    }

    #[test]
    fn a_display_shows_counts_of_its_range() {
        let text = |value: f64| match volts(value).observe(Errors::NONE) {
            Observation::Reading {
                shown: Some([mean, ..]),
                ..
            } => mean.to_string(),
            other => format!("{other:?}"),
        };
        assert_eq!(text(12.6), "12.60");
        assert_eq!(text(1.2344), "1.234");
        assert_eq!(text(-0.01237), "-0.0124");
    }

    #[test]
    fn the_dash_ammeter_is_read_in_twos() {
        let seen = Observable::steady(
            Quantity::Discharge,
            String::new(),
            3.3,
            Scale::Display(DASH),
        )
        .observe(Errors::NONE);
        assert!(
            matches!(
                seen,
                Observation::Reading {
                    shown: Some([
                        Shown {
                            counts: 4,
                            exponent: 0
                        },
                        ..
                    ]),
                    ..
                }
            ),
            "{seen:?}"
        );
    }

    #[test]
    fn overrange_is_not_a_number() {
        let open = Observable::steady(
            Quantity::Resistance,
            String::new(),
            1e10,
            Scale::Display(OHMS),
        )
        .observe(Errors::NONE);
        assert!(matches!(open, Observation::Reading { shown: None, .. }));
    }

    #[test]
    fn the_likelihood_prefers_what_the_vehicle_has() {
        let seen = volts(10.0).observe(Errors {
            instrument: 0.3,
            own: 0.3,
        });
        assert!(
            volts(10.0).log_likelihood(&seen, 0.0) > volts(10.5).log_likelihood(&seen, 0.0) + 5.0
        );
        assert!(volts(10.5).log_likelihood(&seen, 0.5) > volts(10.5).log_likelihood(&seen, 0.0));
    }

    #[test]
    fn words_have_probabilities_that_sum_to_one() {
        let pace = Observable::steady(Quantity::Pace, String::new(), 31.0, Scale::Words(PACE));
        let sum: f64 = (0..PACE.words.len())
            .map(|level| {
                let seen = Observation::Perception {
                    quantity: Quantity::Pace,
                    subject: String::new(),
                    level,
                    word: PACE.words[level],
                };
                math::exp(pace.log_likelihood(&seen, 0.0))
            })
            .sum();
        assert!((sum - 1.0).abs() < 1e-4, "{sum}");
    }
}
