//! What play, slipping serrations and links off their pins come to for eyes, ears and hands.

use super::World;
use super::motion::Handling;
use super::observation::{Observable, Quantity, Scale};
use super::scales::{ADRIFT, FLAP, OVERRUN, PLAY, STAY, STREAK};
use super::tally::Span;
use crate::machines::Release;
use crate::quantity::Angle;
use crate::vehicle::{Component, ComponentId, DriveTrain, Kind, PivotLoad, Vehicle};

/// Share of a sound blade's force below which it lifts off in places (judgement).
const LIFTS_SHARE: f64 = 0.4;
/// Inertia of an arm with its blade about the pivot, kilograms a metre with the cube of the length to its tip: 0.65 kg for
/// each metre, most of it near the pivot no more than at the blade (judgement).
const INERTIA_KG_PER_M: f64 = 0.65 / 3.0;

/// Whether an arm stays where it is while the pivots turn.
fn stays(drive: &DriveTrain, handling: &Handling, place: usize) -> bool {
    let load = &drive.pivots[place];
    let wanted = (load.data.force * load.data.radius).newton_metres();
    let slips =
        DriveTrain::blade_torque(load, handling.blade_friction) < wanted * handling.blade_friction;
    slips || (handling.link_off && !drive.goes_without_link(place))
}

/// Play of the gear's teeth at an arm, on the average of the wipe.
fn gear_play(drive: &DriveTrain) -> Angle {
    drive.gear_play * (drive.linkage.sweep().radians() / std::f64::consts::PI)
}

impl World {
    /// Whether the drive link is off its pin, and the connecting link.
    pub(super) fn links_off(&self) -> (bool, bool) {
        let drive = self.drive.as_ref();
        drive.map_or((false, false), |drive| {
            (drive.drive_link_off, drive.connecting_link_off)
        })
    }

    /// Arms that stay where they are while the pivots turn: their serrations slip under the blade, or the link that
    /// moves their pivot is off.
    pub(super) fn arms_that_stay(&self) -> u32 {
        let handling = self.handling(None);
        let Some(drive) = self.drive.as_ref().filter(|_| !handling.crank_off) else {
            return 0;
        };
        let arms = drive.pivots.iter().enumerate();
        let stays = arms.filter(|(place, load)| !load.guides && stays(drive, &handling, *place));
        stays.fold(0, |count, _| count + 1)
    }

    /// How far beyond where a sound one turns round the tip of a blade runs over a span, millimetres: by as much as its
    /// arm or its link is out of place; by what an eccentric that stays out adds to the throw; and by half its play,
    /// where it is turned round so hard that it is thrown to the end of that.
    pub(super) fn overrun_mm(&self, span: &Span) -> f64 {
        let handling = self.handling(None);
        let Some(drive) = self.drive.as_ref().filter(|_| !handling.crank_off) else {
            return 0.0;
        };
        let angles = |release| {
            let ends = drive.turns_round(release);
            ends.map(|pose| pose.rocker_angle().radians())
        };
        let bare = self.bench.arms_off(&self.vehicle);
        let [from, to] = angles(Release::IN);
        let [low, high] = angles(drive.stuck().unwrap_or(Release::IN));
        let way = (to - from).signum();
        let turns_a_second = span.crank_turns.abs() / span.turning_s.max(1e-9);
        let speed = turns_a_second * std::f64::consts::TAU;
        let turned_round = drive.turns_round_at() * speed * speed;
        let arms = drive.pivots.iter().enumerate();
        let arms = arms.filter(|(place, load)| !load.guides && !stays(drive, &handling, *place));
        let beyond = |(_, load): (usize, &PivotLoad)| {
            // A pivot without its arm shows its own swing alone.
            let astray = if bare { 0.0 } else { load.astray.radians() };
            let shifted = (way * (from - low - astray)).max(way * (high + astray - to));
            let tip = load.data.tip.metres();
            let inertia = INERTIA_KG_PER_M * tip * tip * tip;
            let held = DriveTrain::blade_torque(load, handling.blade_friction)
                + load.friction.newton_metres();
            let thrown = !bare && inertia * turned_round > held;
            let play = load.play.radians() + gear_play(drive).radians();
            let play = if thrown { 0.5 * play } else { 0.0 };
            (shifted.max(0.0) + play) * tip * 1000.0
        };
        arms.map(beyond).fold(0.0, f64::max)
    }

