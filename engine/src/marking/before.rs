//! What is done to a vehicle before a check, so that what gives way to it shows: water over everything, or minutes of
//! running.

use std::collections::BTreeSet;

use super::dictionary::Candidate;
use super::hypothesis::Hypothesis;
use super::running::ShownBy;
use crate::vehicle::{Loose, Vehicle};
use crate::world::{Bench, Errors, Observable, WARM_RUN_S};

/// Nats by which what one vehicle shows must speak against another for a person to see a difference.
const SEEN_NATS: f64 = 2.0;

/// What is done to the vehicle before a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Before {
    /// Water from the can runs over the glass and into what lies below it.
    Water,
    /// The wipers run until what opens for warmth has done so.
    Run,
}

impl Before {
    pub(super) const ALL: [Self; 2] = [Self::Water, Self::Run];

    /// Whether that has been done at a bench, and still tells.
    pub(super) fn holds(self, bench: &Bench) -> bool {
        match self {
            Self::Water => bench.is_soaked(),
            Self::Run => bench.is_warm(),
        }
    }

    /// Whether something of a vehicle gives way to it.
    fn shows_on(self, vehicle: &Vehicle) -> bool {
        vehicle.gives_way(|loose| match self {
            Self::Water => matches!(loose, Loose::Wet { .. }),
            Self::Run => matches!(loose, Loose::Warm { .. }),
        })
    }

    /// In words, after those of the check.
    pub(super) fn words(self, vehicle: &Vehicle) -> String {
        match self {
            Self::Water => "water from the can over it first".to_owned(),
            Self::Run => {
                let positions = vehicle.roles().and_then(|roles| {
                    let slowest = *roles.speeds.first()?;
                    Some(vehicle.component(roles.wiper).positions()[slowest])
                });
                let position = positions.unwrap_or_default();
                let minutes = f64::from(WARM_RUN_S) / 60.0;
                format!("after {minutes:.1} min at {position}")
            }
        }
    }
}

/// Of checks and what each hypothesis shows of them, those that are worth listing: a check that is repeated with something
/// done before is, where what gives way to that shows something else then.
pub(super) fn worth_listing(
    sound: &Vehicle,
    list: &[Hypothesis],
    mut checks: Vec<Candidate>,
    shown: Vec<Vec<ShownBy>>,
) -> (Vec<Candidate>, Vec<Vec<ShownBy>>) {
    let run: Vec<usize> = (0..list.len())
        .filter(|&index| !shown[index].is_empty())
        .collect();
    // Cells of one fault stand side by side: the one in the middle speaks for all.
    let faults = run.chunk_by(|&a, &b| {
        let of = [a, b].map(|index| (list[index].fault.component, list[index].fault.mode));
        of[0] == of[1]
    });
    let typical: Vec<usize> = faults.map(|cells| cells[cells.len() / 2]).collect();
    let gives_way = Before::ALL.map(|before| {
        let shows =
            |index: &&usize| before.shows_on(&sound.inject_all(&list[**index].fault.into()));
        let run = typical.iter().filter(shows);
        (before, run.copied().collect::<Vec<usize>>())
    });
    let mut kept = vec![true; checks.len()];
    // How checks that are repeated part those vehicles, by what is done before and the position of the switch.
    let mut partings: BTreeSet<(usize, Option<usize>, Vec<usize>)> = BTreeSet::new();
    for place in 0..checks.len() {
        let again = &checks[place];
        let of = gives_way
            .iter()
            .position(|(before, _)| again.before == Some(*before));
        let Some((kind, (before, run))) = of.map(|of| (of, &gives_way[of])) else {
            continue;
        };
        let wiper = again.wiper;
        let usual = checks.iter().position(|check| check.is_repeated_by(again));
        let parting = usual.map(|usual| {
            let pairs = run.iter().map(|&index| &shown[index]);
            parting(pairs.map(|shown| [&shown[usual].0, &shown[place].0].map(Vec::as_slice)))
        });
        let tells = parting.filter(|parting| parting.iter().any(|group| *group > 0));
        if let Some(usual) = usual.filter(|_| tells.is_some()) {
            checks[usual].otherwise.push(*before);
        }
        kept[place] = tells.is_some_and(|parting| partings.insert((kind, wiper, parting)));
    }
    (
        among(checks, &kept),
        shown.into_iter().map(|of| among(of, &kept)).collect(),
    )
}

fn among<T>(list: Vec<T>, kept: &[bool]) -> Vec<T> {
    let pairs = list.into_iter().zip(kept);
    pairs.filter_map(|(of, kept)| kept.then_some(of)).collect()
}

