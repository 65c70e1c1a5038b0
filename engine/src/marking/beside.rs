//! A check beside the others that could have been made: what it lost, how well it was chosen, which would have been better,
//! and whether it could have told of the complaint at all.

use super::case::Case;
use super::debrief::Better;
use super::dictionary::Candidate;
use super::offers::Offer;
use super::weights::{REDUNDANT_BITS, TRIFLE_MIN};
use crate::attempt::Event;
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, Vehicle};
use crate::world::{Action, Bench, Sense};

/// How much more a minute another check must tell to be named.
const MUCH_BETTER: f64 = 1.5;
/// Bits from which a check, made first of all, would have told of the complaint.
const WORTH_PROVING: f64 = 0.25;
/// Bits below which a check is not worth naming as the better one.
const WORTH_NAMING: f64 = 0.1;

/// A check that was made, with the bench it left.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub(super) case: &'a Case,
    pub(super) event: &'a Event,
}

impl Asked<'_> {
    /// Whether a candidate tells nothing new any more once this was made: of where blades rest a look tells that was made after
    /// a run, and what it told before that is another thing.
    pub(super) fn uses_up(&self, index: usize) -> bool {
        let candidate = &self.case.candidates[index];
        let (bench, sound) = (&self.event.bench, &self.case.assignment.sound);
        self.is_made_as(index) && (bench.has_run || !candidate.looks_at_rest(sound))
    }

    /// Whether it is made on a part itself, by an instrument or by hand: what one sees, hears and is told from the
    /// driver's seat proves nothing of a part.
    pub(super) const fn is_on_the_part(&self) -> bool {
        match &self.event.action {
            Action::Sense(sense) => matches!(
                sense,
                Sense::LookLinkage | Sense::LookAt(_) | Sense::Feel(_) | Sense::Smell(_)
            ),
            Action::Ask => false,
            action => action.is_check(),
        }
    }

    /// Whether it could have had to do with the complaint, in the setting it was made in.
    pub(super) fn tells_of_the_complaint(&self) -> bool {
        let case = self.case;
        let mut listed = (0..case.candidates.len())
            .filter(|&index| case.candidates[index].check == self.event.action)
            .peekable();
        // Of what is not listed, nothing is known beforehand.
        listed.peek().is_none() || listed.any(|index| self.tells_as(index))
    }

    /// Whether it is a candidate's check that, made first of all, would have told of the complaint.
    fn tells_as(&self, index: usize) -> bool {
        let case = self.case;
        self.is_made_as(index)
            && case.worth(case.predictions(index), &case.start)[0].bits >= WORTH_PROVING
    }

    /// Whether it is listed, in the setting it was made in, and could have had to do with the complaint.
    pub(super) fn is_listed_for_the_complaint(&self) -> bool {
        (0..self.case.candidates.len()).any(|index| self.tells_as(index))
    }

    /// Whether it is a candidate's check in the candidate's setting.
    pub(super) fn is_made_as(&self, index: usize) -> bool {
        let candidate = &self.case.candidates[index];
        candidate.check == self.event.action
            && is_set(candidate, &self.case.assignment.sound, &self.event.bench)
    }
}

/// Whether controls stand, and what is undone is undone, as a check is made. What is looked at, felt or pulled at by hand
/// is listed at one position of the wiper switch, and tells as much at another.
fn is_set(candidate: &Candidate, vehicle: &Vehicle, bench: &Bench) -> bool {
    let Some(roles) = vehicle.roles() else {
        return false;
    };
    let key_on = bench.positions[roles.key.index()] == roles.key_on;
    let undone = |part: &ComponentId| bench.undone[part.index()] || bench.unplugged[part.index()];
    if !candidate.undone.iter().all(undone) || !candidate.is_as_listed(bench) {
        return false;
    }
    match candidate.check {
        Action::Sense(Sense::LookAt(_) | Sense::Feel(_)) => true,
        Action::Tug(_) | Action::Sense(Sense::Try(_)) => key_on,
        _ => candidate.wiper == key_on.then(|| bench.positions[roles.wiper.index()]),
    }
}

