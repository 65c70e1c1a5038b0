//! What probes see and what turns over a span of time.

use crate::vehicle::Affine;

/// The result of one step, all of it within one setting.
#[derive(Default)]
pub(super) struct Step {
    pub(super) seconds: f64,
    /// Angle the shaft turned, radians.
    pub(super) travel: f64,
    pub(super) speed_before: f64,
    pub(super) crank_turns: f64,
    pub(super) wheel_turns: f64,
    /// Whether cam or brush moved at its end.
    pub(super) passed_edge: bool,
    /// Whether the wheel passed its zero at its end.
    pub(super) turned: bool,
}

/// The state at one passing of the wheel's zero, to know a cycle that repeats.
pub(super) struct Mark {
    pub(super) speed: f64,
    pub(super) left_s: f64,
    pub(super) heats: Vec<f64>,
    pub(super) peaks: Vec<f64>,
    pub(super) clicks: u32,
    pub(super) integrals: Vec<f64>,
    pub(super) crank_turns: f64,
    pub(super) shaft_turns: f64,
}

/// What a probe saw: mean, smallest and largest value, in volts or amperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Trace {
    pub(crate) mean: f64,
    pub(crate) min: f64,
    pub(crate) max: f64,
}

impl Trace {
    /// What a probe sees in no time.
    pub(super) const NOTHING: Self = Self {
        mean: 0.0,
        min: 0.0,
        max: 0.0,
    };

    /// This trace and a later one: the later mean, the limits of both.
    pub(super) fn then(self, later: Self) -> Self {
        Self {
            mean: later.mean,
            min: self.min.min(later.min),
            max: self.max.max(later.max),
        }
    }
}

/// What happened over a span.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Span {
    /// Traces of the probes, in their order.
    pub(crate) traces: Vec<Trace>,
    /// Turns of the crank.
    pub(crate) crank_turns: f64,
    /// Turns of the wheel.
    pub(crate) wheel_turns: f64,
    /// Turns of the shaft.
    pub(crate) shaft_turns: f64,
    /// Seconds during which the shaft turned.
    pub(crate) turning_s: f64,
    /// Times a breaker opened or closed.
    pub(crate) clicks: u32,
    /// The span's length, seconds.
    pub(crate) seconds: f64,
}

/// What is added up over a span.
pub(super) struct Tally {
    pub(super) span: Span,
    pub(super) integrals: Vec<f64>,
}

impl Tally {
    pub(super) fn new(probes: usize) -> Self {
        let empty = Trace {
            mean: 0.0,
            min: f64::INFINITY,
            max: f64::NEG_INFINITY,
        };
        Self {
            span: Span {
                traces: vec![empty; probes],
                ..Span::default()
            },
            integrals: vec![0.0; probes],
        }
    }

    pub(super) fn add(&mut self, step: &Step, speed_after: f64, probes: &[Affine]) {
        for ((trace, integral), probe) in self
            .span
            .traces
            .iter_mut()
            .zip(&mut self.integrals)
            .zip(probes)
        {
            *integral += probe.at_rest * step.seconds + probe.per_speed * step.travel;
            let (first, last) = (probe.at(step.speed_before), probe.at(speed_after));
            trace.min = trace.min.min(first).min(last);
            trace.max = trace.max.max(first).max(last);
        }
        let turns = step.travel / std::f64::consts::TAU;
        self.span.shaft_turns += turns;
        self.span.crank_turns += step.crank_turns;
        self.span.wheel_turns += step.wheel_turns;
        if turns != 0.0 {
            self.span.turning_s += step.seconds;
        }
    }

    pub(super) fn repeat(&mut self, earlier: &Mark, cycles: f64, period: f64) {
        for (integral, before) in self.integrals.iter_mut().zip(&earlier.integrals) {
            *integral += cycles * (*integral - before);
        }
        let span = &mut self.span;
        span.crank_turns += cycles * (span.crank_turns - earlier.crank_turns);
        span.shaft_turns += cycles * (span.shaft_turns - earlier.shaft_turns);
        span.wheel_turns += cycles;
        span.turning_s += cycles * period;
    }

    pub(super) fn finish(mut self, seconds: f64) -> Span {
        for (trace, integral) in self.span.traces.iter_mut().zip(self.integrals) {
            trace.mean = if seconds > 0.0 {
                integral / seconds
            } else {
                0.0
            };
        }
        self.span.seconds = seconds;
        self.span
    }
}