/// How what is shown once and again parts some vehicles: 0 where nobody sees a difference, and else a number for all that
/// show the same again, in their order.
fn parting<'a>(pairs: impl Iterator<Item = [&'a [Observable]; 2]>) -> Vec<usize> {
    let mut groups: Vec<&[Observable]> = Vec::new();
    let group = |[once, again]: [&'a [Observable]; 2]| {
        if !tells_apart(once, again) {
            return 0;
        }
        let known = groups.iter().position(|of| !tells_apart(of, again));
        known.unwrap_or_else(|| {
            groups.push(again);
            groups.len() - 1
        }) + 1
    };
    pairs.map(group).collect()
}

/// Whether a person sees a difference between what is shown once and again.
fn tells_apart(once: &[Observable], again: &[Observable]) -> bool {
    once.len() != again.len()
        || once.iter().zip(again).any(|(once, again)| {
            let tolerance = once.quantity.tolerance(once.value);
            let read = once.observe(Errors::NONE);
            let [expected, found] = [once, again].map(|of| of.log_likelihood(&read, tolerance));
            expected - found > SEEN_NATS
        })
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::benches::{Benches, Listed};
    use super::super::dictionary::candidates;
    use super::super::entry::HypothesisEntry;
    use super::super::hypothesis::hypotheses;
    use super::super::reference::bench_of;
    use super::*;
    use crate::attempt::{Assignment, world_of};
    use crate::file::{read_scenario, read_vehicle};
    use crate::quantity::Angle;
    use crate::random::Seed;
    use crate::world::{Action, Chance, Sense};

    fn van() -> Assignment {
        let sound = read_vehicle(include_str!("../../../scenarios/van-case-ground.toml"));
        let scenario = read_scenario(include_str!("../../../scenarios/rain-on-the-quay.toml"));
        Assignment {
            sound: Arc::new(sound.unwrap().0),
            scenario: Arc::new(scenario.unwrap()),
            seed: Seed(0),
            chosen: None,
        }
    }

    /// What is listed where some faults of the van are thought of, with what each shows.
    fn listed(assignment: &Assignment, faults: &[&str]) -> (Vec<Candidate>, Vec<Vec<ShownBy>>) {
        let sound = &assignment.sound;
        let (list, _) = hypotheses(sound, &assignment.scenario);
        let wanted: Vec<_> = faults
            .iter()
            .map(|fault| sound.parse_fault(fault).unwrap())
            .map(|fault| (fault.component, fault.mode))
            .collect();
        let is_wanted = |of: &Hypothesis| {
            let middle = of.cell == of.cells / 2;
            middle && wanted.contains(&(of.fault.component, of.fault.mode))
        };
        let list: Vec<Hypothesis> = list.into_iter().filter(is_wanted).collect();
        assert_eq!(list.len(), faults.len());
        let checks = candidates(sound);
        let shown = list.iter().map(|of| {
            let chance = Chance::supposed(Seed(0));
            let world = world_of(sound, of.fault, Angle::ZERO, &assignment.scenario, chance);
            HypothesisEntry::of(&world.unwrap())
                .unwrap()
                .predict_all(&checks)
        });
        let shown = shown.collect();
        worth_listing(sound, &list, checks, shown)
    }

    fn looks(checks: &[Candidate], before: Option<Before>) -> Vec<usize> {
        let is_one = |check: &Candidate| {
            check.before == before
                && check.wiper == Some(1)
                && check.check == Action::Sense(Sense::LookBlades)
        };
        (0..checks.len())
            .filter(|&place| is_one(&checks[place]))
            .collect()
    }

    #[test]
    fn nothing_is_repeated_where_nothing_gives_way() {
        let (checks, _) = listed(&van(), &["motor-plug.53-open", "left-pivot.stiff"]);
        assert!(checks.iter().all(|check| check.before.is_none()));
        assert!(checks.iter().all(|check| check.otherwise.is_empty()));
    }

    /// A pin that opens for warmth stands there after minutes of running, and one that leaks trips the breaker once water
    /// is over it; before that neither shows.
    #[test]
    fn what_gives_way_shows_once_its_cause_is_there() {
        let assignment = van();
        let faults = ["motor-plug.53-opens-warm", "motor-plug.53a-leaks-wet"];
        let (checks, shown) = listed(&assignment, &faults);
        let words = |hypothesis: usize, before: Option<Before>| {
            let place = looks(&checks, before)[0];
            let seen = &shown[hypothesis][place].0;
            seen.iter()
                .map(|of| of.observe(Errors::NONE))
                .collect::<Vec<_>>()
        };
        for (hypothesis, cause, other) in [
            (0, Before::Run, Before::Water),
            (1, Before::Water, Before::Run),
        ] {
            let usual = words(hypothesis, None);
            assert_ne!(words(hypothesis, Some(cause)), usual, "{cause:?}");
            assert_eq!(words(hypothesis, Some(other)), usual, "{other:?}");
        }
        // Having stopped the motor that warms it, the pin closes again: it is met either way.
        let met = shown[0][looks(&checks, Some(Before::Run))[0]].1.as_ref();
        assert!(met.is_some_and(|met| met.chance > 0.0));
    }

    #[test]
    fn a_cause_is_brought_about_once_and_shuts_out_what_it_changes() {
        let assignment = van();
        let faults = ["motor-plug.53-opens-warm", "motor-plug.53a-leaks-wet"];
        let (checks, _) = listed(&assignment, &faults);
        let sound = &assignment.sound;
        let start = bench_of(&assignment).unwrap();
        for before in Before::ALL {
            let [usual, again] = [None, Some(before)].map(|of| &checks[looks(&checks, of)[0]]);
            assert!(usual.is_repeated_by(again) && usual.otherwise.contains(&before));
            let (first, after) = again.cost(sound, &start, true).unwrap();
            assert!(before.holds(&after) && !before.holds(&start));
            let (second, _) = again.cost(sound, &after, true).unwrap();
            let own = usual.cost(sound, &start, true).unwrap().0;
            let least = match before {
                Before::Water => sound.layout.charges.wet_glass.hundredths(),
                Before::Run => WARM_RUN_S * 100 / 60,
            };
            assert!(first >= own + least, "{before:?} {first} {own}");
            assert!(second < first - least + 30, "{before:?} {second} {first}");
            assert_eq!(usual.cost(sound, &after, true), None, "{before:?}");
            assert!(again.is_as_listed(&after) && !again.is_as_listed(&start));
            let others = checks.iter().filter(|of| of.otherwise.contains(&before));
            let open = others.filter(|of| of.cost(sound, &after, true).is_some());
            assert_eq!(open.count(), 0, "{before:?}");
        }
    }

    /// What a look ahead goes on from is as wet, or as warm, as the bench that a check leaves, however many come after it.
    #[test]
    fn a_look_ahead_stays_wet_and_gets_warm() {
        let assignment = van();
        let faults = ["motor-plug.53-opens-warm", "motor-plug.53a-leaks-wet"];
        let (checks, _) = listed(&assignment, &faults);
        let listed = Listed {
            sound: &assignment.sound,
            helper: true,
            candidates: &checks,
            cures: &[],
        };
        let benches = Benches::default();
        let start = benches.place(listed, &bench_of(&assignment).unwrap());
        let way = |index: usize, from: usize| benches.way(listed, &benches.at(from), index);
        let wet: Vec<usize> = (0..checks.len())
            .filter(|&index| checks[index].before == Some(Before::Water))
            .collect();
        let (first, once) = way(wet[0], start).unwrap();
        let (second, twice) = way(wet[1], once).unwrap();
        assert!(second + 50 < first, "{first} {second}");
        let [dry, warm] = [None, Some(Before::Run)].map(|before| looks(&checks, before)[0]);
        assert_eq!(way(dry, twice), None);
        // From where the wipers run already, only the minutes of running are missing.
        let (_, running) = way(dry, start).unwrap();
        let (minutes, ran) = way(warm, running).unwrap();
        assert!(minutes >= WARM_RUN_S * 100 / 60, "{minutes}");
        assert!(way(warm, ran).unwrap().0 < 100 && way(dry, ran).is_none());
    }

    /// One check for each way in which vehicles are parted by it: what tells no more than another in the same position is
    /// not listed once more.
    #[test]
    fn repeated_checks_that_part_vehicles_alike_are_one() {
        let (checks, shown) = listed(&van(), &["motor-plug.53-opens-warm"]);
        let repeated: Vec<&Candidate> = checks.iter().filter(|of| of.before.is_some()).collect();
        // With one vehicle to part from the others, one a position.
        let positions: BTreeSet<Option<usize>> = repeated.iter().map(|of| of.wiper).collect();
        assert!(!repeated.is_empty());
        assert_eq!(repeated.len(), positions.len(), "{positions:?}");
        // What is left out for it shows something else all the same.
        let others = checks
            .iter()
            .filter(|of| of.otherwise.contains(&Before::Run));
        assert!(others.count() > repeated.len());
        assert!(shown.iter().all(|of| of.len() == checks.len()));
    }
}
