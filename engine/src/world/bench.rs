//! What the person has done to the vehicle and around it, and has been told of it beyond doubt: all that permission may
//! depend on.

use super::action::Action;
use super::foreseen::{MotorDoes, motor_does};
use super::hazard::UNPROTECTED;
use super::permit::Permitted;
use super::refusal::key_is_on;
use super::supply;
use crate::quantity::{Minutes, SimTime};
use crate::vehicle::{ComponentId, CoverId, Kind, PlaceId, Point, Vehicle};

/// How long water stays on dry glass, seconds (judgement).
pub(super) const WET_S: u64 = 180;
/// How long water that ran into joints and plugs stays there, seconds (judgement: a closed housing dries in tens of
/// minutes, where the glass does so in a few).
const SOAKED_S: u64 = 1200;
/// Seconds of running after which what opens for warmth has opened: longer than the latest takes.
pub(crate) const WARM_RUN_S: u32 = 390;

/// What the person has done to the vehicle's surroundings: all that permission may depend on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bench {
    /// Where the person is.
    pub place: PlaceId,
    /// Which covers are off, by cover index.
    pub covers_off: Vec<bool>,
    /// Position of each control, by component index.
    pub positions: Vec<usize>,
    /// Whether the engine was heard not to start when it was last tried: its control stands at on, and it does not run.
    pub stalled: bool,
    /// Which connectors are unplugged, by component index.
    pub unplugged: Vec<bool>,
    /// Which nuts and links are undone, by component index.
    pub undone: Vec<bool>,
    /// Whether the meter is out.
    pub meter_out: bool,
    /// Where the voltmeter is left connected.
    pub clip: Option<(Point, Point)>,
    /// Jumper leads that are on, in the order they were put on, each with the end that went on first.
    pub jumpers: Vec<(Point, Point)>,
    /// Which of these leads had their fuses blown as they went on, as a sound vehicle has it.
    pub leads_blown: Vec<bool>,
    /// Whether the ohms range is set to zero with the leads together.
    pub zeroed: bool,
    /// Which components have a known good part in their place, by component index.
    pub substituted: Vec<bool>,
    /// Whether a sound motor would stand parked after what the person did with controls, plugs and leads.
    pub run_to_park: bool,
    /// Since when leads feed the motor past its breaker, on a sound vehicle; from the last caution of that on.
    pub unprotected_since: Option<SimTime>,
    /// How often a probe went into each terminal of an unplugged connector.
    pub probed: Vec<(Point, u32)>,
    /// What has been repaired, in order.
    pub repairs: Vec<(ComponentId, usize)>,
    /// Until when the glass is wet from the can.
    pub wet_until: SimTime,
    /// Until when water from the can is in joints and plugs.
    pub soaked_until: SimTime,
    /// Since when a sound motor would have run without a stop on what the person set and connected.
    pub runs_since: Option<SimTime>,
    /// Whether the wiper switch has stood at its fastest with the key on, so that blades which can move have.
    pub has_run: bool,
    /// Whether the person is coached.
    pub coached: bool,
    /// Simulated time.
    pub now: SimTime,
}

impl Bench {
    /// A bench at which nothing was done yet.
    #[must_use]
    pub fn untouched(vehicle: &Vehicle) -> Self {
        let count = vehicle.components.len();
        Self {
            place: PlaceId(0),
            covers_off: vec![false; vehicle.layout.covers.len()],
            positions: vec![0; count],
            stalled: false,
            unplugged: vec![false; count],
            undone: vec![false; count],
            meter_out: false,
            clip: None,
            jumpers: Vec::new(),
            leads_blown: Vec::new(),
            zeroed: false,
            substituted: vec![false; count],
            run_to_park: true,
            unprotected_since: None,
            probed: Vec::new(),
            repairs: Vec::new(),
            wet_until: SimTime::START,
            soaked_until: SimTime::START,
            runs_since: None,
            has_run: false,
            coached: false,
            now: SimTime::START,
        }
    }

    /// Puts the person where an action is done, with the covers off.
    pub(super) fn reach(&mut self, permitted: &Permitted) {
        if let Some(place) = permitted.place {
            self.place = place;
        }
        for cover in &permitted.covers {
            self.covers_off[cover.index()] = true;
        }
        self.meter_out |= permitted.takes_meter;
    }

