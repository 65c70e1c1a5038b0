//! Runs in time: step by step, and by leaps where a cycle is sure to repeat.

use std::rc::Rc;
use std::sync::Arc;

use super::super::contacts::Surroundings;
use super::super::tally::{Mark, Span, Step, Tally, Trace};
use super::flux::SWING_STEPS;
use super::protection::BreakerState;
use super::regime::Regime;
use super::{Handling, Motion, Probe, STEP_S};
use crate::machines::Kept;
use crate::math;
use crate::network::SolveError;
use crate::quantity::Interval;
use crate::vehicle::{DriveTrain, Response};

/// Heat from which a trip is met exactly rather than at the end of a step.
const NEARLY_TRIPPED: f64 = 0.8;
/// Relative change of speed from one turn to the next below which a cycle is taken as one of a row: what is left of it
/// dies out in the first hundredths of the next, so that pace and means are right to a few millionths.
const ALIKE: f64 = 2e-4;
/// Relative distance from its goal, or change from one turn to the next, at which what nothing makes good again has
/// come to rest.
const SETTLED: f64 = 1e-10;
/// Regimes of a run that are kept: a cycle goes through fewer.
const REGIMES: usize = 8;
/// How far, as a share of its half saturation, a wound field may be from where its currents lead it before steps
/// are shorter.
const SWINGS: f64 = 0.05;

/// The regimes that a run has been through, each with the circuit's answer that it is made of.
struct Regimes<'a> {
    probes: &'a [Probe],
    known: Vec<(Arc<Response>, Rc<Regime>)>,
}

impl Regimes<'_> {
    /// That of the present setting. What is drifted, burnt or blown makes another answer, and so another regime.
    fn now(&mut self, motion: &mut Motion) -> Result<Rc<Regime>, SolveError> {
        let response = motion.response()?;
        let same = |(of, _): &&(Arc<Response>, Rc<Regime>)| Arc::ptr_eq(of, &response);
        if let Some((_, regime)) = self.known.iter().find(same) {
            return Ok(Rc::clone(regime));
        }
        let regime = Rc::new(motion.regime_of(&response, self.probes));
        if self.known.len() == REGIMES {
            self.known.remove(0);
        }
        self.known.push((response, Rc::clone(&regime)));
        Ok(regime)
    }
}

impl Motion {
    /// Runs the vehicle for `seconds`, with probes on it.
    pub(crate) fn run(
        &mut self,
        seconds: f64,
        probes: &[Probe],
        handling: &Handling,
    ) -> Result<Span, SolveError> {
        self.run_until(seconds, probes, handling, |_| false)
    }

