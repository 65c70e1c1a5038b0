//! What probes see and what turns over a span of time.

use super::cells::AllCells;
use super::decay::FirstOrder;
use super::windings::Warmths;
use crate::machines::Release;
use crate::vehicle::Affine;

/// Time constant of a dash instrument's needle, seconds (judgement): a reversal or an inrush of
/// hundredths of a second hardly moves it.
const NEEDLE_S: f64 = 0.4;

/// The result of one step, all of it within one setting.
#[derive(Default)]
pub(super) struct Step {
    pub(super) seconds: f64,
    /// Angle the shaft turned, radians.
    pub(super) travel: f64,
    /// Angle the shaft turned as the circuit sees it, flux times speed added up, radians.
    pub(super) seen: f64,
    /// Speed before it as the circuit sees it: the flux times the speed.
    pub(super) seen_before: f64,
    /// The mean speed as the circuit sees it; of a step of no time, the speed at its end.
    pub(super) mean_seen: f64,
    pub(super) crank_turns: f64,
    pub(super) wheel_turns: f64,
    /// Whether it ended on an edge of the cam or of an arc of the shaft.
    pub(super) passed_edge: bool,
    /// Whether the wheel passed its zero at its end.
    pub(super) turned: bool,
}

/// The state at one passing of the wheel's zero, to know a cycle that repeats.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    pub(super) speed: f64,
    /// Angle of the crank from its mark on the wheel, radians.
    pub(super) astray: f64,
    pub(super) release: Release,
    /// Ampere turns of a wound field.
    pub(super) turns: f64,
    pub(super) left_s: f64,
    pub(super) heats: Vec<f64>,
    pub(super) peaks: Vec<f64>,
    pub(super) warmths: Warmths,
    pub(super) cells: AllCells,
    /// How much had happened by then that is not repeated by leaping.
    pub(super) once: u32,
    /// What the lamp's filament glows as, volts.
    pub(super) glow: f64,
    pub(super) integrals: Vec<Integral>,
    pub(super) crank_turns: f64,
    pub(super) shaft_turns: f64,
}

/// What a probe saw, in volts or amperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Trace {
    /// Mean over time.
    pub(crate) mean: f64,
    /// Smallest value.
    pub(crate) min: f64,
    /// Largest value.
    pub(crate) max: f64,
    /// Mean of the square, which is what heats.
    pub(crate) mean_square: f64,
    /// Mean over the time in which the shaft stood; zero when it never did.
    pub(crate) mean_standing: f64,
}

/// What a probe's value adds up to over time, in its unit times seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Integral {
    value: f64,
    square: f64,
    standing: f64,
}

/// The shaft's speed, as the circuit sees it, over the steps since the circuit last changed: while it stands,
/// everything that a probe sees is affine in that, so this serves all of them.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    seconds: f64,
    standing_s: f64,
    /// Angle the shaft turned as the circuit sees it, radians.
    travel: f64,
    /// The square of the speed added up over time, rad^2/s.
    square: f64,
    slowest: f64,
    fastest: f64,
}

impl Stretch {
    const NONE: Self = Self {
        seconds: 0.0,
        standing_s: 0.0,
        travel: 0.0,
        square: 0.0,
        slowest: f64::INFINITY,
        fastest: f64::NEG_INFINITY,
    };

    /// Adds a step, in which the shaft went from one speed to another. The square is taken at both ends and
    /// at the mean speed, by Simpson's rule.
    fn add(&mut self, step: &Step, last: f64) {
        let first = step.seen_before;
        self.seconds += step.seconds;
        self.travel += step.seen;
        if step.travel == 0.0 {
            self.standing_s += step.seconds;
        }
        if step.seconds > 0.0 {
            let mean = step.mean_seen;
            self.square += step.seconds * (first * first + 4.0 * mean * mean + last * last) / 6.0;
        }
        self.slowest = self.slowest.min(first).min(last);
        self.fastest = self.fastest.max(first).max(last);
    }
}

impl Integral {
    /// Adds a stretch.
    fn add(&mut self, over: &Stretch, probe: &Affine) {
        let Affine { at_rest, per_speed } = *probe;
        self.value += at_rest * over.seconds + per_speed * over.travel;
        self.standing += at_rest * over.standing_s;
        self.square += at_rest * (at_rest * over.seconds + 2.0 * per_speed * over.travel)
            + per_speed * per_speed * over.square;
    }

    /// Adds what was gained since `before` some times over.
    fn repeat(&mut self, before: &Self, times: f64) {
        self.value += times * (self.value - before.value);
        self.square += times * (self.square - before.square);
        self.standing += times * (self.standing - before.standing);
    }
}

impl Trace {
    /// What a probe sees in no time.
    pub(super) const NOTHING: Self = Self {
        mean: 0.0,
        min: 0.0,
        max: 0.0,
        mean_square: 0.0,
        mean_standing: 0.0,
    };

