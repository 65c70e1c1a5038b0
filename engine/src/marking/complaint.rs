//! How likely a driver's complaint is, and which complaints a person's own runs of the vehicle showed, from what was
//! observed and nothing else.
//!
//! A driver tells of weeks, an apprentice of what the vehicle did in the workshop: both are right complaints to
//! write down. What the marking knows of the fault has no part in it.

use crate::attempt::Event;
use crate::scenario::Symptom;
use crate::vehicle::Roles;
use crate::world::{Action, Observation, Quantity};

/// Probability that a driver reports the symptom the vehicle has, rather than one of the others.
pub(super) const DRIVER_RIGHT: f64 = 0.9;
/// Probability of a complaint about a vehicle that has none.
const COMPLAINT_OF_NOTHING: f64 = 0.002;
/// Words of a pace from which blades go.
const GOING: usize = 1;
/// Word of a resting place from which a driver minds it.
const MINDED: usize = 2;

/// What a sound vehicle is like, for comparison: words of its pace, by position of the wiper switch.
pub(super) type SoundPaces = Vec<Option<usize>>;

/// What the blades were seen to do in one position.
#[derive(Clone, Copy, Debug, Default)]
struct Position {
    went: bool,
    stood: bool,
    slower: bool,
    faster: bool,
    clicked: bool,
}

impl Position {
    /// Whether the protection was heard while the blades went, or might have: a driver has no eye for what opens where
    /// they are known to stand.
    const fn cut_out(self) -> bool {
        self.clicked && (self.went || !self.stood)
    }
}

/// The symptoms that observations before the first repair show.
pub(super) fn shown<'e>(
    events: impl IntoIterator<Item = &'e Event>,
    roles: &Roles,
    positions: usize,
    sound: &SoundPaces,
) -> Vec<Symptom> {
    let mut seen = vec![Position::default(); positions];
    let (mut heard, mut silent, mut off_rest) = (false, false, false);
    let untouched = events
        .into_iter()
        .take_while(|event| !matches!(event.action, Action::Repair { .. } | Action::Tighten(_)));
    for event in untouched {
        let whole = !event.bench.unplugged.contains(&true)
            && !event.bench.undone.contains(&true)
            && event.bench.jumpers.is_empty();
        if !whole || event.bench.positions[roles.key.index()] != roles.key_on {
            continue;
        }
        let position = event.bench.positions[roles.wiper.index()];
        for observation in &event.observations {
            let Observation::Perception {
                quantity, level, ..
            } = observation
            else {
                continue;
            };
            match quantity {
                Quantity::Pace => {
                    let at = &mut seen[position];
                    at.went |= *level >= GOING;
                    at.stood |= *level < GOING;
                    if let Some(sound) = sound[position].filter(|_| *level >= GOING) {
                        at.slower |= *level < sound;
                        at.faster |= *level > sound;
                    }
                }
                Quantity::Pitch if position != roles.off => {
                    heard |= *level > 0;
                    silent |= *level == 0;
                }
                Quantity::Clicks => seen[position].clicked |= *level > 0,
                Quantity::Rest if position == roles.off => off_rest |= *level >= MINDED,
                _ => {}
            }
        }
    }
    symptoms(&seen, roles, (heard, silent, off_rest))
}

fn symptoms(
    seen: &[Position],
    roles: &Roles,
    (heard, silent, off_rest): (bool, bool, bool),
) -> Vec<Symptom> {
    let speeds: Vec<Position> = roles.speeds.iter().map(|at| seen[*at]).collect();
    let went = speeds.iter().any(|at| at.went);
    let stood = speeds.iter().any(|at| at.stood);
    let last = speeds.len().saturating_sub(1);
    let dead = |place: usize| speeds[place].stood && !speeds[place].went;
    let medium = (1..last).any(dead);
    let both = speeds.iter().any(|at| at.went && at.stood);
    let list = [
        (Symptom::Dead, stood && !went && (silent || !heard)),
        (Symptom::BladesStill, stood && !went && (heard || !silent)),
        (Symptom::NoLow, went && last > 0 && dead(0)),
        (Symptom::NoHigh, went && last > 0 && dead(last)),
        (Symptom::NoMedium, went && medium),
        (
            Symptom::CutsOut,
            both || speeds.iter().any(|at| at.cut_out()),
        ),
        (Symptom::NowAndThen, both),
        (
            Symptom::RunsOn,
            seen.get(roles.off).is_some_and(|at| at.went),
        ),
        (Symptom::DoesNotPark, off_rest),
        (Symptom::Slow, speeds.iter().any(|at| at.slower)),
        (Symptom::TooFast, speeds.iter().any(|at| at.faster)),
    ];
    list.into_iter()
        .filter(|(_, shown)| *shown)
        .map(|(symptom, _)| symptom)
        .collect()
}