/// Minutes lost by a check that regrets so many. One that tells enough to be named as the better one loses no more than it
/// took beyond what the check that told most a minute would have needed to tell as much: what is named loses nothing when
/// it is made.
pub(super) fn lost(regret: f64, own: &Offer, offers: &[Offer]) -> f64 {
    if own.worth[0].bits < WORTH_NAMING {
        return regret;
    }
    regret.min(own.minutes() * (1.0 - efficiency(own, offers)))
}

/// Whether nothing is held against a check: it tells something and regrets a trifle at most.
pub(super) fn is_sound(regret: f64, own: &Offer) -> bool {
    regret <= TRIFLE_MIN && own.worth[0].bits >= REDUNDANT_BITS
}

/// How well a check was chosen, 0 to 1: in full where nothing is held against it, else its [`efficiency`].
pub(super) fn graded(regret: f64, own: &Offer, offers: &[Offer]) -> f64 {
    if is_sound(regret, own) {
        1.0
    } else {
        efficiency(own, offers)
    }
}

/// Bits a minute of a check beside the best of those that tell enough to be worth naming; the larger of
/// the two reading models.
fn efficiency(own: &Offer, offers: &[Offer]) -> f64 {
    if own.worth[0].bits < REDUNDANT_BITS {
        return 0.0;
    }
    let under = |model: usize| {
        let telling = offers
            .iter()
            .filter(|offer| offer.worth[0].bits >= WORTH_NAMING);
        let best = telling
            .map(|offer| offer.rate(model))
            .fold(own.rate(model), f64::max);
        own.rate(model) / best
    };
    under(0).max(under(1))
}

/// The check that would have told much more a minute, if there is one; the same check in another setting may be it.
pub(super) fn better(
    asked: Asked<'_>,
    own: &Offer,
    offers: &[Offer],
    benches: [&Bench; 2],
) -> Option<Better> {
    let others = offers
        .iter()
        .filter(|offer| offer.worth[0].bits >= WORTH_NAMING && !asked.is_made_as(offer.index));
    Offer::best(others)
        .filter(|best| best.rate(0) > MUCH_BETTER * own.rate(0))
        .map(|best| named(asked.case, best, benches))
}

/// A check in words, with what had to be done before it: of that from where it is priced, what the learner had not done
/// by then.
pub(super) fn named(case: &Case, offer: &Offer, benches: [&Bench; 2]) -> Better {
    let (sound, helper) = (&case.assignment.sound, case.assignment.scenario.helper);
    let candidate = &case.candidates[offer.index];
    let [mut first, still] = benches.map(|bench| candidate.first(sound, bench, helper));
    first.retain(|(step, _)| still.iter().any(|(other, _)| other == step));
    // The check's own words name the wiper switch: where nothing else comes before it, that is enough.
    let alone = first.iter().all(|(_, told)| *told);
    Better {
        first: first
            .into_iter()
            .filter(|_| !alone)
            .map(|(step, _)| step)
            .collect(),
        check: candidate.words(sound),
        bits: offer.worth[0].bits,
        minutes: Minutes::from_hundredths(offer.hundredths),
    }
}

#[cfg(test)]
mod tests {
    use super::super::information::Worth;
    use super::*;
    use crate::file::read_vehicle;

    const fn offer(bits: f64, hundredths: u32) -> Offer {
        let worth = Worth { bits, minutes: 0.0 };
        Offer {
            index: 0,
            worth: [worth, worth],
            hundredths,
            opens: 0.0,
        }
    }