    /// What the blade that wipes worst leaves wet, as a share of its length: one that presses with less than it takes
    /// lifts off in places, and rubber that is torn loose flaps over what it should wipe.
    pub(super) fn streak_share(&self) -> f64 {
        let of = |vehicle: &Vehicle, id: ComponentId| match vehicle.component(id).kind {
            Kind::Arm { data, .. } => Some(data.force.newtons()),
            _ => None,
        };
        let left = |id: ComponentId| {
            let share = of(&self.vehicle, id)? / of(&self.sound, id)?;
            let lifts = (1.0 - share / LIFTS_SHARE).max(0.0);
            Some(lifts.max(self.vehicle.component(id).wear.torn))
        };
        self.vehicle.ids().filter_map(left).fold(0.0, f64::max)
    }

    /// Rubber of the blades that is torn loose, as they are heard to turn round.
    pub(super) fn flap(&self, span: &Span) -> Observable {
        let torn = |part: &Component| part.wear.torn;
        let most = self.vehicle.components.iter().map(torn).fold(0.0, f64::max);
        let silent = span.crank_turns == 0.0 || self.bench.arms_off(&self.vehicle);
        let heard = if silent { 0.0 } else { most };
        let blades = "blades".to_owned();
        Observable::steady(Quantity::Flap, blades, heard, Scale::Words(FLAP))
    }

    /// What is seen of blades that go, besides how: an arm that stays, one that runs too far, what is left wet.
    pub(super) fn seen_going(&self, span: &Span) -> Vec<Observable> {
        let seen = |quantity, value, words| {
            Observable::steady(quantity, "blades".to_owned(), value, Scale::Words(words))
        };
        let overrun = seen(Quantity::Overrun, self.overrun_mm(span), OVERRUN);
        let wipes = self.is_wet() && !self.bench.arms_off(&self.vehicle);
        let streak = wipes.then(|| seen(Quantity::Streak, self.streak_share(), STREAK));
        [self.stay(), overrun].into_iter().chain(streak).collect()
    }

    /// Play that is taken up as the blades turn round, degrees at the arm that has most of it: of its bushing, and of
    /// the gear's teeth as the linkage hands them on, on the average of the wipe.
    pub(super) fn knock_deg(&self) -> f64 {
        let handling = self.handling(None);
        let Some(drive) = self.drive.as_ref().filter(|_| !handling.crank_off) else {
            return 0.0;
        };
        let in_bushings = drive.pivots.iter().map(|load| load.play.degrees());
        in_bushings.fold(0.0, f64::max) + gear_play(drive).degrees()
    }

    /// Play of an arm at its tip, by hand: of its bushing, and of the gear's teeth as far as the linkage hands them on
    /// where the crank stands.
    pub(super) fn arm_play(&self, arm: ComponentId) -> Observable {
        let handling = self.handling(None);
        let play = self.drive.as_ref().map_or(0.0, |drive| {
            let places = drive.pivots.iter().enumerate();
            let mut own = places.filter(|(_, load)| load.arm == arm && !load.guides);
            let Some((place, load)) = own.next() else {
                return 0.0;
            };
            let held = !handling.crank_off
                && (drive.goes_without_link(place) || !handling.link_off)
                && !drive.gear.stripped;
            let at_gear = if held {
                let ratio = drive.pose(self.motion.crank(), self.motion.release()).ratio;
                drive.gear_play.radians() * ratio.abs()
            } else {
                0.0
            };
            (load.play + Angle::from_radians(at_gear)).radians() * load.data.tip.metres() * 1000.0
        });
        let subject = self.vehicle.component(arm).id.to_string();
        Observable::steady(Quantity::Play, subject, play, Scale::Words(PLAY))
    }

    /// Whether all arms go.
    pub(super) fn stay(&self) -> Observable {
        let arms = f64::from(self.arms_that_stay());
        Observable::steady(Quantity::Stay, "arms".to_owned(), arms, Scale::Words(STAY))
    }

    /// Which links are off their pins.
    pub(super) fn adrift(&self) -> Vec<Observable> {
        let links = self.vehicle.components.iter();
        let links =
            links.filter(|part| matches!(part.kind, Kind::Linkage(_) | Kind::ConnectingLink));
        let seen = |part: &Component| {
            let off = f64::from(u8::from(part.wear.off));
            Observable::steady(
                Quantity::Adrift,
                part.id.to_string(),
                off,
                Scale::Words(ADRIFT),
            )
        };
        links.map(seen).collect()
    }
}
