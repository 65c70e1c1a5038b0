//! Random actions of a person at a vehicle: any verb on anything.

use groundside_engine::vehicle::{ComponentId, CoverId, Kind, PlaceId, Point, Vehicle};
use groundside_engine::world::{Action, Hint, Measurement, Sense, Suspicion, Verdict};

/// A shipped scenario's file, for attempts.
pub const SCENARIO: &str = include_str!("../../scenarios/rain-on-the-quay.toml");

/// An action made of two random numbers.
#[must_use]
pub fn action(vehicle: &Vehicle, verb: u32, what: u32) -> Action {
    let what = what as usize;
    let ids: Vec<ComponentId> = vehicle.ids().collect();
    let id = ids[what % ids.len()];
    let points: Vec<Point> = vehicle.points().collect();
    let (red, black) = (
        points[what % points.len()],
        points[(what / 7) % points.len()],
    );
    let controls: Vec<ComponentId> = vehicle.controls().map(|(id, _)| id).collect();
    let control = controls[what % controls.len()];
    let position = (what / 3) % vehicle.component(control).positions().len();
    let nuts: Vec<ComponentId> = vehicle
        .ids()
        .filter(|&id| {
            matches!(
                vehicle.component(id).kind,
                Kind::CrankNut { .. } | Kind::ConnectingLink
            )
        })
        .collect();
    let go = place(vehicle, what % vehicle.layout.places.len());
    let cover = cover(vehicle, what % vehicle.layout.covers.len());
    match verb % 47 {
        0 => Action::Go(go),
        1 => Action::Remove(cover),
        2 => Action::Fit(cover),
        3..=6 => Action::Control {
            component: control,
            position,
            at_mid_glass: what.is_multiple_of(5),
            by_helper: what.is_multiple_of(2),
        },
        7 => Action::Measure {
            what: Measurement::Volts,
            red,
            black,
        },
        8 => Action::Measure {
            what: Measurement::Ohms,
            red,
            black,
        },
        9 => Action::Clamp(id),
        10 => Action::Clip { red, black },
        11 => Action::Unclip,
        12 => Action::Unplug(id),
        13 => Action::Plug(id),
        14 => Action::Sense(
            [
                Sense::LookBlades,
                Sense::Listen,
                Sense::Ammeter,
                Sense::Count,
                Sense::Feel(id),
            ][what % 5],
        ),
        15 => Action::Loosen(nuts[what % nuts.len()]),
        16 => Action::Tighten(nuts[what % nuts.len()]),
        17 => Action::Wait {
            seconds: u32::try_from(what % 90).unwrap(),
        },
        18 => Action::MoveArm(id),
        19 => Action::Assist(id),
        20 | 21 => Action::Repair {
            component: id,
            way: what / ids.len() % vehicle.component(id).repairs.len().max(1),
        },
        22 => Action::WetGlass,
        23 => Action::Sense(Sense::LookLinkage),
        24 => match what % 5 {
            0 | 1 => Action::Note("as before".to_owned()),
            2 => Action::Suspect(Suspicion {
                chances: [10, 0, 50, 40, 0, 0],
            }),
            3 => Action::Hint(Hint::ALL[what % Hint::ALL.len()]),
            _ => Action::Coach,
        },
        25 => {
            let faults = vehicle.faults();
            let (component, mode, _) = &faults[what % faults.len()];
            Action::Conclude(Verdict {
                component: *component,
                mode: *mode,
            })
        }
        26 => Action::Sense(Sense::Try(id)),
        27..=31 => Action::Measure {
            what: Measurement::ALL[2 + what % (Measurement::ALL.len() - 2)],
            red,
            black,
        },
        32 => Action::Trace(id),
        33 => Action::BatteryTest,
        34 => Action::Zero,
        35 => Action::NewFuse,
        36..=38 => Action::Jumper {
            first: red,
            second: black,
        },
        39 => Action::RemoveJumper {
            at_mid_glass: what % 2 == 1,
        },
        40 => Action::Tug(red),
        41 => Action::Wiggle(id),
        42 => Action::Ask,
        43 => Action::Substitute(id),
        44 => Action::PutBack(id),
        45 => Action::Hold(id),
        _ => Action::Sense([Sense::LookAt(id), Sense::Smell(id)][what % 2]),
    }
}

