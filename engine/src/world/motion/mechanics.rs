//! The shaft, the wheel and the crank: what resists, how far a step goes, and the edges that it meets.

use super::super::decay::Decay;
use super::super::tally::Step;
use super::regime::Regime;
use super::{Handling, Motion};
use crate::machines::Release;
use crate::math;
use crate::network::SolveError;
use crate::quantity::{Angle, Torque};
use crate::vehicle::DriveTrain;

/// Angle, radians, below which an edge counts as just passed.
const EDGE: f64 = 1e-9;
/// How much further back the wheel turns until a contact changes over again on the edge that it has just passed,
/// degrees, and how far past it the leaf is off the flank of the cam, on which it has that play (judgement).
const PLAY_DEG: f64 = 0.01;
const FLANK_DEG: f64 = 0.5;
/// Reach in terms of the travel beyond which an edge is surely not met.
const WITHIN_REACH: f64 = 1.0 + 1e-9;
/// Halvings of a step in search of where a loose crank begins to slip: to a millionth of a step.
const SLIP_HALVINGS: u32 = 20;
/// The last angle before a whole turn.
const TURN_END: f64 = std::f64::consts::TAU - EDGE * 0.5;

/// What the shaft or the wheel turns past.
#[derive(Clone, Copy, Debug)]
enum Edge {
    Cam(Passed),
    /// The wheel's zero, met exactly so that one turn can be held against the next.
    Turn,
    /// Where an arc of the shaft begins or ends.
    Arc(usize),
    /// The outer dead centre, where an eccentric is let go backward.
    LetGo,
    /// Where an eccentric has come to its end.
    End,
}

/// An edge of the cam as it is passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Passed {
    /// Whether it is the one at the larger angle.
    upper: bool,
    /// Whether the wheel turned forward.
    forward: bool,
}

/// Where crank and eccentric stand, and the way they turn.
#[derive(Clone, Copy, Debug)]
struct At {
    /// Angle of the crank, radians.
    crank: f64,
    release: Release,
    sign: f64,
}

impl Motion {
    /// Sets cam and arcs by the angles that wheel and shaft stand at.
    pub(super) fn place_edges(&mut self) {
        self.cam_passed = None;
        if let Some(drive) = &self.drive {
            self.setting.cam_inside = self.in_window(drive) && self.cam_works(drive);
        }
        let shaft = Angle::from_radians(self.shaft);
        self.setting.on_arcs = self.arcs.iter().map(|arc| arc.holds(shaft)).collect();
    }

    /// Whether the wheel stands in the window of the cam.
    pub(super) fn in_window(&self, drive: &DriveTrain) -> bool {
        let off_centre = math::wrap_half_turn(self.wheel - drive.cam.centre.radians());
        off_centre.abs() < drive.cam.half_width.radians()
    }

    /// Whether the cam works the park contact: where there is an eccentric, only with that out.
    fn cam_works(&self, drive: &DriveTrain) -> bool {
        drive.eccentric.is_none() || self.release.works_contact()
    }

    /// Whether the eccentric is free to turn in the crank.
    pub(super) fn is_free(drive: &DriveTrain) -> bool {
        drive
            .eccentric
            .is_some_and(|eccentric| eccentric.stuck.is_none())
    }

    fn at(&self, sign: f64) -> At {
        At {
            crank: self.crank,
            release: self.release,
            sign,
        }
    }

    /// The speed, rad/s, at which the winding's torque meets friction and load at this crank angle.
    pub(crate) fn balance_speed(&mut self, handling: &Handling) -> Result<f64, SolveError> {
        self.settle_flux()?;
        let regime = self.regime(&[])?;
        let Some(drive) = self
            .drive
            .clone()
            .filter(|drive| !self.stays_at_rest(drive, &regime, handling))
        else {
            return Ok(0.0);
        };
        let sign = (self.flux() * regime.torque.at_rest).signum();
        let (load, _) = Self::crank_load(&drive, self.at(sign), handling);
        if regime.turns.is_some() {
            return Ok(self.balance_wound(&drive, &regime, load));
        }
        Ok(self.decay(&drive, &regime, 1.0, sign, load).goal)
    }

