//! What is told beside what was observed: a hand that is hurt, a fuse that blows again, arms that are off; and what is not
//! told, or that nothing was seen.

use groundside_engine::attempt::Event;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, Observation, Quantity, Sense, VOLTMETER};

use crate::style::listed;

use super::beside::{elsewhere, level_of};
use super::event::quantity;

/// What is said to somebody whose hand was in a linkage that moved.
pub(super) const HURT: &str = "You are hurt; are you all right? Stop here. Switch off and key off, then get the hand out: do not pull \
                    it. Cool it, cover what bleeds, and show it to a first-aider: fingers can be broken and still \
                    move. Tell your instructor now. A real workshop writes down every such accident, small ones too.";

/// Whether a hand was caught.
pub(super) fn is_hurt(told: &[&Observation]) -> bool {
    is_told(told, Quantity::Caught)
}

/// Whether something beyond the lowest level is told of a quantity.
fn is_told(told: &[&Observation], wanted: Quantity) -> bool {
    let level = |seen: &&Observation| level_of(seen, wanted);
    told.iter().filter_map(level).any(|level| level > 0)
}

/// What a new fuse that blows as it goes in tells.
pub(super) fn blown_again(told: &[&Observation], action: &Action) -> Option<String> {
    let blown = |wanted: Quantity| is_told(told, wanted);
    let (which, first) = if matches!(action, Action::NewFuse) && blown(Quantity::LeadFuse) {
        ("a fuse that blows twice", "take the lead off")
    } else if blown(Quantity::NewFuse) {
        ("a new one that blows at once", "key off")
    } else {
        return None;
    };
    Some(format!(
        "{which} is no weak fuse but points to a short: {first} and find what joins supply to ground before another \
         goes in"
    ))
}

/// How the fuses of several jumper leads are, in one: those that have blown by name, the others together; `None` where
/// one lead or none is told of.
pub(super) fn of_several_leads(told: &[&Observation], action: &Action) -> Option<String> {
    let leads = told.iter().filter_map(|seen| match seen {
        Observation::Perception {
            quantity: Quantity::LeadFuse,
            subject,
            level,
            ..
        } => Some((subject.as_str(), *level > 0)),
        _ => None,
    });
    let leads: Vec<(&str, bool)> = leads.collect();
    if leads.len() < 2 || !matches!(action, Action::Jumper { .. } | Action::NewFuse) {
        return None;
    }
    let blown: Vec<&str> = leads
        .iter()
        .filter(|lead| lead.1)
        .map(|lead| lead.0)
        .collect();
    let whole = leads.len() - blown.len();
    let named = listed(&blown, "and");
    let gone = match (action, blown.len()) {
        (_, 0) if leads.len() == 2 => return Some("the fuses of both leads are whole".to_owned()),
        (_, 0) => return Some(format!("the fuses of all {} leads are whole", leads.len())),
        (Action::NewFuse, 1) => format!("the new fuse of the {named} blew again at once"),
        (Action::NewFuse, _) => format!("the new fuses of the {named} blew again at once"),
        (_, 1) => format!("the fuse of the {named} has blown"),
        (_, _) => format!("the fuses of the {named} have blown"),
    };
    Some(match whole {
        0 => gone,
        1 => format!("{gone}, the other lead's is whole"),
        _ => format!("{gone}, those of the others are whole"),
    })
}

/// Ohms that are most likely those of the meter that is clipped on as well, which lies beside what is measured.
const AS_OF_A_METER_OHM: f64 = 1e6;

/// Why much is read in ohms while a meter is clipped on.
pub(super) fn clipped_beside(told: &[&Observation], event: &Event) -> Option<String> {
    event.bench.clip?;
    let read = told.iter().find_map(|seen| match seen {
        Observation::Reading {
            quantity: Quantity::Resistance,
            shown: Some([mean, ..]),
            ..
        } => Some(mean.value()),
        _ => None,
    });
    read.filter(|ohm| *ohm >= AS_OF_A_METER_OHM)?;
    let own = VOLTMETER.ohms() / 1e6;
    Some(format!(
        "the clipped meter has {own:.0} Mohm of its own, which is measured with it: `unclip` first"
    ))
}

