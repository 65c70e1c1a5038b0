//! Whether the engine starts when its control is put to on: what the vehicle's own circuit leaves a starter.
//!
//! The starter hangs on the battery's positive clamp and on the body, for as long as it is needed; its solenoid hangs on what
//! the ignition switch feeds. Both are resistances: the starter one that pulls a sound battery of the vehicle down to
//! four fifths of its volts, as a starter does that was chosen for it. So a battery that is flat, a strap that is off
//! or bad and a feed that is dead keep an engine from starting. A person's own leads and meters are left out: a lead
//! with a fuse starts no engine. An engine that runs goes on without a battery, as a diesel does, until its control
//! or the key goes off. All figures are judgement, no published source.

use super::World;
use super::observation::{Observable, Quantity, Scale};
use super::scales::STARTS;
use crate::network::SolveError;
use crate::quantity::{Resistance, Voltage};
use crate::vehicle::{ComponentId, Emf, Gate, Instrument, Kind, Node};

/// Resistance of a starter that turns an engine over, in terms of a sound battery's own.
const STARTER: f64 = 4.0;
/// Resistance of a starter's solenoid of a battery of [`SOLENOID_V`], ohms: some 13 A. Others have the same power.
const SOLENOID_OHM: f64 = 1.0;
const SOLENOID_V: f64 = 12.6;
/// Share of a sound battery's volts from which a solenoid pulls in, and which a starter needs to turn an engine over
/// at all and fast enough for it to start.
const PULLS_IN: f64 = 0.55;
const TURNS: f64 = 0.35;
const STARTS_AT: f64 = 0.7;

impl World {
    /// Works the circuit as the bench's controls stand. An engine whose control was put to on, and which did not run
    /// before, is tried to start: how it answered. One that was heard not to start stands on the bench as such, as it
    /// is known from then on.
    pub(super) fn work_engine(
        &mut self,
        control: ComponentId,
        position: usize,
        ran: bool,
    ) -> Result<Option<Observable>, SolveError> {
        let of_engine = matches!(self.vehicle.component(control).kind, Kind::Alternator(_));
        let mut answered = None;
        if of_engine && position > 0 && !ran {
            let turned = self.cranks(control)?;
            self.bench.stalled = turned < 2;
            answered = Some(Observable::steady(
                Quantity::Starts,
                self.vehicle.component(control).id.to_string(),
                f64::from(turned),
                Scale::Words(STARTS),
            ));
        }
        self.motion
            .setting
            .positions
            .clone_from(&self.bench.positions);
        if self.bench.stalled {
            for id in self.vehicle.engines() {
                self.motion.setting.positions[id.index()] = 0;
            }
        }
        Ok(answered)
    }

    /// How the engine answers its starter, as [`STARTS`] counts it.
    fn cranks(&self, engine: ComponentId) -> Result<u8, SolveError> {
        let Some((clamp, sound_volts, sound)) = self.battery() else {
            return Ok(0);
        };
        let body = self.vehicle.body;
        let load = |red, resistance| Instrument {
            red,
            black: body,
            resistance,
            emf: Voltage::ZERO,
        };
        let per_volts = (sound_volts / SOLENOID_V) * (sound_volts / SOLENOID_V);
        let mut loads = vec![load(clamp, sound * STARTER)];
        let solenoid = self.fed_by_key();
        loads.extend(
            solenoid.map(|node| load(node, Resistance::from_ohms(SOLENOID_OHM * per_volts))),
        );
        let mut setting = self.motion.setting.clone();
        setting.positions.clone_from(&self.bench.positions);
        setting.positions[engine.index()] = 0;
        let response = self.motion.circuit_in(&setting, &loads).response()?;
        let share =
            |red: Node| response.voltage(red, body).at(self.motion.speed_seen()) / sound_volts;
        let starter = share(clamp);
        Ok(
            if starter < TURNS || solenoid.is_some_and(|node| share(node) < PULLS_IN) {
                0
            } else if starter < STARTS_AT {
                1
            } else {
                2
            },
        )
    }

    /// The clamp on the battery's positive post, which a starter's cable shares, and a sound battery's volts and
    /// resistance.
    fn battery(&self) -> Option<(Node, f64, Resistance)> {
        self.sound.components.iter().find_map(|part| {
            let (clamp, path) = (part.terminals.first()?, part.paths.first()?);
            match (&part.kind, path.emf) {
                (Kind::Battery { .. }, Emf::Constant(volts)) => {
                    Some((clamp.node, volts.volts(), path.resistance))
                }
                _ => None,
            }
        })
    }