    /// Torque that has to be overcome before the shaft turns one way or the other.
    pub(super) fn standing_friction(
        &self,
        drive: &DriveTrain,
        sign: f64,
        handling: &Handling,
    ) -> f64 {
        let load = Self::crank_load(drive, self.at(sign), handling).0;
        let load = Torque::from_newton_metres(load);
        (drive.motor.coulomb + self.worm.load(load)).newton_metres()
    }

    pub(super) fn stays_at_rest(
        &self,
        drive: &DriveTrain,
        regime: &Regime,
        handling: &Handling,
    ) -> bool {
        if self.speed != 0.0 {
            return false;
        }
        let torque = self.flux() * regime.torque.at_rest;
        torque.abs() <= self.standing_friction(drive, torque.signum(), handling)
    }

    /// Torque that opposes the wheel, newton metres, and whether the crank turns with it.
    fn crank_load(drive: &DriveTrain, at: At, handling: &Handling) -> (f64, bool) {
        if drive.gear.stripped || handling.crank_off {
            return (0.0, false);
        }
        let crank = Angle::from_radians(at.crank);
        let ratio = drive.ratio(crank, at.release, at.sign).abs();
        let mut at_pivots = 0.0;
        for (place, (pivot, assist)) in drive.pivots.iter().zip(&handling.assist).enumerate() {
            if handling.link_off && !drive.goes_without_link(place) {
                continue;
            }
            let blade = DriveTrain::blade_torque(pivot, handling.blade_friction);
            at_pivots += blade + pivot.friction.newton_metres() - assist.newton_metres();
        }
        let load = at_pivots * ratio;
        match drive.crank_slip {
            Some(slip) if load > slip.newton_metres() => (slip.newton_metres(), false),
            _ => (load, true),
        }
    }

    /// How far the crank goes along with the wheel, radians: until its load is what a loose joint carries.
    fn crank_travel(&self, drive: &DriveTrain, wheel: f64, handling: &Handling) -> f64 {
        if drive.gear.stripped || handling.crank_off {
            return 0.0;
        }
        if drive.crank_slip.is_none() {
            return wheel;
        }
        let follows = |travel: f64| {
            let mut at = self.at(wheel);
            at.crank += travel;
            at.release = Self::turned(drive, at.release, travel);
            Self::crank_load(drive, at, handling).1
        };
        if !follows(0.0) {
            return 0.0;
        }
        if follows(wheel) {
            return wheel;
        }
        // Between where it follows and where it does not lies where it begins to slip.
        let (mut along, mut beyond) = (0.0, wheel);
        for _ in 0..SLIP_HALVINGS {
            let middle = 0.5 * (along + beyond);
            if follows(middle) {
                along = middle;
            } else {
                beyond = middle;
            }
        }
        along
    }