    /// This trace and a later one: the later means, the limits of both.
    pub(super) fn then(self, later: Self) -> Self {
        Self {
            min: self.min.min(later.min),
            max: self.max.max(later.max),
            ..later
        }
    }
}

/// What happened over a span.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Span {
    /// Traces of the probes, in their order.
    pub(crate) traces: Vec<Trace>,
    /// Turns of the crank, whichever way.
    pub(crate) crank_turns: f64,
    /// Turns of the wheel, whichever way.
    pub(crate) wheel_turns: f64,
    /// Turns of the shaft.
    pub(crate) shaft_turns: f64,
    /// Seconds during which the shaft turned.
    pub(crate) turning_s: f64,
    /// Longest time for which the crank stood, and for which it kept turning, seconds.
    pub(crate) longest_standing_s: f64,
    pub(crate) longest_going_s: f64,
    /// Times a breaker opened or closed.
    pub(crate) clicks: u32,
    /// Times a relay's armature moved.
    pub(crate) relay_clicks: u32,
    /// Times the shaft came to rest or set off.
    pub(crate) falters: u32,
    /// Slowest that the shaft went, radians a second, and the crank's angle there, radians.
    pub(crate) slowest: f64,
    pub(crate) slowest_at: f64,
    /// The span's length, seconds.
    pub(crate) seconds: f64,
}

impl Span {
    /// This span and the one that follows it, as one: means over both, the limits of both. What stood or went on from
    /// one into the other is not joined.
    pub(super) fn and(&self, later: &Self) -> Self {
        // What took no time saw nothing, which is not the same as a reading of nothing.
        if later.seconds <= 0.0 {
            return self.clone();
        }
        if self.seconds <= 0.0 {
            return later.clone();
        }
        let seconds = self.seconds + later.seconds;
        let over = |one: f64, its: f64, other: f64, its_own: f64| {
            if its + its_own > 0.0 {
                (one * its + other * its_own) / (its + its_own)
            } else {
                0.0
            }
        };
        let (before, after) = (self.seconds, later.seconds);
        let stood = (before - self.turning_s, after - later.turning_s);
        let join = |(one, other): (&Trace, &Trace)| Trace {
            mean: over(one.mean, before, other.mean, after),
            min: one.min.min(other.min),
            max: one.max.max(other.max),
            mean_square: over(one.mean_square, before, other.mean_square, after),
            mean_standing: over(one.mean_standing, stood.0, other.mean_standing, stood.1),
        };
        let slower = if self.slowest <= later.slowest {
            self
        } else {
            later
        };
        Self {
            slowest: slower.slowest,
            slowest_at: slower.slowest_at,
            traces: self.traces.iter().zip(&later.traces).map(join).collect(),
            crank_turns: self.crank_turns + later.crank_turns,
            wheel_turns: self.wheel_turns + later.wheel_turns,
            shaft_turns: self.shaft_turns + later.shaft_turns,
            turning_s: self.turning_s + later.turning_s,
            longest_standing_s: self.longest_standing_s.max(later.longest_standing_s),
            longest_going_s: self.longest_going_s.max(later.longest_going_s),
            clicks: self.clicks + later.clicks,
            relay_clicks: self.relay_clicks + later.relay_clicks,
            falters: self.falters + later.falters,
            seconds,
        }
    }
}

/// A damped needle, and where it stands once it has been looked at.
#[derive(Clone, Copy, Debug)]
struct Needle(Option<f64>);

/// What is added up over a span.
pub(super) struct Tally {
    pub(super) span: Span,
    /// The damped needles of probes that have one.
    needles: Vec<Option<Needle>>,
    pub(super) integrals: Vec<Integral>,
    any_needle: bool,
    /// How a needle nears what it follows.
    damping: FirstOrder,
    /// Whether no time has passed yet.
    is_first: bool,
    /// What has not been added to traces and integrals yet.
    stretch: Stretch,
    /// For how long the crank has stood or turned by now, seconds.
    as_it_goes: (bool, f64),
    /// Slowest that the shaft went since the wheel passed its zero, and the crank's angle there.
    pub(super) slowest_in_turn: (f64, f64),
}

impl Tally {
    /// A tally of probes, each with whether a damped needle follows it: one that has been watched up to now goes on from
    /// where it stands, and one that has not is taken to stand at what it follows.
    pub(super) fn new(damped: &[bool], stands: Option<f64>) -> Self {
        let probes = damped.len();
        let empty = Trace {
            min: f64::INFINITY,
            max: f64::NEG_INFINITY,
            ..Trace::NOTHING
        };
        Self {
            span: Span {
                traces: vec![empty; probes],
                ..Span::default()
            },
            integrals: vec![Integral::default(); probes],
            needles: damped
                .iter()
                .map(|damped| damped.then_some(Needle(stands)))
                .collect(),
            any_needle: damped.contains(&true),
            damping: FirstOrder::new(NEEDLE_S),
            is_first: true,
            stretch: Stretch::NONE,
            as_it_goes: (false, 0.0),
            slowest_in_turn: Self::NOTHING_SLOW,
        }
    }

