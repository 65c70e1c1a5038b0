//! Runs in time: step by step, and by leaps where a cycle is sure to repeat.

use std::rc::Rc;
use std::sync::Arc;

use super::super::contacts::Surroundings;
use super::super::tally::{Mark, Span, Step, Tally, Trace};
use super::flux::SWING_STEPS;
use super::protection::BreakerState;
use super::regime::Regime;
use super::{Handling, Motion, Probe, STEP_S};
use crate::machines::{Kept, Release};
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

/// The turn that a run ended in, for the next one to go on with where nothing was changed in between.
#[derive(Clone, Debug)]
pub(super) struct Unfinished {
    /// How it began, what was added up reckoned back from the end of that run.
    mark: Mark,
    /// Slowest that the shaft went since, and the crank's angle there.
    slowest: (f64, f64),
    response: Arc<Response>,
    handling: Handling,
    left: Left,
}

/// How a run left what hands may move or replace before the next.
#[derive(Clone, Debug, PartialEq)]
struct Left {
    speed: f64,
    angles: [f64; 3],
    release: Release,
    heats: Vec<f64>,
}

impl Left {
    fn by(motion: &Motion) -> Self {
        Self {
            speed: motion.speed,
            angles: [motion.shaft, motion.wheel, motion.crank],
            release: motion.release,
            heats: motion.heats(),
        }
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
        self.go(seconds, probes, handling, None)
    }

    /// Runs the vehicle for at most `seconds`, until `stop` says so. Nothing is leapt over: it might say so there.
    pub(crate) fn run_until(
        &mut self,
        seconds: f64,
        probes: &[Probe],
        handling: &Handling,
        stop: &dyn Fn(&Self) -> bool,
    ) -> Result<Span, SolveError> {
        self.go(seconds, probes, handling, Some(stop))
    }

    fn go(
        &mut self,
        seconds: f64,
        probes: &[Probe],
        handling: &Handling,
        stop: Option<&dyn Fn(&Self) -> bool>,
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
        let mut regimes = Regimes {
            probes,
            known: Vec::new(),
        };
        let mut regime = regimes.now(self)?;
        self.relays.look(&regime, self.speed_seen(), &self.setting);
        // What probes saw of the turn before is not known.
        let unfinished = match probes {
            [] => self.goes_on(handling)?,
            _ => None,
        };
        let mut mark = unfinished.map(|unfinished| {
            tally.slowest_in_turn = unfinished.slowest;
            let mut mark = unfinished.mark.clone();
            mark.left_s += seconds;
            mark
        });
        let mut drive = self.drive.clone();
        while left > 0.0 && !stop.is_some_and(|stop| stop(self)) {
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
            if moved || parted || switched || burns.is_some() {
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
                if let Some(earlier) = mark.filter(|_| stop.is_none()) {
                    self.leap(&earlier, &mut left, around, &mut tally);
                }
                mark = Some(self.mark(left, &tally));
                tally.begin_turn();
            }
            if !rests && self.follow_drift(!step.turned) {
                tally.close(&regime.probes);
                regime = regimes.now(self)?;
                mark = None;
            }
        }
        tally.close(&regime.probes);
        self.needle = tally.needle();
        self.unfinished = self.breaks_off(mark, left, &tally, handling)?;
        let mut span = tally.finish(seconds - left.max(0.0));
        if let Some((_, seen)) = &mut self.recorder
            && let Some(latest) = span.traces.pop()
        {
            *seen = Some(seen.map_or(latest, |earlier| earlier.then(latest)));
        }
        Ok(span)
    }

    /// The turn that the last run ended in, where all is as it was left.
    fn goes_on(&mut self, handling: &Handling) -> Result<Option<Arc<Unfinished>>, SolveError> {
        let response = self.response()?;
        let unfinished = self.unfinished.take().filter(|unfinished| {
            Arc::ptr_eq(&unfinished.response, &response)
                && unfinished.handling == *handling
                && unfinished.left == Left::by(self)
        });
        Ok(unfinished)
    }

    /// The turn that a run ends in, with so much left of it, if nothing has happened in it that happens once.
    fn breaks_off(
        &mut self,
        mark: Option<Mark>,
        left_s: f64,
        tally: &Tally,
        handling: &Handling,
    ) -> Result<Option<Arc<Unfinished>>, SolveError> {
        let Some(mark) = mark.filter(|mark| mark.once == tally.once()) else {
            return Ok(None);
        };
        let unfinished = Unfinished {
            mark: Mark {
                left_s: mark.left_s - left_s,
                crank_turns: mark.crank_turns - tally.span.crank_turns,
                shaft_turns: mark.shaft_turns - tally.span.shaft_turns,
                once: 0,
                integrals: Vec::new(),
                ..mark
            },
            slowest: tally.slowest_in_turn,
            response: self.response()?,
            handling: handling.clone(),
            left: Left::by(self),
        };
        Ok(Some(Arc::new(unfinished)))
    }

