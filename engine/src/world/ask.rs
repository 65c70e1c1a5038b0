//! What the driver tells when asked again: how each position did on the road, and what made it worse.
//!
//! It is worked out by running the vehicle as it came in, on its own, over bumps, in the rain and for a long
//! time; nothing of it is told that a driver could not have noticed.

use super::observation::{Observable, Quantity, Scale};
use super::scales::{REST, TOLD_OFF, TOLD_OFF_RANGE, TOLD_RUNNING, TOLD_WHEN};
use super::symptom::{FAST_TIMES, SLOW_SHARE, Signature, wipes};
use super::{World, seconds};
use crate::network::SolveError;
use crate::quantity::Minutes;
use crate::vehicle::{Loose, Vehicle};

/// Shaking by a bad road, in terms of the motor's own (judgement).
const BUMPS: f64 = 5.0;
/// Seconds that a driver has wiped in one circumstance, and after which the vehicle counts as warm.
const SPELL_S: f64 = 600.0;
const WARM_S: f64 = 60.0;
/// Difference in the share of time that a driver notices (judgement).
const NOTICED: f64 = 0.1;

/// What a driver wipes in.
#[derive(Clone, Copy, Default)]
struct Road {
    shaking: f64,
    water: bool,
}

impl World {
    /// Asks the driver; the vehicle goes on meanwhile as it stands.
    pub(super) fn ask(&mut self, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        let told = match self.arrived.as_deref() {
            Some(arrived) => arrived.told()?,
            None => Vec::new(),
        };
        self.pass(seconds(minutes), None)?;
        self.has_taken(minutes);
        Ok(told)
    }

    /// What there is to tell of a vehicle that has just come in.
    fn told(&self) -> Result<Vec<Observable>, SolveError> {
        let Some(roles) = self.vehicle.roles() else {
            return Ok(Vec::new());
        };
        // Of a sound one only its paces are asked for, which are known first.
        let (signature, _) = Signature::wiping(self.clone(), |_| false)?;
        let (healthy, _) = Signature::wiping(self.clone().with_sound_parts(), |_| true)?;
        let positions = self.vehicle.component(roles.wiper).positions();
        let mut told = Vec::new();
        let mut tell = |quantity, subject: &str, value, words| {
            let subject = subject.to_owned();
            told.push(Observable::steady(
                quantity,
                subject,
                value,
                Scale::Words(words),
            ));
        };
        let mut at_best = signature.speeds.iter().map(|speed| speed.again[1]);
        let goes = at_best.any(wipes);
        let speeds = roles.speeds.iter().zip(&signature.speeds);
        for ((&position, speed), healthy) in speeds.zip(&healthy.speeds) {
            let how = running(speed.pace, speed.again, healthy.pace);
            tell(Quantity::Told, positions[position], how, TOLD_RUNNING);
        }
        if let Some(off) = positions.get(roles.off) {
            let how = if signature.runs_on {
                0.0
            } else if signature.off_rest_mm > REST.cuts[0] {
                1.0
            } else if !goes {
                2.0
            } else {
                3.0
            };
            tell(Quantity::Told, off, how, TOLD_OFF);
        }
        for (circumstance, worse) in self.worse_when()? {
            // What never goes cannot get worse.
            let worse = f64::from(u8::from(worse && goes));
            tell(Quantity::When, circumstance, worse, TOLD_WHEN);
        }
        if self.parted_share().is_some() {
            // Where a bout stops the blades hangs on its moment: any answer may be given on OFF.
            let on_off = |told: &&mut Observable| told.scale == Scale::Words(TOLD_OFF);
            for off in told.iter_mut().filter(on_off) {
                (off.min, off.max) = TOLD_OFF_RANGE;
            }
        }
        Ok(told)
    }

    /// A copy that runs its sound vehicle.
    fn with_sound_parts(mut self) -> Self {
        let sound = Vehicle::clone(&self.sound);
        self.take_on(sound);
        self
    }