    /// Where the ignition switch feeds what an engine starts by: behind the first contact that closes in its last
    /// position.
    fn fed_by_key(&self) -> Option<Node> {
        let roles = self.vehicle.roles()?;
        let on = |closed: &[usize]| closed.contains(&roles.key_on);
        let mut contacts = self.vehicle.component(roles.key).paths.iter();
        contacts
            .find(|path| matches!(&path.gate, Gate::Position(closed) if on(closed)))
            .map(|path| path.n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::testing::{self, van};
    use crate::world::{Action, Errors, Hazard, Observation};

    /// What a person without error hears of what is done.
    fn act(world: &mut World, words: &str) -> Vec<&'static str> {
        let seen = testing::act(world, words);
        let word = |seen: &Observable| match seen.observe(Errors::NONE) {
            Observation::Perception { word, .. } => word,
            Observation::Reading { .. } => "",
        };
        seen.iter().map(word).collect()
    }

    fn started(fault: Option<&str>) -> (Vec<&'static str>, bool) {
        let mut world = van(fault);
        act(&mut world, "set ignition-switch on");
        let heard = act(&mut world, "set alternator on");
        (heard, world.bench.engine_runs(&world.sound))
    }

    /// A sound battery has 0.015 ohm with its clamps, 0.059 of the starter and 0.002 of strap and ground: 12.6 V x 59 / 76 =
    /// 9.8 V on the starter, 0.78 of it. One at 0.93 of its volts has 11.72 V behind 0.0254 ohm: 8.0 V, 0.64. At
    /// 0.75 the solenoid drops out again, as it has 5 V. A strap with another ohm leaves 0.7 V, a post that a tenth of
    /// an ohm of crust is on 4.2 V, 0.34.
    #[test]
    fn an_engine_starts_by_a_battery_that_can_turn_it_over() {
        for (fault, heard, runs) in [
            (None, "the engine starts", true),
            (
                Some("battery.flat:0.93"),
                "the engine turns over too slowly to start",
                false,
            ),
            (
                Some("battery.flat:0.75"),
                "the engine does not turn over",
                false,
            ),
            (
                Some("battery-strap.open"),
                "the engine does not turn over",
                false,
            ),
            (
                Some("battery-strap.high-resistance:1"),
                "the engine does not turn over",
                false,
            ),
            (
                Some("battery.pos-high-resistance:0.1"),
                "the engine does not turn over",
                false,
            ),
            (
                Some("fusible-link.open"),
                "the engine does not turn over",
                false,
            ),
            (
                Some("ignition-switch.30-15-open"),
                "the engine does not turn over",
                false,
            ),
            (Some("motor-strap.open"), "the engine starts", true),
        ] {
            assert_eq!(started(fault), (vec![heard], runs), "{fault:?}");
        }
    }

    #[test]
    fn with_the_strap_off_the_control_stays_where_it_was_put_and_nothing_charges() {
        let mut world = van(None);
        act(&mut world, "set ignition-switch on");
        act(&mut world, "unplug battery-strap");
        assert_eq!(
            act(&mut world, "set alternator on"),
            ["the engine does not turn over"]
        );
        let engine = world.vehicle.find("alternator").unwrap();
        assert_eq!(world.bench.positions[engine.index()], 1);
        assert!(world.bench.stalled);
        // It was heard not to run: no belt turns, and the battery can be put under load.
        let action = |words: &str| Action::from_words(words, &van(None).sound).unwrap();
        let by_the_engine = world.permit(&action("feel fusible-link")).unwrap();
        assert_eq!(by_the_engine.hazards(), []);
        assert!(world.permit(&action("battery-test")).is_ok());
        // Nothing starts it but another try.
        act(&mut world, "plug battery-strap");
        act(&mut world, "set wiper-switch low");
        assert!(!world.bench.engine_runs(&world.sound));
        assert_eq!(act(&mut world, "set alternator on"), ["the engine starts"]);
        assert!(world.bench.engine_runs(&world.sound));
        let by_the_engine = world.permit(&action("feel fusible-link")).unwrap();
        assert_eq!(by_the_engine.hazards(), [Hazard::HandsAtRunningEngine]);
        assert!(world.permit(&action("battery-test")).is_err());
        // Once it runs it goes on until it is switched off.
        assert!(act(&mut world, "set alternator on").is_empty());
        act(&mut world, "set ignition-switch off");
        assert!(!world.bench.engine_runs(&world.sound));
    }
}
