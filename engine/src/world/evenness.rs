//! How evenly blades go, by eye and by ear: whether the motor slows in a part of each wipe, slows at rest and goes on,
//! or runs through. It is judged by the speed of the shaft alone.

use super::World;
use super::observation::{Observable, Quantity, Scale};
use super::scales::{AT_REST, EVENNESS, REST_SEEN, SHORT, STOP_AND_GO, THROUGH};
use super::tally::Span;
use crate::math;
use crate::scenario::Glass;
use crate::vehicle::Roles;

/// Turns of the crank from which a pace can be called even, and how far from park the crank is while blades are said to
/// be at their rest, radians (judgement).
const WHOLE_TURNS: f64 = 1.5;
const NEAR_REST: f64 = 0.5;

impl World {
    /// How far eyes and ears find the motor to slow at its slowest, beside what they know of the glass: dry, every blade
    /// drags twice as much, and every motor slows for that. `None` where blades do not go through a whole wipe without a
    /// stop.
    pub(super) fn slowing(&self, span: &Span) -> Option<f64> {
        let glass = self.conditions.glass;
        let of_glass = |glass: Glass, wetted| glass.friction_on(self.sound.surface(), wetted);
        let dry = match self.bench.arms_off(&self.sound) {
            true => 1.0,
            false => of_glass(glass, self.wetted()) / of_glass(Glass::Wet, true),
        };
        slowing(span).map(|slows| slows / dry.max(1.0))
    }

    /// How evenly blades go that wipe without intervals, as [`EVENNESS`] counts it.
    pub(super) fn evenness(&self, span: &Span) -> Option<Observable> {
        if self.at_intervals() || span.crank_turns == 0.0 {
            return None;
        }
        let value = match self.slowing(span) {
            None if span.falters > 0 => STOP_AND_GO,
            None => return None,
            Some(slows) => {
                let park = self
                    .drive
                    .as_ref()
                    .map_or(0.0, |drive| drive.park().radians());
                let at_rest = math::wrap_half_turn(span.slowest_at - park).abs() < NEAR_REST;
                let even = slows < EVENNESS.cuts[0];
                match (even, at_rest, self.is_to_stop()) {
                    (false, true, _) => AT_REST + slows,
                    (true, _, true) if self.turns_short() => SHORT,
                    (true, _, true) => THROUGH,
                    _ => slows,
                }
            }
        };
        let blades = "blades".to_owned();
        Some(Observable::steady(
            Quantity::Evenness,
            blades,
            value,
            Scale::Words(EVENNESS),
        ))
    }

    /// Whether blades that go as they do now turn round farther from their rest than an eye takes for it, the eccentric
    /// that lays them there not coming out.
    fn turns_short(&self) -> bool {
        let Some(drive) = &self.drive else {
            return false;
        };
        let at = |release| drive.pose(drive.park(), release).rocker_angle();
        let short = (at(self.motion.release()) - at(drive.parked()))
            .radians()
            .abs();
        let tips = drive.pivots.iter().map(|load| load.data.tip.metres());
        tips.fold(0.0, f64::max) * short * 1000.0 > REST_SEEN.cuts[0]
    }

    /// Whether the wiper switch stands at OFF, so that blades which go should stop at their rest. On leads the switch says
    /// nothing of what the motor is to do.
    fn is_to_stop(&self) -> bool {
        let roles = self.sound.roles();
        let off = roles
            .is_some_and(|roles| self.motion.setting.positions[roles.wiper.index()] == roles.off);
        off && self.bench.jumpers.is_empty()
    }

    /// Whether blades that go are to stop at their rest, and have the supply to go on until they are there.
    pub(crate) fn parks(&self) -> bool {
        let on = |roles: Roles| self.motion.setting.positions[roles.key.index()] == roles.key_on;
        self.is_to_stop() && self.sound.roles().is_some_and(on)
    }
}

