//! The chapter on testing in place a motor with a series and a shunt field: leads that feed both, and both the other
//! way round, and what a healthy motor then shows.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{
    ComponentId, Kind, Path, Point, SERIES_FIELD, SHUNT_FIELD, Vehicle,
};
use groundside_engine::world::{Action, KIT, Sense, World};

use super::data::table;
use super::healthy::{battery_neg, motor_of, seen, standing};
use super::in_place::{apart, looks, mean, supply};
use crate::style::{Page, Tone};

/// Ends of the fields of a motor, its park feed, and what may be clamped.
struct Fields {
    motor: ComponentId,
    /// D1, E1, E2, 53a.
    series: Point,
    shunt: Point,
    back: Point,
    feed: Option<Point>,
    /// The wire of the case.
    ground: ComponentId,
}

fn fields(vehicle: &Vehicle) -> Option<Fields> {
    let motor = motor_of(vehicle)?;
    let part = vehicle.component(motor);
    let at = |node| {
        let mut points = vehicle.points();
        points.find(|point| point.component == motor && vehicle.node(*point) == node)
    };
    let wire = |node| {
        vehicle.ids().find(|&id| {
            let ends = |path: &Path| path.p == node || path.n == node;
            vehicle.component(id).is_conductor() && vehicle.component(id).paths.iter().any(ends)
        })
    };
    let (series, shunt) = (part.path(SERIES_FIELD)?, part.path(SHUNT_FIELD)?);
    let brush = |path: &&Path| path.name.as_str().ends_with("-brush");
    let case = part.paths.iter().rfind(brush)?.n;
    let park = vehicle
        .components
        .iter()
        .find(|part| matches!(part.kind, Kind::ParkContact(_)) && part.part_of == Some(motor));
    let feed = park.and_then(|park| at(park.paths.first()?.p));
    Some(Fields {
        motor,
        series: at(series.p)?,
        shunt: at(shunt.p)?,
        back: at(shunt.n)?,
        feed,
        ground: wire(case)?,
    })
}

/// A sound vehicle with leads on its motor.
fn led(
    vehicle: &Arc<Vehicle>,
    glass: Glass,
    of: &Fields,
    leads: &[(Point, Point)],
) -> Option<World> {
    let mut world = apart(standing(vehicle, glass)?, vehicle, of.motor)?;
    for &(first, second) in leads {
        seen(&mut world, &Action::Jumper { first, second })?;
    }
    Some(world)
}

/// The chapter; `None` for a motor that has no such fields.
pub(super) fn tests(vehicle: &Arc<Vehicle>, glass: Glass) -> Option<Page> {
    let of = fields(vehicle)?;
    let (pos, neg) = (supply(vehicle)?, battery_neg(vehicle)?);
    let both = [(of.back, neg), (of.shunt, pos), (of.series, pos)];
    let mut world = led(vehicle, glass, &of, &both)?;
    let amps = mean(&mut world, &Action::Clamp(of.ground), "A")?;
    let cycles = mean(&mut world, &Action::Sense(Sense::Count), "/min")?;
    let name = |point| vehicle.point_name(point);
    let mut rows = vec![["test", "leads, first end first", "healthy"].map(str::to_owned)];
    let mut test = |what: &str, leads: &[(Point, Point)], healthy: String| {
        let last = leads.len() - 1;
        for (place, (first, second)) in leads.iter().enumerate() {
            let what = if place == 0 { what } else { "" };
            let shown = if place == last {
                healthy.clone()
            } else {
                String::new()
            };
            let lead = format!("{} to {}", name(*first), name(*second));
            rows.push([what.to_owned(), lead, shown]);
        }
    };
    test("both fields", &both, format!("{amps}, {cycles}"));
    if let Some(feed) = of.feed {
        let off = Action::RemoveJumper {
            at_mid_glass: false,
        };
        for _ in &both {
            seen(&mut world, &off)?;
        }
        let turned = [(of.series, of.back), (of.shunt, neg), (feed, pos)];
        for (first, second) in turned {
            seen(&mut world, &Action::Jumper { first, second })?;
        }
        let rests = looks(&mut world)?;
        test("park", &turned, format!("runs home, then {rests}"));
    }
    let mut page = table(&rows.into_iter().map(Vec::from).collect::<Vec<_>>());
    page.hanging(
        Tone::Plain,
        format!(
            "  Key off and the motor off its loom first, so that a good motor shows this whatever is wrong before \
             that. Leads to the ground go on first, then those from the battery, at the motor first; a fuse is {} A. \
             Amps by the clamp on {}, which are the armature's, cycles counted on {} glass; the fields' ohms are in the \
             chapter on the winding. For park, let it run with both fields first and take the leads off while the \
             blades are out on the glass.",
            KIT.jumper_fuse.amperes(),
            vehicle.component(of.ground).id,
            glass.word()
        ),
        "  ",
    );
    page.hanging(
        Tone::Quiet,
        "  Without the shunt it races: never run it so with the linkage off. More amps and fewer cycles: undo the \
         crank nut and test the motor alone.",
        "  ",
    );
    Some(page)
}
