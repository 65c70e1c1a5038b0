//! What the driver tells when asked again: how each position did on the road, and what made it worse.
//!
//! It is worked out by running the vehicle as it came in, on its own, over bumps, in the rain and for a long
//! time; nothing of it is told that a driver could not have noticed.

use super::observation::{Observable, Quantity, Scale, Words};
use super::scales::REST;
use super::symptom::{FAST_TIMES, SLOW_SHARE, Signature, Wipe, symptom, wipes};
use super::{World, seconds};
use crate::network::SolveError;
use crate::quantity::Minutes;
use crate::scenario::Symptom;
use crate::vehicle::{Loose, Vehicle};

/// Shaking by a bad road, in terms of the motor's own (judgement).
const BUMPS: f64 = 5.0;
/// Seconds that a driver has wiped in one circumstance, and after which the vehicle counts as warm.
const SPELL_S: f64 = 600.0;
const WARM_S: f64 = 60.0;
/// Difference in the share of time that a driver notices (judgement).
const NOTICED: f64 = 0.1;

/// A driver's word on a running position: 0 not at all, 1 for a while until it cut out, 2 now and then, 3 slowly, 4
/// well, 5 too fast.
const TOLD_RUNNING: Words = Words {
    cuts: &[0.5, 1.5, 2.5, 3.5, 4.5],
    words: &[
        "did not go",
        "went for a while, then cut out",
        "went now and then",
        "went slowly",
        "went well",
        "went too fast",
    ],
    sd: 0.33,
    share: 0.0,
};
/// Error of a driver's word on what the complaint is of (judgement): it was on their mind all the way here.
const SURE_SD: f64 = 0.1;
/// And on OFF: 0 they went on, 1 they lay elsewhere, 2 they had hardly stirred, 3 they lay at their rest. None of these
/// says that they ever went, which is told of the running positions.
const TOLD_OFF: Words = Words {
    cuts: &[0.5, 1.5, 2.5],
    words: &[
        "they went on by themselves",
        "they lay away from their rest",
        "they had hardly stirred",
        "they lay at their rest",
    ],
    sd: 0.33,
    share: 0.0,
};
/// From the first of them to the last.
const TOLD_OFF_RANGE: (f64, f64) = (0.0, 3.0);
/// And on whether something makes it worse: 0 no, 1 yes.
const TOLD_WHEN: Words = Words {
    cuts: &[0.5],
    words: &["not that I noticed", "yes, then above all"],
    sd: 0.42,
    share: 0.0,
};
/// Whether something makes worse what never goes: so sure a no that no error of a driver's memory makes it a yes.
const NEVER_WORSE: f64 = -2.0;

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
        // Of what they complain of, people are sure.
        let complaint = symptom(&signature, &healthy).and_then(complained_of);
        let mut told = Vec::new();
        let mut tell = |quantity, subject: &str, value: f64, mut words: Words| {
            let subject = subject.to_owned();
            if complaint == Some((words, value)) {
                words.sd = SURE_SD;
            }
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
            let how = running(*speed, healthy.pace);
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
            // What never goes cannot get worse, and nobody errs about that.
            let worse = match (goes, worse) {
                (false, _) => NEVER_WORSE,
                (true, false) => 0.0,
                (true, true) => 1.0,
            };
            tell(Quantity::When, circumstance, worse, TOLD_WHEN);
        }
        if self.parted_share().is_some() {
            // Where a bout stops the blades hangs on its moment: any answer may be given on OFF.
            let off = positions.get(roles.off).copied();
            let on_off = |told: &&mut Observable| off == Some(told.subject.as_str());
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
        let vehicle = &self.vehicle;
        let shaken = vehicle.gives_way(|loose| matches!(loose, Loose::Shaken { .. }));
        let leaky = vehicle.gives_way(|loose| matches!(loose, Loose::Wet { .. }));
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

/// The answer that a complaint is made of, by its scale and value; `None` where no answer says it.
const fn complained_of(symptom: Symptom) -> Option<(Words, f64)> {
    Some(match symptom {
        Symptom::Dead
        | Symptom::BladesStill
        | Symptom::NoLow
        | Symptom::NoMedium
        | Symptom::NoHigh => (TOLD_RUNNING, 0.0),
        Symptom::CutsOut => (TOLD_RUNNING, 1.0),
        Symptom::NowAndThen => (TOLD_RUNNING, 2.0),
        Symptom::Slow => (TOLD_RUNNING, 3.0),
        Symptom::TooFast => (TOLD_RUNNING, 5.0),
        Symptom::RunsOn => (TOLD_OFF, 0.0),
        Symptom::DoesNotPark => (TOLD_OFF, 1.0),
        _ => return None,
    })
}

/// How a running position did: 0 not at all, 1 for a while until it cut out, 2 now and then, 3 slowly, 4 well, 5 too
/// fast. What cuts out and what comes and goes is what a complaint is made of, too.
fn running(speed: Wipe, sound: f64) -> f64 {
    if speed.cut_out {
        1.0
    } else if speed.comes_and_goes() {
        2.0
    } else if !wipes(speed.pace) {
        0.0
    } else if speed.pace < SLOW_SHARE * sound {
        3.0
    } else if speed.pace > FAST_TIMES * sound {
        5.0
    } else {
        4.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Symptom;
    use crate::world::testing::van;
    use crate::world::{Errors, Observation, symptom};

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
        let cut_out = "went for a while, then cut out";
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
            // What the complaint is made of is told again: that they go and cut out.
            (
                "motor-plug.53a-leaks-wet:0.8",
                [cut_out, cut_out, rest, no, no, yes],
            ),
            (
                "motor-53.short-to-ground:0.05",
                [not, cut_out, "they lay away from their rest", no, no, no],
            ),
        ] {
            assert_eq!(told(fault), expected, "{fault}");
        }
        assert_eq!(told("motor.magnets-weak:0.6")[..2], ["went too fast"; 2]);
    }

    /// Complaint and answers come of the same drives.
    #[test]
    fn a_driver_who_complains_of_cutting_out_tells_of_it() {
        for fault in [
            "motor-53.short-to-ground:0.05",
            "motor-53.short-to-ground:0.02",
            "motor-plug.53a-leaks-wet:0.8",
            "motor-plug.53-leaks-wet:0.3",
            "wiper-breaker.weak:3",
            "motor-plug.53b-loose:0.3",
            "left-pivot.stiff:9",
            "motor-strap.open",
        ] {
            let signature = Signature::of(van(Some(fault))).unwrap();
            let sound = Signature::of(van(None)).unwrap();
            let complaint = symptom(&signature, &sound);
            let told = told(fault);
            let says = |word: &str| told[..2].iter().any(|of| of.contains(word));
            assert_eq!(
                complaint == Some(Symptom::CutsOut),
                says("cut out"),
                "{fault}: {told:?}"
            );
            if complaint == Some(Symptom::NowAndThen) {
                assert!(says("now and then"), "{fault}: {told:?}");
            }
        }
    }

    /// The worst of a driver's memory makes nothing of what never went.
    #[test]
    fn what_never_goes_is_never_worse_in_anything() {
        let mut world = van(Some("motor-strap.open"));
        world.arrive().unwrap();
        let told = world.ask(Minutes::from_hundredths(40)).unwrap();
        let errs = Errors {
            own: 4.0,
            ..Errors::NONE
        };
        let when = told.iter().filter(|seen| seen.quantity == Quantity::When);
        let yes = when.filter(
            |seen| matches!(seen.observe(errs), Observation::Perception { level, .. } if level > 0),
        );
        assert_eq!(yes.count(), 0);
    }

    /// A driver who came because the wipers go on by themselves does not tell at the next breath that they stood.
    #[test]
    fn of_what_a_driver_complains_of_no_error_makes_something_else() {
        for (fault, place, word) in [
            (
                "park-contact.stuck-on-feed",
                2,
                "they went on by themselves",
            ),
            ("park-contact.feed-open", 2, "they lay away from their rest"),
            ("motor-strap.open", 0, "did not go"),
            (
                "motor-53.short-to-ground:0.05",
                1,
                "went for a while, then cut out",
            ),
        ] {
            let mut world = van(Some(fault));
            world.arrive().unwrap();
            let told = world.ask(Minutes::from_hundredths(40)).unwrap();
            for own in [-3.0, 3.0] {
                let errs = Errors {
                    own,
                    ..Errors::NONE
                };
                let seen = told[place].observe(errs);
                let said =
                    matches!(seen, Observation::Perception { word: said, .. } if said == word);
                assert!(said, "{fault}: {seen:?}");
            }
        }
    }
}