    /// Writes down what an action changes.
    pub(super) fn note(&mut self, action: &Action, vehicle: &Vehicle) {
        match action {
            Action::Go(place) => self.place = *place,
            Action::Remove(cover) => self.covers_off[cover.index()] = true,
            Action::Fit(cover) => self.covers_off[cover.index()] = false,
            Action::Control {
                component,
                position,
                ..
            } => self.set(*component, *position, vehicle),
            Action::Measure { red, black, .. } => self.probe([*red, *black], vehicle),
            Action::Zero => self.zeroed = true,
            Action::Jumper { first, second } => {
                let blows = supply::blows(*first, *second, self, vehicle);
                self.jumpers.push((*first, *second));
                self.leads_blown.push(blows);
            }
            Action::RemoveJumper { .. } => {
                self.jumpers.pop();
                self.leads_blown.pop();
            }
            Action::NewFuse => self.leads_blown.fill(false),
            Action::Substitute(part) => self.substituted[part.index()] = true,
            Action::PutBack(part) => self.substituted[part.index()] = false,
            Action::Clip { red, black } => {
                self.probe([*red, *black], vehicle);
                self.clip = Some((*red, *black));
            }
            Action::Unclip => self.clip = None,
            Action::Coach => self.coached = true,
            Action::Unplug(connector) => self.unplugged[connector.index()] = true,
            Action::Plug(connector) => self.unplugged[connector.index()] = false,
            Action::Loosen(part) => self.undone[part.index()] = true,
            Action::Tighten(part) => self.undone[part.index()] = false,
            Action::WetGlass => {
                self.wet_until = self.now.plus_micros(WET_S * 1_000_000);
                self.soaked_until = self.now.plus_micros(SOAKED_S * 1_000_000);
            }
            Action::Repair { component, way } => {
                self.repairs.push((*component, *way));
                self.substituted[component.index()] = false;
                self.probed.retain(|(at, _)| at.component != *component);
            }
            Action::HandOver(_) => {
                self.covers_off.fill(false);
                self.substituted.fill(false);
                self.jumpers.clear();
                self.leads_blown.clear();
                self.clip = None;
            }
            _ => {}
        }
        if feeds_otherwise(action) {
            self.note_motor(vehicle);
        }
    }

    /// Writes down where a sound motor stands after what was done to its supply: what comes off it stays where it is.
    fn note_motor(&mut self, vehicle: &Vehicle) {
        let at_intervals = key_is_on(self, vehicle)
            && vehicle
                .roles()
                .is_some_and(|roles| Some(self.positions[roles.wiper.index()]) == roles.interval);
        let does = motor_does(self, vehicle);
        self.runs_since = self.runs_since.or(Some(self.now));
        self.runs_since = self.runs_since.filter(|_| does == MotorDoes::Runs);
        match does {
            MotorDoes::Runs => self.run_to_park = false,
            // Between one wipe and the next it stands at home; in the wipe it does not.
            MotorDoes::RunsHome => self.run_to_park = !at_intervals,
            MotorDoes::Stands => {}
        }
    }

    /// Writes down, after an action, whether leads feed the motor past its breaker: a caution of that counts once, and
    /// its minutes begin anew.
    pub(super) fn note_unprotected(&mut self, vehicle: &Vehicle) {
        let fed = !self.jumpers.is_empty() && supply::feeds_past_breakers(self, vehicle);
        let told = self.unprotected() >= UNPROTECTED;
        let since = self.unprotected_since.filter(|_| !told);
        self.unprotected_since = fed.then(|| since.unwrap_or(self.now));
    }

    /// For how long leads have fed the motor past its breaker.
    pub(super) fn unprotected(&self) -> Minutes {
        let since = self.unprotected_since.unwrap_or(self.now);
        let seconds = self.now.micros().saturating_sub(since.micros()) / 1_000_000;
        Minutes::from_hundredths(u32::try_from(seconds * 100 / 60).unwrap_or(u32::MAX))
    }

    /// Writes down that probes went into terminals of connectors that are apart.
    fn probe(&mut self, leads: [Point; 2], vehicle: &Vehicle) {
        for at in leads {
            if !self.is_bare(at, vehicle) {
                continue;
            }
            match self.probed.iter_mut().find(|(known, _)| *known == at) {
                Some((_, times)) => *times += 1,
                None => self.probed.push((at, 1)),
            }
        }
    }

    /// Whether a point is the open contact of a connector that is apart.
    pub(super) fn is_bare(&self, at: Point, vehicle: &Vehicle) -> bool {
        let connector = matches!(vehicle.component(at.component).kind, Kind::Connector { .. });
        connector && self.unplugged[at.component.index()]
    }

    /// How often a probe has gone into a contact.
    pub(super) fn times_probed(&self, at: Point) -> u32 {
        let known = self.probed.iter().find(|(known, _)| *known == at);
        known.map_or(0, |(_, times)| *times)
    }

    /// The bench after an action, as far as the person's own doing goes; for reckoning costs ahead.
    #[must_use]
    pub fn after(&self, permitted: &Permitted, vehicle: &Vehicle) -> Self {
        let mut bench = self.clone();
        bench.reach(permitted);
        bench.note(&permitted.action, vehicle);
        bench.now = bench.now.plus_micros(permitted.cost().total().micros());
        bench
    }

