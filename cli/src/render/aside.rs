//! What is told beside what was observed: a hand that is hurt, a fuse that blows again, arms that are off; and what is not
//! told, or that nothing was seen.

use groundside_engine::attempt::Event;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, Bench, Observation, Quantity, Sense};

use super::event::quantity;

/// What is said to somebody whose hand was in a linkage that moved.
pub(super) const HURT: &str = "You are hurt; are you all right? Stop here. Switch off and key off, then get the hand out: do not pull \
                    it. Cool it, cover what bleeds, and show it to a first-aider: fingers can be broken and still \
                    move. Tell your instructor now. A real workshop writes down every such accident, small ones too.";

/// Whether a hand was caught.
pub(super) fn is_hurt(told: &[&Observation]) -> bool {
    told.iter().any(|seen| {
        matches!(
            seen,
            Observation::Perception {
                quantity: Quantity::Caught,
                level: 1..,
                ..
            }
        )
    })
}

/// What a new fuse that blows as it goes in tells.
pub(super) fn blown_again(told: &[&Observation], action: &Action) -> Option<String> {
    let again = matches!(action, Action::NewFuse)
        && told.iter().any(|seen| {
            matches!(
                seen,
                Observation::Perception {
                    quantity: Quantity::LeadFuse,
                    level: 1..,
                    ..
                }
            )
        });
    again.then(|| {
        "a fuse that blows twice is no weak fuse but points to a short: take the lead off and find what joins \
         supply to ground before a third goes in"
            .to_owned()
    })
}

/// What nobody says a word about while it is as it should be: no play, no link off, no arm that stays, no streak.
pub(super) const fn is_as_it_should_be(seen: &Observation) -> bool {
    matches!(
        seen,
        Observation::Perception {
            quantity: Quantity::Knock
                | Quantity::Play
                | Quantity::Stay
                | Quantity::Overrun
                | Quantity::Streak
                | Quantity::Adrift,
            level: 0,
            ..
        }
    )
}

/// Looking at what shows no sign, whatever is wrong with it: that is told too.
pub(super) fn nothing_unusual(
    told: &[&Observation],
    action: &Action,
    vehicle: &Vehicle,
) -> Option<String> {
    let Action::Sense(Sense::LookAt(part)) = action else {
        return None;
    };
    let sign = |seen: &&Observation| {
        let signs = [
            Quantity::Crust,
            Quantity::Chafe,
            Quantity::OffMark,
            Quantity::Bent,
            Quantity::Melted,
            Quantity::Rating,
            Quantity::Glass,
        ];
        signs.contains(&quantity(seen))
    };
    let name = &vehicle.component(*part).id;
    (!told.iter().any(sign)).then(|| format!("nothing unusual is seen on {name} itself"))
}

/// Whether the wiper arms are off, as they are with a cover that does not come off before them.
pub(super) fn arms_are_off(bench: &Bench, vehicle: &Vehicle) -> bool {
    let mut covers = vehicle.layout.covers.iter().zip(&bench.covers_off);
    covers.any(|(cover, off)| *off && cover.takes_arms)
}

/// With the arms off, what was seen of blades is told of the pivots.
pub(super) fn with_arms_off(parts: &mut Vec<String>, event: &Event, vehicle: &Vehicle) {
    let watches = matches!(
        event.action,
        Action::Sense(_) | Action::Assist(_) | Action::Hold(_)
    );
    if !watches || !arms_are_off(&event.bench, vehicle) {
        return;
    }
    for part in parts.iter_mut() {
        *part = of_pivots(part);
    }
    if matches!(event.action, Action::Sense(Sense::LookBlades)) {
        parts.insert(0, "the arms are off".to_owned());
    }
}

/// What is told of blades, of the pivots that they would be on.
pub(super) fn of_pivots(told: &str) -> String {
    told.replace("blades", "pivots")
        .replace("out on the glass", "away from their rest")
        .replace("standing on the glass", "standing away from their rest")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn with_the_arms_off_it_is_the_pivots_that_turn_and_stand() {
        for (told, expected) in [
            ("blades: fast", "pivots: fast"),
            (
                "blades standing on the glass",
                "pivots standing away from their rest",
            ),
            ("out on the glass", "away from their rest"),
            ("at their rest", "at their rest"),
        ] {
            assert_eq!(of_pivots(told), expected);
        }
    }
}