    /// Runs the vehicle for at most `seconds`, until `stop` says so.
    pub(crate) fn run_until(
        &mut self,
        seconds: f64,
        probes: &[Probe],
        handling: &Handling,
        stop: impl Fn(&Self) -> bool,
    ) -> Result<Span, SolveError> {
        if seconds <= 0.0 {
            return Ok(Span {
                traces: vec![Trace::NOTHING; probes.len()],
                ..Span::default()
            });
        }
        let recorder = self.recorder.map(|(probe, _)| probe);
        let probes: Vec<Probe> = probes.iter().copied().chain(recorder).collect();
        let probes = probes.as_slice();
        self.contacts.soak(handling.water, &mut self.setting.parted);
        let damped = |probe: &Probe| matches!(probe, Probe::Needle(_));
        let damped: Vec<bool> = probes.iter().map(damped).collect();
        let mut tally = Tally::new(&damped, self.needle);
        let mut left = seconds;
        let mut mark: Option<Mark> = None;
        let mut regimes = Regimes {
            probes,
            known: Vec::new(),
        };
        let mut regime = regimes.now(self)?;
        self.relays.look(&regime, self.speed_seen(), &self.setting);
        let mut drive = self.drive.clone();
        while left > 0.0 && !stop(self) {
            let moving = drive
                .as_ref()
                .filter(|drive| !self.stays_at_rest(drive, &regime, handling));
            let rests = moving.is_none();
            // What strayed within a cycle is followed as soon as that ends, by coming to rest too.
            if rests && self.follow_drift(false) {
                tally.close(&regime.probes);
                regime = regimes.now(self)?;
                mark = None;
                continue;
            }
            let around = Surroundings {
                shaking: handling.shaking,
                turning: moving.is_some(),
            };
            let free = left
                .min(self.contacts.until_change(around, &self.setting.parted))
                .min(self.relays.until_move());
            let step = match moving {
                Some(drive) => {
                    self.step(drive, &regime, self.longest(drive, &regime, free), handling)
                }
                None => self.rest(&regime, free, drive.as_ref(), handling),
            };
            let seen = self.speed_seen();
            tally.add(&step, seen, self.crank, &regime.probes);
            left -= step.seconds;
            let moved = self.heat(&regime, &step, &mut tally);
            let glows = self.glow(&regime, &step);
            let parted = self
                .contacts
                .advance(step.seconds, around, &mut self.setting.parted);
            let burns = self.windings.warm(&regime.losses, &step, seen);
            self.cells
                .charge(&regime.charging, step.mean_seen, step.seconds);
            if let Some(motor) = burns {
                self.burn(motor);
                drive.clone_from(&self.drive);
            }
            let switched = self.switch(&regime, &step, &mut tally);
            if moved || glows || parted || switched || burns.is_some() || step.passed_edge {
                tally.close(&regime.probes);
                regime = regimes.now(self)?;
            }
            self.relays.look(&regime, self.speed_seen(), &self.setting);
            if parted || switched || burns.is_some() {
                mark = None;
            }
            if let Some(mark) = &mut mark {
                for (peak, breaker) in mark.peaks.iter_mut().zip(&self.breakers) {
                    *peak = peak.max(breaker.heat);
                }
                mark.warmths.follow(&self.windings);
            }
            if step.turned {
                tally.close(&regime.probes);
                if let Some(earlier) = mark {
                    self.leap(&earlier, &mut left, around, &mut tally);
                }
                mark = Some(self.mark(left, &tally));
            }
            if !rests && self.follow_drift(!step.turned) {
                tally.close(&regime.probes);
                regime = regimes.now(self)?;
                mark = None;
            }
        }
        tally.close(&regime.probes);
        self.needle = tally.needle();
        let mut span = tally.finish(seconds - left.max(0.0));
        if let Some((_, seen)) = &mut self.recorder
            && let Some(latest) = span.traces.pop()
        {
            *seen = Some(seen.map_or(latest, |earlier| earlier.then(latest)));
        }
        Ok(span)
    }

    /// Lets relays, interval units and diodes do what they do over a step; whether one has.
    fn switch(&mut self, regime: &Regime, step: &Step, tally: &mut Tally) -> bool {
        let (clicks, moved) =
            self.relays
                .pass(step.seconds, regime, self.speed_seen(), &mut self.setting);
        tally.span.relay_clicks += clicks;
        // What a diode does hangs on the speed.
        moved || regime.diode_astray(self.speed_seen())
    }

    /// Time at rest until something happens: a breaker moves, the flux can turn the shaft, or the span ends.
    fn rest(
        &mut self,
        regime: &Regime,
        left: f64,
        drive: Option<&DriveTrain>,
        handling: &Handling,
    ) -> Step {
        let glows = self
            .lamp
            .is_some_and(|lamp| !lamp.settled(regime.lamp.at(self.speed_seen())));
        let longest = if glows { left.min(STEP_S) } else { left };
        let longest = drive.map_or(longest, |drive| {
            self.until_it_turns(drive, regime, longest, handling)
        });
        let seconds = self.until_event(regime, longest);
        self.follow(regime, 0.0, seconds);
        Step {
            seconds,
            mean_seen: if seconds > 0.0 {
                0.0
            } else {
                self.speed_seen()
            },
            ..Step::default()
        }
    }

    /// Lets the lamp's filament follow its voltage over a step; whether its resistance has changed.
    fn glow(&mut self, regime: &Regime, step: &Step) -> bool {
        let volts = regime.lamp.at(self.speed_seen());
        self.lamp
            .as_mut()
            .is_some_and(|lamp| lamp.follow(volts, step.seconds))
    }

    /// How long a step may be: a motor that drives nothing and has reached its speed goes on as it is.
    fn longest(&self, drive: &DriveTrain, regime: &Regime, left: f64) -> f64 {
        if drive.gear.stripped && self.arcs.is_empty() && self.lamp.is_none() {
            let law = self.decay(drive, regime, self.flux(), self.speed.signum(), 0.0);
            let settled = (self.speed - law.goal).abs() <= SETTLED * law.goal.abs();
            if settled && self.unsettled(regime) <= SETTLED {
                return self.until_event(regime, left);
            }
        }
        let nearly = self
            .breakers
            .iter()
            .any(|breaker| breaker.heat > NEARLY_TRIPPED && !self.is_open(breaker.of))
            || self.windings.nearly_burnt();
        let step = if self.unsettled(regime) > SWINGS {
            left.min(STEP_S / SWING_STEPS)
        } else {
            left.min(STEP_S)
        };
        if nearly {
            self.until_event(regime, step)
        } else {
            step
        }
    }