    /// One step of a shaft that turns or is about to.
    pub(super) fn step(
        &mut self,
        drive: &DriveTrain,
        regime: &Regime,
        longest: f64,
        handling: &Handling,
    ) -> Step {
        let sign = if self.speed == 0.0 {
            (self.flux() * regime.torque.at_rest).signum()
        } else {
            self.speed.signum()
        };
        let per_wheel = if drive.gear.stripped {
            0.0
        } else {
            self.worm.wheel_turns()
        };
        let half = 0.5 * longest * self.speed * per_wheel;
        let middle = At {
            crank: self.crank + half,
            release: Self::turned(drive, self.release, half),
            sign,
        };
        let (load, _) = Self::crank_load(drive, middle, handling);
        let flux = self.flux_ahead(regime, 0.5 * longest);
        let law = self
            .decay(drive, regime, flux, sign, load)
            .ready_for(longest);

        let mut seconds = longest;
        let mut stops = false;
        if let Some(zero) = law.time_to_zero(sign).filter(|&zero| zero <= longest) {
            (seconds, stops) = (zero, true);
        }
        let mut edge = None;
        let mut travel = law.travel(seconds);
        if let Some((distance, which)) = self
            .next_edge(sign, per_wheel, travel.abs())
            .filter(|(d, _)| *d <= travel.abs())
        {
            seconds = law.time_to_travel(sign * distance, seconds);
            travel = sign * distance;
            (edge, stops) = (Some(which), false);
        }

        let seen_before = self.speed_seen();
        let speed = law.speed(seconds);
        // A shaft that stops on an edge may come out a rounding error the wrong way round.
        self.speed = if stops || speed * sign < 0.0 {
            0.0
        } else {
            speed
        };
        self.follow(regime, flux * travel, seconds);
        let wheel = travel * per_wheel;
        let crank = self.crank_travel(drive, wheel, handling);
        self.shaft = math::wrap_turn(self.shaft + travel);
        self.wheel = math::wrap_turn(self.wheel + wheel);
        self.leave_flank(drive);
        self.crank = math::wrap_turn(self.crank + crank);
        self.release = Self::turned(drive, self.release, crank);
        let turned = matches!(edge, Some(Edge::Turn));
        match edge {
            Some(Edge::Cam(passed)) => {
                self.cam_passed = Some(passed);
                self.setting.cam_inside = !self.setting.cam_inside && self.cam_works(drive);
            }
            // A crank that slips, or is off, takes its eccentric nowhere.
            Some(Edge::LetGo | Edge::End) if (wheel - crank).abs() > EDGE => {}
            Some(Edge::LetGo) => self.release = self.release.let_go(),
            Some(Edge::End) => self.release = self.release.ended(sign),
            Some(Edge::Arc(arc)) => self.setting.on_arcs[arc] = !self.setting.on_arcs[arc],
            Some(Edge::Turn) => self.wheel = if sign > 0.0 { 0.0 } else { TURN_END },
            None => {}
        }
        let turn = std::f64::consts::TAU;
        let seen = flux * travel;
        let wheel_turns = wheel / turn;
        // A crank that is tight goes with the wheel.
        let together = crank.to_bits() == wheel.to_bits();
        Step {
            seconds,
            travel,
            seen,
            seen_before,
            mean_seen: if seconds > 0.0 {
                seen / seconds
            } else {
                self.speed_seen()
            },
            crank_turns: if together { wheel_turns } else { crank / turn },
            wheel_turns,
            passed_edge: matches!(edge, Some(Edge::Cam(_) | Edge::Arc(_))),
            turned,
        }
    }

    /// How an eccentric stands after a travel of the crank.
    fn turned(drive: &DriveTrain, release: Release, travel: f64) -> Release {
        if Self::is_free(drive) {
            release.after(travel)
        } else {
            release
        }
    }

    /// The law of the speed while the flux and the load, in newton metres at the crank, stand.
    pub(super) fn decay(
        &self,
        drive: &DriveTrain,
        regime: &Regime,
        flux: f64,
        sign: f64,
        load: f64,
    ) -> Decay {
        let through_worm = self
            .worm
            .load(Torque::from_newton_metres(load))
            .newton_metres();
        let friction = through_worm + drive.motor.coulomb.newton_metres();
        let damping = drive.motor.damping_nms(flux) - flux * flux * regime.torque.per_speed;
        let goal = (flux * regime.torque.at_rest - sign * friction) / damping;
        let (rate, kept) = if regime.turns.is_none() {
            (regime.rate, Some(regime.kept))
        } else {
            let rate = damping / drive.motor.inertia.kilogram_square_metres();
            (rate, None)
        };
        Decay {
            from: self.speed,
            goal,
            rate,
            kept,
        }
    }

    /// Forgets the edge of the cam that was passed last once the wheel is well past it.
    fn leave_flank(&mut self, drive: &DriveTrain) {
        let cam = drive.cam;
        let past = self.cam_passed.map_or(0.0, |last| {
            let half = cam.half_width.radians();
            let edge = cam.centre.radians() + if last.upper { half } else { -half };
            math::wrap_half_turn(self.wheel - edge).abs()
        });
        if past > FLANK_DEG.to_radians() {
            self.cam_passed = None;
        }
    }

    /// Where the cam's next edge is passed the way of `sign`, radians of the wheel. Back over the one that was passed last,
    /// that is a little further on.
    fn cam_edge(&self, drive: &DriveTrain, sign: f64) -> (f64, Passed) {
        let (centre, half) = (drive.cam.centre.radians(), drive.cam.half_width.radians());
        // Inside, the way out is the far edge; outside, the way in is the near one.
        let out = if self.setting.cam_inside { 1.0 } else { -1.0 };
        let passed = Passed {
            upper: sign * out > 0.0,
            forward: sign > 0.0,
        };
        let back = self
            .cam_passed
            .is_some_and(|last| last.upper == passed.upper && last.forward != passed.forward);
        let play = if back { PLAY_DEG.to_radians() } else { 0.0 };
        (centre + sign * (out * half + play), passed)
    }