    #[test]
    fn what_comes_before_a_check_is_told_in_the_order_that_its_minutes_are_reckoned_by() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let vehicle = read_vehicle(text).unwrap().0;
        let roles = vehicle.roles().unwrap();
        let listed = |words: &str| {
            Candidate::of(
                Some(roles.off),
                Action::from_words(words, &vehicle).unwrap(),
            )
        };
        let (volts, nut) = (
            listed("volts motor.53 battery.neg"),
            listed("look-at crank-nut"),
        );
        let mut bench = Bench::untouched(&vehicle);
        bench.positions[roles.key.index()] = roles.key_on;
        bench.positions[roles.wiper.index()] = roles.off + 1;
        // The switch is set before one goes: afterwards it would be a walk there and back.
        let first = |candidate: &Candidate| candidate.first(&vehicle, &bench, true);
        let off = ("set wiper-switch off".to_owned(), true);
        let cover = ("remove dash-panel".to_owned(), false);
        assert_eq!(first(&volts), [off, cover.clone()]);
        assert!(!is_set(&volts, &vehicle, &bench));
        // A look at one part needs nothing set.
        assert_eq!(first(&nut), [cover]);
        assert!(is_set(&nut, &vehicle, &bench));
    }

    /// The table of what OFF shows is that of blades that have run: the way there runs them first.
    #[test]
    fn where_blades_rest_is_looked_at_after_a_run() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let vehicle = read_vehicle(text).unwrap().0;
        let roles = vehicle.roles().unwrap();
        let look = Action::from_words("look blades", &vehicle).unwrap();
        let at_rest = Candidate::of(Some(roles.off), look.clone());
        let words = |bench: &Bench| -> Vec<String> {
            let steps = at_rest.steps(&vehicle, bench, true);
            steps.iter().map(|step| step.words(&vehicle)).collect()
        };
        let mut bench = Bench::untouched(&vehicle);
        bench.positions[roles.key.index()] = roles.key_on;
        let runs = [
            "set wiper-switch high",
            "set wiper-switch off",
            "look blades",
        ];
        assert_eq!(words(&bench), runs);
        assert!(at_rest.looks_at_rest(&vehicle) && !bench.has_run);
        // A slow position may be dead: it takes the fastest to have run.
        let low = Action::from_words("set wiper-switch low", &vehicle).unwrap();
        bench = bench.after(&bench.permit(&low, &vehicle, true).unwrap(), &vehicle);
        assert_eq!(words(&bench), runs);
        for step in at_rest.steps(&vehicle, &bench, true) {
            let permitted = bench.permit(&step, &vehicle, true).unwrap();
            bench = bench.after(&permitted, &vehicle);
        }
        assert_eq!(words(&bench), ["look blades"]);
        assert!(is_set(&at_rest, &vehicle, &bench) && bench.has_run);
    }

    #[test]
    fn a_check_tells_in_the_setting_it_is_listed_in() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let vehicle = read_vehicle(text).unwrap().0;
        let roles = vehicle.roles().unwrap();
        let of =
            |words: &str, wiper| Candidate::of(wiper, Action::from_words(words, &vehicle).unwrap());
        let mut bench = Bench::untouched(&vehicle);
        let tug = of("tug motor-plug.53", Some(roles.off));
        let volts = of("volts motor.53 battery.neg", Some(roles.off + 1));
        assert!(!is_set(&tug, &vehicle, &bench) && !is_set(&volts, &vehicle, &bench));
        bench.positions[roles.key.index()] = roles.key_on;
        assert!(is_set(&tug, &vehicle, &bench) && !is_set(&volts, &vehicle, &bench));
        bench.positions[roles.wiper.index()] = roles.off + 1;
        assert!(is_set(&tug, &vehicle, &bench) && is_set(&volts, &vehicle, &bench));
    }

    #[test]
    fn what_tells_most_a_minute_loses_nothing_though_another_would_save_more() {
        // 0.8 bit a minute beside 0.5 bit a minute.
        let (quick, dear) = (offer(0.4, 50), offer(1.0, 200));
        let offers = [quick, dear];
        assert!(lost(0.5, &quick, &offers).abs() < 1e-12);
        assert!((lost(0.5, &dear, &offers) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn what_tells_as_much_for_more_minutes_loses_what_is_beyond() {
        // As much in 4 min as in 1: three of them are lost, and no more than the regret.
        let (slow, quick) = (offer(0.5, 400), offer(0.5, 100));
        let offers = [slow, quick];
        assert!((lost(4.0, &slow, &offers) - 3.0).abs() < 1e-12);
        assert!((lost(0.5, &slow, &offers) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn what_tells_too_little_to_be_named_loses_its_regret() {
        let trifle = offer(0.05, 300);
        assert!((lost(3.0, &trifle, &[trifle]) - 3.0).abs() < 1e-12);
        assert!(is_sound(0.2, &trifle) && !is_sound(0.3, &trifle));
        assert!(!is_sound(0.0, &offer(0.0, 10)));
    }
}