    fn mark(&self, left_s: f64, tally: &Tally) -> Mark {
        let heats: Vec<f64> = self.breakers.iter().map(|breaker| breaker.heat).collect();
        Mark {
            speed: self.speed,
            astray: self.astray(),
            release: self.release,
            turns: self.turns(),
            left_s,
            peaks: heats.clone(),
            warmths: self.windings.mark(),
            cells: self.cells.clone(),
            heats,
            clicks: tally.span.clicks + tally.span.relay_clicks,
            glow: self.lamp.map_or(0.0, |lamp| lamp.level_v),
            integrals: tally.integrals.clone(),
            crank_turns: tally.span.crank_turns,
            shaft_turns: tally.span.shaft_turns,
        }
    }

    /// Leaps over as many whole cycles as are sure to be like the one since `earlier`.
    fn leap(&mut self, earlier: &Mark, left: &mut f64, around: Surroundings, tally: &mut Tally) {
        let period = earlier.left_s - *left;
        let alike = (self.speed - earlier.speed).abs() <= ALIKE * self.speed.abs()
            && (self.turns() - earlier.turns).abs() <= ALIKE * self.turns().abs();
        let free = left
            .min(self.contacts.until_change(around, &self.setting.parted))
            .min(self.relays.until_move());
        let whole = (free / period).floor();
        let glow = self.lamp.map_or(0.0, |lamp| lamp.level_v);
        let alike = alike && (glow - earlier.glow).abs() <= SETTLED * glow;
        let out = (self.release.out() - earlier.release.out()).radians();
        // A crank that has slipped stands elsewhere for good.
        let slipped = math::wrap_half_turn(self.astray() - earlier.astray);
        let alike = alike && out.abs() <= SETTLED && slipped.abs() <= SETTLED;
        let clicks = tally.span.clicks + tally.span.relay_clicks;
        if !alike || earlier.clicks != clicks || whole < 1.0 {
            return;
        }
        let mut cycles = 0.0;
        let mut heats: Vec<f64> = self.breakers.iter().map(|breaker| breaker.heat).collect();
        let mut windings = self.windings.clone();
        let mut cells = self.cells.clone();
        let kept_turn = Kept::after(Interval::from_seconds(period));
        let after_turn =
            |breaker: &BreakerState| math::exp(-period / breaker.data.time_constant.seconds());
        let kept: Vec<f64> = self.breakers.iter().map(after_turn).collect();
        while cycles < whole && !windings.strayed() && !cells.strayed() {
            let mut next = Vec::with_capacity(heats.len());
            let mut safe = true;
            for (index, breaker) in self.breakers.iter().enumerate() {
                let kept = kept[index];
                let gained = breaker.heat - kept * earlier.heats[index];
                let after = kept * heats[index] + gained;
                let swing = earlier.peaks[index] - earlier.heats[index].min(breaker.heat);
                let tripped = self.is_open(breaker.of);
                safe &= if tripped {
                    let recloses = |reclose: f64| after.min(heats[index]) - swing.abs() <= reclose;
                    !breaker.data.reclose.is_some_and(recloses)
                } else {
                    after.max(heats[index]) + swing < 1.0
                };
                next.push(after);
            }
            let warmer =
                windings.another_turn(&earlier.warmths, &self.windings, &kept_turn, period);
            let Some(warmer) = warmer.filter(|_| safe) else {
                break;
            };
            windings = warmer;
            cells.another_cycle(&earlier.cells, &self.cells, period);
            heats = next;
            cycles += 1.0;
        }
        // Heats of the last turn must stay untouched until the count is known: `gained` comes from them.
        for (breaker, heat) in self.breakers.iter_mut().zip(heats) {
            breaker.heat = heat;
        }
        self.windings = windings;
        self.cells = cells;
        *left -= cycles * period;
        self.contacts
            .advance(cycles * period, around, &mut self.setting.parted);
        self.relays.leap(cycles * period);
        tally.repeat(earlier, cycles, period);
    }
}