    /// The next edge of the cam or of an arc the way the shaft turns, and how far the shaft has to turn to it. One that
    /// is out of reach of a travel of the shaft may be left out.
    fn next_edge(&self, sign: f64, per_wheel: f64, reach: f64) -> Option<(f64, Edge)> {
        let ahead = |edge: f64, from: f64| {
            let distance = math::wrap_turn(sign * (edge - from));
            if distance < EDGE {
                std::f64::consts::TAU
            } else {
                distance
            }
        };
        // Divisions are for edges that are near: most steps meet none.
        let wheel_reach = reach * per_wheel * WITHIN_REACH;
        let of_wheel = |edge: f64, from: f64| {
            let distance = ahead(edge, from);
            (distance <= wheel_reach).then(|| distance / per_wheel)
        };
        let mut nearest: Option<(f64, Edge)> = None;
        let mut offer = |distance: f64, edge: Edge| {
            if nearest.is_none_or(|(best, _)| distance < best) {
                nearest = Some((distance, edge));
            }
        };
        if let Some(drive) = self.drive.as_ref().filter(|_| per_wheel > 0.0) {
            let (at, passed) = self.cam_edge(drive, sign);
            if let Some(distance) = of_wheel(at, self.wheel) {
                offer(distance, Edge::Cam(passed));
            }
            if let Some(distance) = of_wheel(0.0, self.wheel) {
                offer(distance, Edge::Turn);
            }
            if Self::is_free(drive) {
                if let Some(left) = self.release.until_end(sign).filter(|left| *left > EDGE) {
                    offer(left / per_wheel, Edge::End);
                }
                if sign < 0.0 {
                    let outer = drive.linkage.folded_dead_centre().radians();
                    if let Some(distance) = of_wheel(outer, self.crank) {
                        offer(distance, Edge::LetGo);
                    }
                }
            }
        }
        for (place, arc) in self.arcs.iter().enumerate() {
            // On it, the way forward ends where it ends; off it, it ends where the arc begins.
            let at_end = self.setting.on_arcs[place] == (sign > 0.0);
            let edge = if at_end { arc.to } else { arc.from };
            offer(ahead(edge.radians(), self.shaft), Edge::Arc(place));
        }
        nearest
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::quantity::Interval;
    use crate::scenario::Glass;
    use crate::world::Trial;

    /// With the engine running and the radio on, a bad ground of the switch drives the parked motor of the saloon slowly
    /// forward out of the cam's window, whereupon it is fed backward again: it goes to and fro over the edge, and never
    /// past it unseen, however its time is cut up.
    #[test]
    fn a_motor_that_goes_to_and_fro_over_an_edge_of_its_cam_stays_there() {
        let text = include_str!("../../../../scenarios/sedan-reversing.toml");
        let sound = crate::file::read_vehicle(text).unwrap().0;
        let fault = sound.parse_fault("dash-ground.high-resistance:1.01");
        let vehicle = Arc::new(sound.inject(&fault.unwrap()));
        for running_s in [2.855, 2.86, 2.865] {
            let turns = |calls: u32| {
                let mut trial = Trial::new(&vehicle, Glass::Streaming).unwrap();
                let mut set = |word: &str, position| {
                    trial.set(vehicle.control(word).unwrap(), position);
                };
                let on = [("key", 2), ("engine", 1), ("radio", 1), ("wiper", 1)];
                for (word, position) in on {
                    set(word, position);
                }
                trial.run(Interval::from_seconds(running_s), &[]).unwrap();
                trial.set(vehicle.control("wiper").unwrap(), 0);
                let call = Interval::from_seconds(3.0 / f64::from(calls));
                let run = (0..calls).map(|_| trial.run(call, &[]).unwrap().crank_turns);
                let turns: f64 = run.sum();
                let off_edge = trial.crank().radians().to_degrees() - 16.0;
                assert!(off_edge.abs() < 2.0, "{off_edge} degrees off the edge");
                turns
            };
            let (whole, parts) = (turns(1), turns(3000));
            assert!((whole - parts).abs() < 1e-4, "{whole} {parts}");
        }
    }
}