    /// Nothing that a shaft went slowly at.
    const NOTHING_SLOW: (f64, f64) = (f64::INFINITY, 0.0);

    /// Where the damped needle stands, if there is one.
    pub(super) fn needle(&self) -> Option<f64> {
        let mut needles = self.needles.iter().flatten();
        needles.next().and_then(|needle| needle.0)
    }

    /// Adds a step, within which what the probes see is affine in the speed that the circuit sees, as given, and at
    /// whose end the crank is at an angle.
    pub(super) fn add(&mut self, step: &Step, speed_after: f64, crank: f64, probes: &[Affine]) {
        // With all of its flux, the circuit sees the shaft as it is.
        let pace = if step.seen.to_bits() == step.travel.to_bits() {
            step.mean_seen.abs()
        } else {
            step.travel.abs() / step.seconds
        };
        if step.seconds > 0.0 && (pace < self.span.slowest || self.is_first) {
            (self.span.slowest, self.span.slowest_at) = (pace, crank);
            self.is_first = false;
        }
        if step.seconds > 0.0 && pace < self.slowest_in_turn.0 {
            self.slowest_in_turn = (pace, crank);
        }
        if !probes.is_empty() {
            self.stretch.add(step, speed_after);
        }
        if self.any_needle && step.seconds > 0.0 {
            let kept = self.damping.kept(step.seconds);
            let traces = self.span.traces.iter_mut().zip(probes);
            for (needle, (trace, probe)) in self.needles.iter_mut().zip(traces) {
                let Some(Needle(stands)) = needle else {
                    continue;
                };
                let mean = probe.at_rest + probe.per_speed * step.seen / step.seconds;
                let first = stands.unwrap_or(probe.at(step.seen_before));
                let last = mean + (first - mean) * kept;
                *stands = Some(last);
                trace.min = trace.min.min(first).min(last);
                trace.max = trace.max.max(first).max(last);
            }
        }
        self.span.falters += u32::from((step.seen_before == 0.0) != (speed_after == 0.0));
        let turns = step.travel / std::f64::consts::TAU;
        self.span.shaft_turns += turns;
        self.span.crank_turns += step.crank_turns.abs();
        self.span.wheel_turns += step.wheel_turns.abs();
        if turns != 0.0 {
            self.span.turning_s += step.seconds;
        }
        if step.seconds > 0.0 {
            self.goes_on(step.crank_turns != 0.0, step.seconds);
        }
    }

    /// The crank goes on turning or standing, or begins to.
    fn goes_on(&mut self, turning: bool, seconds: f64) {
        if self.as_it_goes.0 != turning {
            self.as_it_goes = (turning, 0.0);
        }
        self.as_it_goes.1 += seconds;
        let longest = if turning {
            &mut self.span.longest_going_s
        } else {
            &mut self.span.longest_standing_s
        };
        *longest = longest.max(self.as_it_goes.1);
    }

    /// Takes into traces and integrals what was added since the circuit last changed: to be called before
    /// the probes see it otherwise, and before integrals are looked at.
    pub(super) fn close(&mut self, probes: &[Affine]) {
        let over = std::mem::replace(&mut self.stretch, Stretch::NONE);
        if over.slowest > over.fastest {
            return;
        }
        let seen = self.span.traces.iter_mut().zip(&mut self.integrals);
        for (((trace, integral), probe), needle) in seen.zip(probes).zip(&self.needles) {
            integral.add(&over, probe);
            if needle.is_some() {
                continue;
            }
            let (one, other) = (probe.at(over.slowest), probe.at(over.fastest));
            trace.min = trace.min.min(one).min(other);
            trace.max = trace.max.max(one).max(other);
        }
    }

    /// How much has happened that is not repeated by leaping: something clicked, the shaft came to rest or set off.
    pub(super) const fn once(&self) -> u32 {
        self.span.clicks + self.span.relay_clicks + self.span.falters
    }

    /// The wheel has passed its zero.
    pub(super) const fn begin_turn(&mut self) {
        self.slowest_in_turn = Self::NOTHING_SLOW;
    }