fn place(vehicle: &Vehicle, index: usize) -> PlaceId {
    match Action::from_words(&format!("go {}", vehicle.layout.places[index].id), vehicle).unwrap() {
        Action::Go(place) => place,
        other => panic!("{other:?}"),
    }
}

fn cover(vehicle: &Vehicle, index: usize) -> CoverId {
    match Action::from_words(
        &format!("remove {}", vehicle.layout.covers[index].id),
        vehicle,
    )
    .unwrap()
    {
        Action::Remove(cover) => cover,
        other => panic!("{other:?}"),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::fleet::vehicles;

    /// What kinds of action there are, and which an action is of: one that is new must be named here, and then drawn.
    macro_rules! kinds {
        ($($pattern:pat => $name:literal,)*) => {
            const KINDS: &[&str] = &[$($name),*];

            const fn kind(action: &Action) -> &'static str {
                match action {
                    $($pattern => $name,)*
                }
            }
        };
    }

    kinds! {
        Action::Go(_) => "go",
        Action::Remove(_) => "remove",
        Action::Fit(_) => "fit",
        Action::Control { .. } => "control",
        Action::Measure { what: Measurement::Volts, .. } => "volts",
        Action::Measure { what: Measurement::Ohms, .. } => "ohms",
        Action::Measure { what: Measurement::Continuity, .. } => "continuity",
        Action::Measure { what: Measurement::Diode, .. } => "diode",
        Action::Measure { what: Measurement::Amps, .. } => "amps",
        Action::Measure { what: Measurement::Lamp, .. } => "lamp",
        Action::Measure { what: Measurement::Load, .. } => "load",
        Action::Clamp(_) => "clamp",
        Action::Trace(_) => "trace",
        Action::BatteryTest => "battery test",
        Action::Zero => "zero",
        Action::NewFuse => "new fuse",
        Action::Jumper { .. } => "jumper",
        Action::RemoveJumper { .. } => "remove jumper",
        Action::Clip { .. } => "clip",
        Action::Unclip => "unclip",
        Action::Unplug(_) => "unplug",
        Action::Plug(_) => "plug",
        Action::Tug(_) => "tug",
        Action::Wiggle(_) => "wiggle",
        Action::Ask => "ask",
        Action::Substitute(_) => "substitute",
        Action::PutBack(_) => "put back",
        Action::Sense(Sense::LookBlades) => "look blades",
        Action::Sense(Sense::LookLinkage) => "look linkage",
        Action::Sense(Sense::Listen) => "listen",
        Action::Sense(Sense::LookAt(_)) => "look at",
        Action::Sense(Sense::Feel(_)) => "feel",
        Action::Sense(Sense::Smell(_)) => "smell",
        Action::Sense(Sense::Ammeter) => "ammeter",
        Action::Sense(Sense::Count) => "count",
        Action::Sense(Sense::Try(_)) => "try",
        Action::MoveArm(_) => "move arm",
        Action::Assist(_) => "assist",
        Action::Hold(_) => "hold",
        Action::Loosen(_) => "loosen",
        Action::Tighten(_) => "tighten",
        Action::WetGlass => "wet glass",
        Action::Wait { .. } => "wait",
        Action::Conclude(_) => "conclude",
        Action::Repair { .. } => "repair",
        Action::Note(_) => "note",
        Action::Suspect(_) => "suspect",
        Action::Hint(_) => "hint",
        Action::Coach => "coach",
        Action::HandOver(_) => "hand over",
        Action::GiveUp => "give up",
    }

    /// What ends an attempt is not drawn.
    const ENDS: [&str; 2] = ["hand over", "give up"];

    #[test]
    fn every_kind_of_action_is_drawn_and_every_way_of_a_repair() {
        for vehicle in vehicles() {
            let mut drawn = BTreeSet::new();
            let mut repairs = BTreeSet::new();
            for verb in 0..47 {
                for what in 0..2000 {
                    let action = action(&vehicle, verb, what);
                    if let Action::Repair { component, way } = action {
                        repairs.insert((component, way));
                    }
                    drawn.insert(kind(&action));
                }
            }
            let wanted = KINDS.iter().copied().filter(|kind| !ENDS.contains(kind));
            assert_eq!(drawn, wanted.collect(), "{}", vehicle.id);
            for id in vehicle.ids() {
                for way in 0..vehicle.component(id).repairs.len() {
                    assert!(
                        repairs.contains(&(id, way)),
                        "{way} of {}",
                        vehicle.component(id).id
                    );
                }
            }
        }
    }
}