/// How far the motor slows at its slowest, as a share of its mean speed; `None` where blades do not go through a whole
/// wipe without a stop.
fn slowing(span: &Span) -> Option<f64> {
    let whole = span.falters == 0 && span.crank_turns >= WHOLE_TURNS && span.turning_s > 0.0;
    whole.then(|| {
        let mean = span.shaft_turns.abs() * std::f64::consts::TAU / span.turning_s;
        (1.0 - span.slowest / mean).clamp(0.0, 1.0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Minutes;
    use crate::world::testing::{standing, van};
    use crate::world::{Errors, Observation};

    /// The words for the van with a fault, after it has run in a position of its switch: by eye, and by ear.
    fn told(fault: Option<&str>, position: usize) -> (Vec<&'static str>, Vec<&'static str>) {
        let mut world: World = van(fault);
        for (control, position) in [("key", 2), ("wiper", 1)] {
            let id = world.vehicle.control(control).unwrap();
            world.motion.setting.positions[id.index()] = position;
        }
        let handling = world.handling(None);
        world.run(5.0, &[], &handling).unwrap();
        let wiper = world.vehicle.control("wiper").unwrap();
        world.motion.setting.positions[wiper.index()] = position;
        world.run(5.0, &[], &handling).unwrap();
        let words = |seen: Vec<Observable>| {
            let word = |seen: &Observable| match seen.observe(Errors::NONE) {
                Observation::Perception { word, .. } => word,
                Observation::Reading { .. } => "",
            };
            seen.iter().map(word).collect()
        };
        let minutes = Minutes::from_hundredths(40);
        let looked = words(world.look_at_blades(minutes).unwrap());
        (looked, words(world.listen(minutes).unwrap()))
    }

    #[test]
    fn blades_that_wipe_well_go_evenly_at_the_pace_of_their_position() {
        let (low, heard) = told(None, 1);
        assert_eq!(low[..2], ["at a middling pace", "they go evenly"]);
        assert_eq!(heard.last(), Some(&"even"));
        let (high, _) = told(None, 2);
        assert_eq!(high[..2], ["fast", "they go evenly"]);
        let (off, _) = told(None, 0);
        assert_eq!(off[..2], ["still", "at their rest"]);
    }

    /// Without the ground of the park contact nothing brakes the motor: the feed opens at park, it coasts through on its
    /// swing, and is fed again.
    #[test]
    fn a_motor_that_nothing_brakes_slows_at_rest_and_goes_on() {
        let (looked, heard) = told(Some("park-contact.ground-open"), 0);
        assert_eq!(looked[0], "at a middling pace");
        assert!(
            looked[1].starts_with("each time they come to their rest"),
            "{looked:?}"
        );
        assert_eq!(heard.last(), Some(&"sinking once in each wipe"));
    }

    #[test]
    fn a_motor_that_park_does_not_switch_off_runs_through_without_slowing() {
        let (looked, heard) = told(Some("park-contact.stuck-on-feed"), 0);
        assert_eq!(looked[1], "they run through their rest without slowing");
        assert_eq!(heard.last(), Some(&"even"));
    }

    /// Its plug off and on leads, it is not the switch that would have it stop.
    #[test]
    fn on_leads_it_goes_as_it_goes_whatever_the_switch_says() {
        for (fault, told) in [
            (None, "they go evenly"),
            (
                Some("left-pivot.stiff:6"),
                "they drag in one part of each wipe",
            ),
        ] {
            let mut world = van(fault);
            let plan = world.sound.in_place().unwrap();
            for action in plan.tests[0].actions() {
                let permitted = world.permit(&action).unwrap();
                world.carry_out(&permitted).unwrap();
            }
            let looked = world.look_at_blades(Minutes::from_hundredths(40)).unwrap();
            let word = match looked[1].observe(Errors::NONE) {
                Observation::Perception { word, .. } => word,
                Observation::Reading { .. } => "",
            };
            assert_eq!(word, told, "{fault:?}");
        }
    }

    #[test]
    fn a_stiff_pivot_drags_in_a_part_of_each_wipe() {
        let (looked, heard) = told(Some("left-pivot.stiff:6"), 1);
        assert_eq!(looked[..2], ["slow", "they drag in one part of each wipe"]);
        assert_eq!(heard.last(), Some(&"sinking once in each wipe"));
        let (looked, _) = told(Some("left-pivot.stiff:3"), 2);
        assert_eq!(looked[0], "at a middling pace");
    }

    /// What is even on wet glass is even on dry, by eye and by ear alike, with an error to spare; and what drags, drags.
    #[test]
    fn dry_glass_alone_is_no_dragging() {
        let texts = [
            include_str!("../../../scenarios/van-case-ground.toml"),
            include_str!("../../../scenarios/sedan-reversing.toml"),
            include_str!("../../../scenarios/bus-compound.toml"),
            include_str!("../../../scenarios/bus-compound-rheostat.toml"),
            include_str!("../../../scenarios/hatch-relay.toml"),
        ];
        let slows = |text: &str, fault: Option<&str>, position: usize| {
            let mut world = standing(text, fault);
            world.conditions.glass = Glass::Dry;
            let controls = [("key", 2), ("wiper", position)];
            for (control, position) in controls {
                let id = world.vehicle.control(control).unwrap();
                world.motion.setting.positions[id.index()] = position;
            }
            let handling = world.handling(None);
            world.run(60.0, &[], &handling).unwrap();
            let minutes = Minutes::from_hundredths(40);
            let seen = world.look_at_blades(minutes).unwrap();
            let heard = world.listen(minutes).unwrap();
            let of = |list: &[Observable], quantity| {
                let found = list.iter().find(|seen| seen.quantity == quantity);
                found.map_or(0.0, |seen| seen.value)
            };
            [of(&seen, Quantity::Evenness), of(&heard, Quantity::Sag)]
        };
        for text in texts {
            let sound = crate::file::read_vehicle(text).unwrap().0;
            for position in sound.roles().unwrap().speeds {
                let [eye, ear] = slows(text, None, position);
                let spare = 1.5 * EVENNESS.sd;
                assert!(eye.max(ear) + spare < EVENNESS.cuts[0], "{eye} {ear}");
                assert!((eye - ear).abs() < EVENNESS.sd, "{eye} {ear}");
            }
        }
        let stiff = slows(texts[0], Some("left-pivot.stiff:4"), 1);
        assert!(
            stiff.iter().all(|slows| *slows > EVENNESS.cuts[0]),
            "{stiff:?}"
        );
    }

    /// A park contact that feeds on lets the blades of the saloon run through their rest below the wipe; an eccentric that
    /// does not come out never lets them get there, which is another repair.
    #[test]
    fn blades_whose_eccentric_stays_in_turn_round_short_of_their_rest() {
        let text = include_str!("../../../scenarios/sedan-reversing.toml");
        let value = |fault: &str| {
            let mut world = standing(text, Some(fault));
            for (control, position) in [("key", 2), ("wiper", 1)] {
                let id = world.vehicle.control(control).unwrap();
                world.motion.setting.positions[id.index()] = position;
            }
            let handling = world.handling(None);
            world.run(5.0, &[], &handling).unwrap();
            let wiper = world.vehicle.control("wiper").unwrap();
            world.motion.setting.positions[wiper.index()] = 0;
            world.run(10.0, &[], &handling).unwrap();
            let minutes = Minutes::from_hundredths(40);
            let seen = world.look_at_blades(minutes).unwrap();
            let found = seen.iter().find(|seen| seen.quantity == Quantity::Evenness);
            found.map(|seen| seen.value)
        };
        assert_eq!(value("park-contact.stuck-on-feed"), Some(THROUGH));
        assert_eq!(value("eccentric.stuck-in"), Some(SHORT));
    }
}
