//! The one door to transcendental functions.
//!
//! The standard library says of its own that their precision varies by platform and version; libm's
//! are plain arithmetic and give the same bits everywhere. `engine/clippy.toml` bans the others.

pub use libm::{atan2, cos, erf, exp, log, pow, sin, sqrt};

/// Natural logarithm of 2, to turn nats into bits.
pub const LN_2: f64 = std::f64::consts::LN_2;

/// An angle so small, radians, that dividing it by a turn may leave nothing of it.
const TINY_RAD: f64 = 1e-300;

/// Base-2 logarithm.
#[must_use]
pub fn log2(x: f64) -> f64 {
    log(x) / LN_2
}

/// Probability that a standard normal variable is at most `x`.
#[must_use]
pub fn normal_cdf(x: f64) -> f64 {
    0.5 * (1.0 + erf(x * std::f64::consts::FRAC_1_SQRT_2))
}

/// The item of which there is most by some measure: the first of equals, none of none.
pub fn first_of_most<T>(
    items: impl IntoIterator<Item = T>,
    measure: impl Fn(&T) -> f64,
) -> Option<T> {
    items.into_iter().reduce(|most, item| {
        if measure(&item) > measure(&most) {
            item
        } else {
            most
        }
    })
}

/// `x` squared.
#[must_use]
pub const fn square(x: f64) -> f64 {
    x * x
}

/// The angle in `[0, 2π)` that points the same way.
#[must_use]
pub fn wrap_turn(angle: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    if (0.0..turn).contains(&angle) {
        return angle;
    }
    // A turn off, as a step leaves an angle, the number of whole turns is known without a division.
    let whole = if (-turn..-TINY_RAD).contains(&angle) {
        -1.0
    } else if (turn..2.0 * turn).contains(&angle) {
        1.0
    } else {
        libm::floor(angle / turn)
    };
    let wrapped = angle - turn * whole;
    if wrapped >= turn { 0.0 } else { wrapped }
}

/// The angle in `(-π, π]` that points the same way.
#[must_use]
pub fn wrap_half_turn(angle: f64) -> f64 {
    let wrapped = wrap_turn(angle);
    if wrapped > std::f64::consts::PI {
        wrapped - std::f64::consts::TAU
    } else {
        wrapped
    }
}

/// The `x` in `[low, high]` with `f(x) = target` for a rising `f`, by 60 halvings.
#[must_use]
pub fn bisect_rising(low: f64, high: f64, target: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if f(middle) < target {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_wrap_into_one_turn() {
        assert!((wrap_turn(-0.5) - (std::f64::consts::TAU - 0.5)).abs() < 1e-15);
        assert!((wrap_turn(7.0) - (7.0 - std::f64::consts::TAU)).abs() < 1e-15);
        assert!(wrap_turn(-std::f64::consts::TAU) == 0.0 && wrap_turn(-1e-30) == 0.0);
        assert!((wrap_half_turn(4.0) - (4.0 - std::f64::consts::TAU)).abs() < 1e-15);
    }

    #[test]
    fn of_equals_the_first_is_the_most() {
        let most = first_of_most([("a", 1.0), ("b", 3.0), ("c", 3.0)], |(_, much)| *much);
        assert_eq!(most, Some(("b", 3.0)));
        assert_eq!(first_of_most([0.0; 0], |value| *value), None);
    }

    #[test]
    fn bisection_inverts_the_normal_distribution() {
        let x = bisect_rising(-8.0, 8.0, 0.975, normal_cdf);
        // 1.95996: the two-sided 95 % point in any table of the normal distribution.
        assert!((x - 1.959_964).abs() < 1e-5);
    }
}
