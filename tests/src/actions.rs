//! Random actions of a person at a vehicle: any verb on anything.

use groundside_engine::vehicle::{ComponentId, CoverId, Kind, PlaceId, Point, Vehicle};
use groundside_engine::world::{Action, Measurement, Sense, Verdict};

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
            way: what % 2,
        },
        22 => Action::WetGlass,
        23 => Action::Sense(Sense::LookLinkage),
        24 => Action::Note("as before".to_owned()),
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
            what: Measurement::ALL[2 + what % 5],
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