    /// Whether water from the can is in joints and plugs.
    pub(crate) fn is_soaked(&self) -> bool {
        self.now < self.soaked_until
    }

    /// Whether a sound motor would have run for so long that what opens for warmth is open.
    pub(crate) fn is_warm(&self) -> bool {
        let warm = |since: SimTime| {
            self.now.micros() - since.micros() >= u64::from(WARM_RUN_S) * 1_000_000
        };
        self.runs_since.is_some_and(warm)
    }

    /// Whether the wiper arms are off, as they are with a cover that does not come off before them.
    #[must_use]
    pub fn arms_off(&self, vehicle: &Vehicle) -> bool {
        self.off_with_arms(vehicle).next().is_some()
    }

    /// The covers that are off and have taken the wiper arms along.
    pub(crate) fn off_with_arms<'a>(
        &'a self,
        vehicle: &'a Vehicle,
    ) -> impl Iterator<Item = CoverId> + 'a {
        let covers = vehicle.layout.covers.iter().zip(&self.covers_off);
        let off = covers.enumerate();
        off.filter(|(_, (cover, off))| cover.takes_arms && **off)
            .map(|(place, _)| CoverId(place))
    }

    /// Whether the engine runs, as everybody at the vehicle knows.
    ///
    /// Whether it starts hangs on what is wrong. The law of silence stands all the same: how it answered its starter was
    /// told, in so many words, by the action that put its control to on ([`Bench::stalled`]), so what is permitted from
    /// then on tells nothing that is not known. Before it is tried it is taken to start, as a sound one does.
    #[must_use]
    pub fn engine_runs(&self, vehicle: &Vehicle) -> bool {
        let mut engines = vehicle.engines();
        !self.stalled && engines.any(|id| self.positions[id.index()] > 0)
    }

    /// Puts a control in a position; an engine stops when the key goes off.
    pub(super) fn set(&mut self, control: ComponentId, position: usize, vehicle: &Vehicle) {
        self.positions[control.index()] = position;
        let at_its_fastest = vehicle
            .roles()
            .is_some_and(|roles| roles.speeds.last() == Some(&self.positions[roles.wiper.index()]));
        self.has_run |= at_its_fastest && key_is_on(self, vehicle);
        let mut engines = vehicle.engines();
        self.stalled &= position > 0 || !engines.any(|engine| engine == control);
        if !key_is_on(self, vehicle) {
            self.stalled = false;
            for id in vehicle.engines() {
                self.positions[id.index()] = 0;
            }
        }
        self.note_motor(vehicle);
    }
}

/// Whether what feeds the motor may be another after an action that works no control.
const fn feeds_otherwise(action: &Action) -> bool {
    matches!(
        action,
        Action::Plug(_)
            | Action::Unplug(_)
            | Action::Jumper { .. }
            | Action::RemoveJumper { .. }
            | Action::NewFuse
    )
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::file::read_vehicle;
    use crate::scenario::Glass;
    use crate::world::{Conditions, World};

    /// Rain needs no can: a leak is there from the beginning and stays, and dry glass is wet.
    #[test]
    fn steady_rain_keeps_a_leak_wet_whatever_the_can_does() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let sound = Arc::new(read_vehicle(text).unwrap().0);
        let leaks = sound.parse_fault("motor-plug.53a-leaks-wet:5").unwrap();
        for rain in [true, false] {
            let conditions = Conditions {
                glass: Glass::Wet,
                rain,
                helper: false,
            };
            let leaking = Arc::new(sound.inject(&leaks));
            let mut world = World::new(leaking, Arc::clone(&sound), conditions).unwrap();
            for _ in 0..3 {
                let action = Action::from_words("wait 600", &world.sound).unwrap();
                let permitted = world.permit(&action).unwrap();
                world.carry_out(&permitted).unwrap();
                assert_eq!(world.motion.setting.parted, [rain]);
                assert_eq!(world.wetted(), rain);
            }
        }
    }

    /// A leak is there for the tens of minutes that a closed housing takes to dry, not for the three of the glass.
    #[test]
    fn water_stays_in_a_plug_when_the_glass_is_dry_again() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let sound = Arc::new(read_vehicle(text).unwrap().0);
        let leaks = sound.parse_fault("motor-plug.53a-leaks-wet:5").unwrap();
        let conditions = Conditions {
            glass: Glass::Dry,
            rain: false,
            helper: false,
        };
        let leaking = Arc::new(sound.inject(&leaks));
        let mut world = World::new(leaking, sound, conditions).unwrap();
        let mut leaks = |words: &str| {
            crate::world::testing::act(&mut world, words);
            world.motion.setting.parted == [true]
        };
        assert!(!leaks("wait 5"));
        assert!(leaks("wet-glass") && leaks("wait 600"));
        assert!(leaks("wait 500") && !leaks("wait 200"));
    }
}
