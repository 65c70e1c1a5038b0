//! What drifts: the warmth of windings, which changes their resistance, and the surface charge of batteries, which changes
//! their volts.
//!
//! While a setting stands the circuit is affine in the speed, which it would not be if its values moved along. They
//! stand on treads of a staircase instead ([`crate::machines::Staircase`]) and the circuit is solved anew each time that
//! one moves: at the end of a cycle, or of a time at rest; within a cycle only if it has strayed far. A leap ends with the
//! cycle that moves one, so leaping and stepping come to the same, and so do one run and its parts.

use super::Motion;
use super::regime::Regime;
use crate::vehicle::{Circuit, Drift, Instrument, Setting};

impl Motion {
    /// What the circuit knows of warmth and charge.
    pub(super) fn drift(&self) -> Drift {
        if self.held {
            return Drift::default();
        }
        Drift {
            warm: self.windings.factors(),
            charged: self.cells.held(),
        }
    }

    /// Keeps warmth and charge from the circuit from now on.
    pub(in crate::world) fn hold_values(&mut self) {
        self.held = true;
        self.responses.clear();
    }

    /// The circuit in some setting, with these instruments on it, as warmth and charge have made it.
    pub(crate) fn circuit_in(&self, setting: &Setting, instruments: &[Instrument]) -> Circuit {
        Circuit::drifted(&self.vehicle, setting, instruments, &self.drift())
    }

    /// Time until a value of the circuit has to move while the speed stays as it is, at most `longest` seconds.
    pub(super) fn until_strayed(&self, regime: &Regime, longest: f64) -> f64 {
        let seen = self.speed_seen();
        let seconds = self.windings.until_strayed(&regime.losses, seen, longest);
        self.cells.until_strayed(&regime.charging, seen, seconds)
    }

    /// Moves values that have strayed; whether the circuit is another from now on.
    pub(super) fn follow_drift(&mut self, within_cycle: bool) -> bool {
        let warmer = self.windings.follow(within_cycle);
        let moved = self.cells.follow(within_cycle) || warmer;
        if moved {
            self.responses.clear();
        }
        moved
    }
}

#[cfg(test)]
mod tests {
    use crate::world::World;
    use crate::world::testing::van;

    /// Puts a control at rest or in its first other position, the key at on.
    fn set(world: &mut World, name: &str, on: bool) {
        let id = world.vehicle().find(name).unwrap();
        let roles = world.vehicle().roles().unwrap();
        let position = if id == roles.key { roles.key_on } else { 1 };
        world.motion.setting.positions[id.index()] = if on { position } else { 0 };
    }

    fn run(world: &mut World, seconds: f64, parts: u32) {
        let handling = world.handling(None);
        for _ in 0..parts {
            world
                .run(seconds / f64::from(parts), &[], &handling)
                .unwrap();
        }
    }

    /// Volts at the battery's posts and amperes into it.
    fn battery(world: &mut World) -> (f64, f64) {
        let id = world.vehicle().find("battery").unwrap();
        let path = world.vehicle().component(id).paths[0].clone();
        let response = world.motion.response_at_flux().unwrap();
        let element = response.element_of(id, 0).unwrap();
        (
            response.voltage(path.p, path.n).at(0.0),
            response.current(element).at(0.0),
        )
    }

    /// A rested battery takes a large current at first; after some minutes the posts stand at about 14 V and it takes
    /// some amperes. With the engine off again the surface charge goes by itself in a quarter of an hour. [common
    /// practice, no published source]
    #[test]
    fn charging_tapers_and_the_posts_come_to_the_regulators_volts() {
        let mut world = van(None);
        let (rested, _) = battery(&mut world);
        assert!((rested - 12.6).abs() < 0.01, "{rested} V");
        set(&mut world, "ignition-switch", true);
        set(&mut world, "alternator", true);
        let (at_once, first) = battery(&mut world);
        assert!((12.9..13.8).contains(&at_once) && (20.0..70.0).contains(&first));
        let mut last = (at_once, first);
        for _ in 0..10 {
            run(&mut world, 30.0, 1);
            let now = battery(&mut world);
            assert!(now.0 >= last.0 && now.1 <= last.1, "{now:?} after {last:?}");
            last = now;
        }
        assert!(
            (13.8..14.2).contains(&last.0) && (3.0..9.0).contains(&last.1),
            "{last:?}"
        );
        set(&mut world, "alternator", false);
        set(&mut world, "ignition-switch", false);
        let (fresh, _) = battery(&mut world);
        assert!(fresh > 13.5, "{fresh} V");
        run(&mut world, 1800.0, 1);
        let (again, _) = battery(&mut world);
        assert!((again - rested).abs() < 0.04, "{again} V");
    }

    #[test]
    fn charging_comes_to_the_same_whether_it_is_leapt_over_or_gone_through() {
        let charged = |parts: u32| {
            let mut world = van(None);
            for name in ["ignition-switch", "alternator", "wiper-switch"] {
                set(&mut world, name, true);
            }
            run(&mut world, 300.0, parts);
            battery(&mut world)
        };
        let (whole, parts) = (charged(1), charged(700));
        assert!((whole.0 - parts.0).abs() < 1e-3, "{whole:?}, {parts:?}");
        assert!((whole.1 - parts.1).abs() < 0.05, "{whole:?}, {parts:?}");
    }

    /// A stalled motor's current falls as its copper warms, and cold again it draws what it drew.
    #[test]
    fn a_hot_winding_draws_less_and_a_cold_one_what_it_drew() {
        let mut world = van(Some("left-pivot.seized"));
        set(&mut world, "ignition-switch", true);
        set(&mut world, "wiper-switch", true);
        let drawn = |world: &mut World| -battery(world).1;
        run(&mut world, 1.0, 1);
        let (cold, motor) = (drawn(&mut world), world.motor().unwrap());
        run(&mut world, 12.0, 1);
        let (copper, _) = world.winding_temperature(motor).unwrap();
        let hot = drawn(&mut world);
        // 0.6 of the 0.984 ohm are copper.
        let expected = cold * 0.984 / (0.384 + 0.6 * (1.0 + 0.00393 * (copper - 20.0)));
        assert!(
            copper > 35.0 && (hot - expected).abs() < 0.006 * cold,
            "{hot}, {expected} A"
        );
        set(&mut world, "wiper-switch", false);
        run(&mut world, 7200.0, 1);
        set(&mut world, "wiper-switch", true);
        assert!((drawn(&mut world) - cold).abs() < 0.1);
    }
}