    /// Whether bumps, a long run and rain make it worse.
    fn worse_when(&self) -> Result<[(&'static str, bool); 3], SolveError> {
        let calm = Road::default();
        let bumpy = Road {
            shaking: BUMPS,
            ..calm
        };
        let rainy = Road {
            water: true,
            ..calm
        };
        // Bumps do nothing but to contacts that shaking parts, nor water but to those that it gets into.
        let any = |wanted: fn(&Loose) -> bool| {
            let mut paths = self.vehicle.loose_paths();
            paths.any(|(.., loose)| wanted(&loose))
        };
        let shaken = any(|loose| matches!(loose, Loose::Shaken { .. }));
        let leaky = any(|loose| matches!(loose, Loose::Wet { .. }));
        let (mut bumps, mut warm, mut wet) = (false, false, false);
        let roles = self.vehicle.roles();
        for position in roles.map_or_else(Vec::new, |roles| roles.speeds) {
            if shaken || leaky {
                let [still] = self.still_shares(position, calm, [SPELL_S])?;
                let more = |road| -> Result<bool, SolveError> {
                    let [share] = self.still_shares(position, road, [SPELL_S])?;
                    Ok(share > still + NOTICED)
                };
                bumps |= shaken && more(bumpy)?;
                wet |= leaky && more(rainy)?;
            }
            // Beside a vehicle whose loose contacts hold: bouts come at any time.
            let held = self.clone().held(false);
            let [at_first, later] = held.still_shares(position, calm, [WARM_S, SPELL_S])?;
            warm |= later > at_first + NOTICED;
        }
        Ok([
            ("over bumps", bumps),
            ("after some minutes", warm),
            ("in the rain", wet),
        ])
    }

    /// Shares of some spells, one after the other, for which the motor stands in a position.
    fn still_shares<const N: usize>(
        &self,
        position: usize,
        road: Road,
        spells_s: [f64; N],
    ) -> Result<[f64; N], SolveError> {
        let mut shares = [0.0; N];
        let mut world = self.clone();
        let Some(roles) = world.vehicle.roles() else {
            return Ok(shares);
        };
        world.motion.setting.positions[roles.key.index()] = roles.key_on;
        world.motion.setting.positions[roles.wiper.index()] = position;
        let mut handling = world.handling(None);
        handling.shaking += road.shaking;
        // Dry days are what a driver compares with, whatever the weather is now.
        handling.water = road.water;
        for (share, spell_s) in shares.iter_mut().zip(spells_s) {
            let span = world.run(spell_s, &[], &handling)?;
            *share = 1.0 - span.turning_s / spell_s;
        }
        Ok(shares)
    }
}

/// How a running position did: 0 not at all, 1 now and then, 2 slowly, 3 well, 4 too fast.
fn running(pace: f64, again: [f64; 2], sound: f64) -> f64 {
    if wipes(pace) != wipes(again[0]) || wipes(pace) != wipes(again[1]) {
        1.0
    } else if !wipes(pace) {
        0.0
    } else if pace < SLOW_SHARE * sound {
        2.0
    } else if pace > FAST_TIMES * sound {
        4.0
    } else {
        3.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::testing::van;
    use crate::world::{Errors, Observation};

    /// What a driver without error tells of the van with a fault: low, high, off, bumps, minutes, rain.
    fn told(fault: &str) -> Vec<&'static str> {
        let mut world = van((fault != "sound").then_some(fault));
        world.arrive().unwrap();
        let told = world.ask(Minutes::from_hundredths(40)).unwrap();
        let word = |told: &Observable| match told.observe(Errors::NONE) {
            Observation::Perception { word, .. } => word,
            Observation::Reading { .. } => "",
        };
        told.iter().map(word).collect()
    }

    #[test]
    fn a_driver_tells_of_each_position_and_of_bumps_minutes_and_rain() {
        let (no, yes) = ("not that I noticed", "yes, then above all");
        let (well, rest) = ("went well", "they lay at their rest");
        let (not, stood) = ("did not go", "they had hardly stirred");
        for (fault, expected) in [
            ("sound", [well, well, rest, no, no, no]),
            // What never leaves its place does not come home either: 43 mm out, frozen in, or with no current at all.
            ("windscreen.iced:6", [not, not, stood, no, no, no]),
            ("motor-strap.open", [not, not, stood, no, no, no]),
            (
                "windscreen.iced:3",
                [not, not, "they lay away from their rest", no, no, no],
            ),
            (
                "motor-plug.53b-open",
                [well, "did not go", rest, no, no, no],
            ),
            (
                "motor-plug.53b-loose:0.3",
                [well, "went now and then", rest, yes, no, no],
            ),
            (
                "motor-plug.53b-opens-warm:3",
                [well, "went now and then", rest, no, yes, no],
            ),
        ] {
            assert_eq!(told(fault), expected, "{fault}");
        }
        assert_eq!(told("motor-plug.53a-leaks-wet:0.8")[5], yes);
        assert_eq!(told("motor.magnets-weak:0.6")[..2], ["went too fast"; 2]);
    }
}