/// Level of an arm's torque at which the gear holds it, and play is all that a hand can feel.
const GEAR_HOLDS: usize = 4;

/// What nobody says a word about while it is as it should be: no play where a hand feels more than that, no knock, no
/// link off, no arm that stays, no streak; a new fuse that holds.
pub(super) fn is_as_it_should_be(seen: &Observation, beside: &[&Observation]) -> bool {
    let is_held = |one: &&Observation| {
        matches!(
            one,
            Observation::Perception { quantity: Quantity::ArmTorque, level, .. } if *level == GEAR_HOLDS
        )
    };
    let no_play = matches!(
        seen,
        Observation::Perception {
            quantity: Quantity::Play,
            level: 0,
            ..
        }
    );
    no_play && !beside.iter().any(is_held)
        || matches!(
            seen,
            Observation::Perception {
                quantity: Quantity::Knock
                    | Quantity::Stay
                    | Quantity::Overrun
                    | Quantity::Streak
                    | Quantity::Flap
                    | Quantity::Adrift
                    | Quantity::NewFuse,
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
            Quantity::ArmOffMark,
            Quantity::Rubber,
            Quantity::Bent,
            Quantity::Melted,
            Quantity::Rating,
            Quantity::Glass,
        ];
        signs.contains(&quantity(seen))
    };
    let name = &vehicle.component(*part).id;
    let elsewhere = elsewhere(*part, vehicle);
    (!told.iter().any(sign)).then(|| format!("nothing unusual is seen on {name} itself{elsewhere}"))
}

/// With the arms off, what was seen of blades is told of the pivots.
pub(super) fn with_arms_off(parts: &mut Vec<String>, event: &Event, vehicle: &Vehicle) {
    let watches = matches!(
        event.action,
        Action::Sense(_) | Action::Assist(_) | Action::Hold(_)
    );
    if !watches || !event.bench.arms_off(vehicle) {
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
    told.replace(
        "a blade runs past the edge of the glass",
        "a pivot swings further than it should",
    )
    .replace(
        "a blade strikes beyond the edge of the glass",
        "a pivot swings further than it should",
    )
    .replace("blades", "pivots")
    .replace("of the arms one", "of the pivots one")
    .replace("out on the glass", "away from their rest")
    .replace("standing on the glass", "standing away from their rest")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fuses_of_several_leads_are_told_in_one() {
        let fuse = |subject: &str, level: usize| Observation::Perception {
            quantity: Quantity::LeadFuse,
            subject: format!("jumper {subject}"),
            level,
            word: "",
        };
        let told = |levels: &[usize]| {
            let names = ["a to b", "c to d", "e to f"];
            let seen: Vec<Observation> = (names.iter().zip(levels))
                .map(|(name, level)| fuse(name, *level))
                .collect();
            of_several_leads(&seen.iter().collect::<Vec<_>>(), &Action::NewFuse)
        };
        for (levels, expected) in [
            (&[1][..], None),
            (&[0, 0], Some("the fuses of both leads are whole")),
            (&[0, 0, 0], Some("the fuses of all 3 leads are whole")),
            (
                &[0, 1],
                Some(
                    "the new fuse of the jumper c to d blew again at once, the other lead's is whole",
                ),
            ),
            (
                &[1, 0, 1],
                Some(
                    "the new fuses of the jumper a to b and jumper e to f blew again at once, the other lead's is \
                     whole",
                ),
            ),
        ] {
            assert_eq!(told(levels).as_deref(), expected);
        }
    }

    #[test]
    fn with_the_arms_off_it_is_the_pivots_that_turn_and_stand() {
        for (told, expected) in [
            ("blades: fast", "pivots: fast"),
            (
                "blades standing on the glass",
                "pivots standing away from their rest",
            ),
            ("out on the glass", "away from their rest"),
            (
                "of the arms one of them stays where it is",
                "of the pivots one of them stays where it is",
            ),
            ("at their rest", "at their rest"),
        ] {
            assert_eq!(of_pivots(told), expected);
        }
    }
}
