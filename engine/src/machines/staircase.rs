//! A value that drifts slowly, as the circuit has it: on treads of a staircase.
//!
//! What warms or is charged changes a circuit all the time; a circuit is solved for values that stand. So the value
//! stands until what it follows is well off its tread, and then goes to the nearest one. Which tread it stands on hangs
//! on what it followed, never on the length of a run or of its steps; it comes to rest where that does. Treads are
//! wide enough apart that what it follows does not go up and down over one edge: after it moved, that is at most
//! half a tread off, and moves it again from three quarters on.

/// How far off what is followed may be before the value moves, in treads: where something repeats at the end of each
/// cycle or stands still, and within a cycle.
const NARROW: f64 = 0.75;
const WIDE: f64 = 1.25;
/// Margin, in treads, within which an edge counts as reached.
const MARGIN: f64 = 1e-7;

/// A value on a staircase that begins at zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Staircase {
    /// Height of a tread.
    tread: f64,
    /// The value.
    at: f64,
}

impl Staircase {
    /// A value at zero, with treads this high.
    #[must_use]
    pub const fn new(tread: f64) -> Self {
        Self { tread, at: 0.0 }
    }

    /// The value.
    #[must_use]
    pub const fn at(&self) -> f64 {
        self.at
    }

    /// Goes to the tread nearest to what is followed, if that has strayed; whether it did.
    pub fn follow(&mut self, followed: f64, within_cycle: bool) -> bool {
        let strayed = self.strayed(followed, within_cycle);
        if strayed {
            self.at = (followed / self.tread).round() * self.tread;
        }
        strayed
    }

    /// Whether what is followed is so far off that the value has to move.
    #[must_use]
    pub const fn strayed(&self, followed: f64, within_cycle: bool) -> bool {
        let edge = if within_cycle { WIDE } else { NARROW };
        (followed - self.at).abs() >= (edge - MARGIN) * self.tread
    }

    /// The edges that what is followed meets next, below and above.
    #[must_use]
    pub const fn edges(&self, followed: f64) -> (f64, f64) {
        let edge = if self.strayed(followed, false) {
            WIDE
        } else {
            NARROW
        };
        (self.at - edge * self.tread, self.at + edge * self.tread)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_follows_up_and_down_and_comes_back_to_zero() {
        let mut value = Staircase::new(2.0);
        let at = |value: Staircase, expected: f64| (value.at() - expected).abs() < 1e-15;
        assert!(!value.follow(1.4, false) && at(value, 0.0));
        assert!(value.follow(1.5, false) && at(value, 2.0));
        // It does not go back and forth over the edge it came by.
        assert!(!value.follow(1.4, false) && at(value, 2.0));
        assert!(!value.follow(4.0, true) && value.follow(4.5, true));
        assert!(at(value, 4.0) || at(value, 6.0));
        assert!(value.follow(1e-3, false) && at(value, 0.0));
    }

    #[test]
    fn an_edge_that_is_met_counts_as_reached() {
        let mut value = Staircase::new(0.05);
        let (low, high) = value.edges(0.0);
        assert!((low + high).abs() < 1e-15);
        assert!(value.follow(high * (1.0 - 1e-9), false));
        // Where it is met within a cycle, the next edge is beyond.
        let (_, next) = Staircase::new(0.05).edges(high);
        assert!(next > 1.5 * high);
    }
}