/// Likelihood of what a driver tells of a vehicle that shows a symptom, or none.
pub(super) fn likelihood(shown: Option<Symptom>, told: Symptom) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "nine symptoms")]
    let others = (Symptom::ALL.len() - 1) as f64;
    match shown {
        None => COMPLAINT_OF_NOTHING,
        Some(shown) if shown == told => DRIVER_RIGHT,
        Some(_) => (1.0 - DRIVER_RIGHT) / others,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn roles() -> Roles {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let vehicle = crate::file::read_vehicle(text).unwrap().0;
        vehicle.roles().unwrap()
    }

    fn of(low: Position, high: Position, off: Position, told: [bool; 3]) -> Vec<Symptom> {
        let roles = roles();
        let mut seen = vec![Position::default(); 3];
        (
            seen[roles.off],
            seen[roles.speeds[0]],
            seen[roles.speeds[1]],
        ) = (off, low, high);
        symptoms(&seen, &roles, (told[0], told[1], told[2]))
    }

    const NOT_SEEN: Position = Position {
        went: false,
        stood: false,
        slower: false,
        faster: false,
        clicked: false,
    };
    const WENT: Position = Position {
        went: true,
        ..NOT_SEEN
    };
    const STOOD: Position = Position {
        stood: true,
        ..NOT_SEEN
    };

    #[test]
    fn what_was_not_looked_at_shows_nothing() {
        assert_eq!(of(NOT_SEEN, NOT_SEEN, NOT_SEEN, [false; 3]), []);
        assert_eq!(of(WENT, WENT, STOOD, [true, false, false]), []);
    }

    #[test]
    fn standing_blades_are_told_by_where_they_stand_and_what_is_heard() {
        let silent = [false, true, false];
        assert_eq!(of(STOOD, STOOD, NOT_SEEN, silent), [Symptom::Dead]);
        let runs = [true, false, false];
        assert_eq!(of(STOOD, STOOD, NOT_SEEN, runs), [Symptom::BladesStill]);
        assert_eq!(of(STOOD, WENT, NOT_SEEN, runs), [Symptom::NoLow]);
        assert_eq!(of(WENT, STOOD, NOT_SEEN, runs), [Symptom::NoHigh]);
    }

    #[test]
    fn off_shows_running_on_and_a_wrong_rest() {
        assert_eq!(of(WENT, WENT, WENT, [false; 3]), [Symptom::RunsOn]);
        let rest = [false, false, true];
        assert_eq!(of(WENT, WENT, STOOD, rest), [Symptom::DoesNotPark]);
    }

    #[test]
    fn a_click_tells_of_cutting_out_only_where_the_blades_go() {
        let clicked = |at: Position| Position {
            clicked: true,
            ..at
        };
        let quiet = [false; 3];
        let (went, stood) = (clicked(WENT), clicked(STOOD));
        assert_eq!(of(went, WENT, STOOD, quiet), [Symptom::CutsOut]);
        // At OFF, or where they never go, it cuts nothing out.
        assert_eq!(of(WENT, WENT, stood, quiet), []);
        assert_eq!(of(WENT, WENT, clicked(NOT_SEEN), quiet), []);
        assert_eq!(of(stood, WENT, STOOD, quiet), [Symptom::NoLow]);
        // Heard without a look, it may have been either.
        let heard = of(clicked(NOT_SEEN), WENT, NOT_SEEN, quiet);
        assert_eq!(heard, [Symptom::CutsOut]);
    }
}