    /// Heat of each breaker, link and fuse.
    fn heats(&self) -> Vec<f64> {
        self.breakers.iter().map(|breaker| breaker.heat).collect()
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
        let heats = self.heats();
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
            once: tally.once(),
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
        if !alike || earlier.once != tally.once() || whole < 1.0 {
            return;
        }
        let mut cycles = 0.0;
        let mut heats = self.heats();
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

#[cfg(test)]
mod tests {
    use crate::quantity::{Angle, Resistance, Voltage};
    use crate::scenario::Glass;
    use crate::vehicle::{Instrument, Node};
    use crate::world::World;
    use crate::world::motion::Motion;
    use crate::world::tally::Span;
    use crate::world::testing::van;

    /// The van wiping at low for some minutes, warm, that end within a turn.
    fn wiping(fault: Option<&str>) -> World {
        let mut world = van(fault);
        for (control, position) in [("key", 2), ("wiper", 1)] {
            let id = world.vehicle.control(control).unwrap();
            world.motion.setting.positions[id.index()] = position;
        }
        run(&mut world, 120.3);
        assert!(world.motion.unfinished.is_some());
        world
    }

    fn run(world: &mut World, seconds: f64) -> Span {
        let handling = world.handling(None);
        world.motion.run(seconds, &[], &handling).unwrap()
    }

    /// The same vehicle once more, that has forgotten the turn that it is in.
    fn forgetful(world: &World) -> World {
        let mut forgetful = world.clone();
        forgetful.motion.unfinished = None;
        forgetful
    }

    #[test]
    fn a_turn_that_goes_on_over_two_runs_is_as_one_within_a_run() {
        // Wherever in the turn either run ends.
        let ends = (0..8).flat_map(|first| (0..8).map(move |second| (first, second)));
        for ((first, second), fault) in ends.zip([None, Some("left-pivot.stiff:5")].iter().cycle())
        {
            let mut goes_on = wiping(*fault);
            run(&mut goes_on, 0.17 * f64::from(first));
            let mut anew = forgetful(&goes_on);
            let seconds = 12.1 + 0.19 * f64::from(second);
            let [one, other] = [&mut goes_on, &mut anew].map(|world| run(world, seconds));
            // It is leapt over a turn sooner.
            assert!(one != other && one.wheel_turns > 3.0);
            let near = |one: f64, other: f64, share: f64| {
                assert!((one - other).abs() <= share * other.abs(), "{one} {other}");
            };
            near(one.crank_turns, other.crank_turns, 1e-4);
            near(one.shaft_turns, other.shaft_turns, 1e-4);
            near(one.turning_s, other.turning_s, 1e-12);
            // Where it is slowest lies in the part of the turn that the run before had.
            near(one.slowest, other.slowest, 1e-3);
            let breaker = goes_on.vehicle.find("wiper-breaker").unwrap();
            let heats = [&goes_on, &anew].map(|world| world.motion.protection(breaker).0);
            near(heats[0], heats[1], 1e-3);
        }
    }

    /// What hands have moved, set, put on or replaced since is no part of a turn: all goes as if none had been under way.
    #[test]
    fn a_turn_does_not_go_on_over_what_hands_have_done() {
        let world = wiping(None);
        let breaker = world.vehicle.find("wiper-breaker").unwrap();
        let wiper = world.vehicle.control("wiper").unwrap();
        let load = Instrument {
            red: Node(1),
            black: Node::REFERENCE,
            resistance: Resistance::from_ohms(10.0),
            emf: Voltage::ZERO,
        };
        let done: [&dyn Fn(&mut World); 5] = [
            &|world| world.motion.put_protection(breaker, (0.3, false)),
            &|world| world.motion.set_shaft(Angle::from_degrees(20.0)),
            &|world| world.motion.setting.positions[wiper.index()] = 2,
            &|world| world.motion.connect(vec![load]),
            &|world| world.conditions.glass = Glass::Dry,
        ];
        for doing in done {
            let [one, other] = [world.clone(), forgetful(&world)].map(|mut world| {
                doing(&mut world);
                let span = run(&mut world, 12.1);
                (span, world.motion.protection(breaker), world.motion.crank())
            });
            assert_eq!(one, other);
        }
    }

    /// Who waits for a moment is told of it in the first turn, wherever the wheel stands when the waiting begins.
    #[test]
    fn a_moment_that_is_waited_for_is_not_leapt_over() {
        for later in 0..12 {
            let mut world = wiping(None);
            run(&mut world, 0.1 * f64::from(later));
            let handling = world.handling(None);
            let near = |motion: &Motion| (motion.crank().degrees() - 100.0).abs() < 3.0;
            let span = world.motion.run_until(5.0, &[], &handling, &near).unwrap();
            assert!(
                near(&world.motion) && span.seconds < 2.0,
                "{later} {span:?}"
            );
        }
    }
}