    /// Adds what was gained since `earlier` some times over. That may have been before this span.
    pub(super) fn repeat(&mut self, earlier: &Mark, cycles: f64, period: f64) {
        for (integral, before) in self.integrals.iter_mut().zip(&earlier.integrals) {
            integral.repeat(before, cycles);
        }
        let span = &mut self.span;
        span.crank_turns += cycles * (span.crank_turns - earlier.crank_turns);
        span.shaft_turns += cycles * (span.shaft_turns - earlier.shaft_turns);
        span.wheel_turns += cycles;
        span.turning_s += cycles * period;
        if self.slowest_in_turn.0 < span.slowest {
            (span.slowest, span.slowest_at) = self.slowest_in_turn;
        }
        self.goes_on(true, cycles * period);
    }

    pub(super) fn finish(mut self, seconds: f64) -> Span {
        let over = |sum: f64, time: f64| if time > 0.0 { sum / time } else { 0.0 };
        let standing = seconds - self.span.turning_s;
        for (trace, integral) in self.span.traces.iter_mut().zip(self.integrals) {
            trace.mean = over(integral.value, seconds);
            trace.mean_square = over(integral.square, seconds);
            trace.mean_standing = over(integral.standing, standing);
        }
        self.span.seconds = seconds;
        self.span
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A trace of one ampere for each rad/s, over steps of a second with a speed before and after.
    fn trace(speeds: &[(f64, f64)]) -> Trace {
        let probe = Affine {
            at_rest: 1.0,
            per_speed: 1.0,
        };
        let mut tally = Tally::new(&[false], None);
        for &(before, after) in speeds {
            let step = Step {
                seconds: 1.0,
                travel: 0.5 * (before + after),
                seen: 0.5 * (before + after),
                seen_before: before,
                mean_seen: 0.5 * (before + after),
                ..Step::default()
            };
            tally.add(&step, after, 0.0, &[probe]);
        }
        tally.close(&[probe]);
        #[expect(clippy::cast_precision_loss, reason = "a handful of steps")]
        let seconds = speeds.len() as f64;
        tally.finish(seconds).traces[0]
    }

    #[test]
    fn a_current_that_rises_heats_by_the_mean_of_its_square() {
        // 1 to 3 A in a straight line: mean 2 A, mean square (1 + 3 + 9) / 3 = 13/3.
        let trace = trace(&[(0.0, 2.0)]);
        assert!((trace.mean - 2.0).abs() < 1e-15);
        assert!((trace.mean_square - 13.0 / 3.0).abs() < 1e-14);
    }

    /// Of volts that never fell, the lowest are not nothing for a stretch of no time beside them.
    #[test]
    fn a_span_of_no_time_adds_nothing() {
        let span = Span {
            traces: vec![trace(&[(10.0, 12.0)])],
            seconds: 1.0,
            crank_turns: 0.5,
            ..Span::default()
        };
        let none = Span {
            traces: vec![Trace::NOTHING],
            ..Span::default()
        };
        assert_eq!(span.and(&none), span);
        assert_eq!(none.and(&span), span);
        assert!(span.traces[0].min > 10.0);
    }

    #[test]
    fn a_damped_needle_hardly_sees_a_short_kick() {
        // A second at 1 A, a hundredth of one at 31 A, a second at 1 A again.
        let probe = Affine {
            at_rest: 1.0,
            per_speed: 1.0,
        };
        let mut tally = Tally::new(&[false, true], None);
        for (seconds, speed) in [(1.0, 0.0), (0.01, 30.0), (1.0, 0.0)] {
            let step = Step {
                seconds,
                travel: speed * seconds,
                seen: speed * seconds,
                seen_before: speed,
                mean_seen: speed * seconds / seconds,
                ..Step::default()
            };
            tally.add(&step, speed, 0.0, &[probe, probe]);
        }
        tally.close(&[probe, probe]);
        let traces = tally.finish(2.01).traces;
        assert!((traces[0].max - 31.0).abs() < 1e-12);
        let kick = 30.0 * -libm::expm1(-0.01 / NEEDLE_S);
        assert!((traces[1].max - 1.0 - kick).abs() < 1e-9);
        assert!((traces[0].mean - traces[1].mean).abs() < 1e-15);
    }

    #[test]
    fn a_needle_that_is_watched_on_goes_on_from_where_it_stands() {
        let probe = Affine {
            at_rest: 10.0,
            per_speed: 0.0,
        };
        let mut tally = Tally::new(&[true], Some(0.0));
        let step = Step {
            seconds: NEEDLE_S,
            ..Step::default()
        };
        tally.add(&step, 0.0, 0.0, &[probe]);
        let stands = tally.needle().unwrap();
        assert!((stands - 10.0 * -libm::expm1(-1.0)).abs() < 1e-12);
    }

    #[test]
    fn a_shaft_that_has_stopped_carries_what_it_carries_standing() {
        // A second at 9 rad/s and 10 A, three at rest and 1 A.
        let trace = trace(&[(9.0, 9.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)]);
        assert!((trace.mean - 3.25).abs() < 1e-15);
        assert!((trace.mean_standing - 1.0).abs() < 1e-15);
    }
}
