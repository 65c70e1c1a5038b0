//! The chapter on testing the motor in place: which leads go where, by what its terminals do inside it, and what a
//! healthy motor then shows, found by putting the leads on one.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Kind, Node, Path, Point, Vehicle};
use groundside_engine::world::{Action, KIT, Observation, Quantity, Sense, World};

use super::data::table;
use super::healthy::{motor_of, seen, standing, value};
use crate::style::{Page, Tone};

/// How often a motor is started that stops near home by chance.
const TRIES: usize = 8;
/// What blades near home look like.
const HOME: &str = "their rest";

/// Terminals of a motor by what they do.
struct Terminals {
    motor: ComponentId,
    /// Feeds of the brushes for the low and the high speed.
    low: Point,
    high: Point,
    /// Feed and common of the park contact.
    park_feed: Point,
    park_common: Point,
    /// Where the current leaves.
    ground: Node,
}

/// The terminals of the vehicle's motor, where it has all of them.
fn terminals(vehicle: &Vehicle) -> Option<Terminals> {
    let motor = motor_of(vehicle)?;
    let park = vehicle.ids().find(|&id| {
        let part = vehicle.component(id);
        matches!(part.kind, Kind::ParkContact(_)) && part.part_of == Some(motor)
    })?;
    // The feed of the low speed comes first, then that of the high one; the last brush is the common one.
    let brush = |path: &&Path| path.name.as_str().ends_with("-brush");
    let mut brushes = vehicle.component(motor).paths.iter().filter(brush);
    let (low, high, common) = (brushes.next()?, brushes.next()?, brushes.next_back()?);
    let at = |node: Node| -> Option<Point> {
        let mut points = vehicle.points();
        points.find(|point| point.component == motor && vehicle.node(*point) == node)
    };
    let feed = vehicle.component(park).paths.first()?;
    Some(Terminals {
        motor,
        low: at(low.p)?,
        high: at(high.p)?,
        park_feed: at(feed.p)?,
        park_common: at(feed.n)?,
        ground: common.n,
    })
}

/// The post that leads come from: the battery's positive one.
pub(super) fn supply(vehicle: &Vehicle) -> Option<Point> {
    let battery = vehicle
        .ids()
        .find(|&id| matches!(vehicle.component(id).kind, Kind::Battery { .. }))?;
    let node = vehicle.component(battery).paths.first()?.p;
    let mut points = vehicle.points();
    points.find(|point| point.component == battery && vehicle.node(*point) == node)
}

/// A sound vehicle with the motor's plugs off, once it stands as the controls left it.
pub(super) fn apart(mut world: World, vehicle: &Vehicle, motor: ComponentId) -> Option<World> {
    for plug in vehicle.plugs_of(motor) {
        seen(&mut world, &Action::Unplug(plug))?;
    }
    Some(world)
}

/// One number of what a sound vehicle shows.
pub(super) fn mean(world: &mut World, action: &Action, unit: &str) -> Option<String> {
    value(world, action).map(|[mean, ..]| format!("{mean:.1} {unit}"))
}

/// The row of a lead that feeds one terminal.
fn fed(vehicle: &Arc<Vehicle>, glass: Glass, at: Point, clamped: ComponentId) -> Option<String> {
    let motor = at.component;
    let mut world = apart(standing(vehicle, glass)?, vehicle, motor)?;
    let lead = Action::Jumper {
        first: at,
        second: supply(vehicle)?,
    };
    seen(&mut world, &lead)?;
    let amps = mean(&mut world, &Action::Clamp(clamped), "A")?;
    let cycles = mean(&mut world, &Action::Sense(Sense::Count), "/min")?;
    Some(format!("{amps}, {cycles}"))
}

/// What is seen of a motor that is fed at its park contact, which is joined to the low brush: it starts out on the
/// glass, where a lead at the low brush that is taken off again leaves it.
fn parked(vehicle: &Arc<Vehicle>, glass: Glass, of: &Terminals) -> Option<String> {
    let mut world = apart(standing(vehicle, glass)?, vehicle, of.motor)?;
    let post = supply(vehicle)?;
    let lead = |first, second| Action::Jumper { first, second };
    for _ in 0..TRIES {
        seen(&mut world, &lead(of.low, post))?;
        seen(
            &mut world,
            &Action::RemoveJumper {
                at_mid_glass: false,
            },
        )?;
        if !looks(&mut world)?.contains(HOME) {
            break;
        }
    }
    seen(&mut world, &lead(of.park_common, of.low))?;
    seen(&mut world, &lead(of.park_feed, post))?;
    let looks = looks(&mut world)?;
    Some(format!("runs home, then {looks}"))
}

/// What the blades look like.
pub(super) fn looks(world: &mut World) -> Option<String> {
    let looked = seen(world, &Action::Sense(Sense::LookBlades))?;
    let words = looked.iter().filter_map(|(quantity, _, seen)| match seen {
        Observation::Perception { word, .. } if *quantity == Quantity::Rest => Some(*word),
        Observation::Perception { .. } | Observation::Reading { .. } => None,
    });
    Some(words.collect::<Vec<_>>().join(", "))
}

/// The chapter.
pub(super) fn tests(vehicle: &Arc<Vehicle>, glass: Glass) -> Page {
    let none = || Page::of(Tone::Plain, "  No motor whose terminals are all known.");
    if let Some(page) = super::fields::tests(vehicle, glass) {
        return page;
    }
    let Some((of, post)) = terminals(vehicle).zip(supply(vehicle)) else {
        return none();
    };
    let clamped = vehicle.ids().find(|&id| {
        let part = vehicle.component(id);
        let ends = |path: &Path| path.p == of.ground || path.n == of.ground;
        part.is_conductor() && part.paths.iter().any(ends)
    });
    let Some(clamped) = clamped else {
        return none();
    };
    let name = |point| vehicle.point_name(point);
    let lead = |first, second| format!("{} to {}", name(first), name(second));
    let unknown = || "not to be had".to_owned();
    let rows = [
        ["test", "leads, first end first", "healthy"].map(str::to_owned),
        [
            "low".to_owned(),
            lead(of.low, post),
            fed(vehicle, glass, of.low, clamped).unwrap_or_else(unknown),
        ],
        [
            "high".to_owned(),
            lead(of.high, post),
            fed(vehicle, glass, of.high, clamped).unwrap_or_else(unknown),
        ],
        [
            "park".to_owned(),
            lead(of.park_common, of.low),
            String::new(),
        ],
        [
            String::new(),
            lead(of.park_feed, post),
            parked(vehicle, glass, &of).unwrap_or_else(unknown),
        ],
    ];
    let mut page = table(&rows.map(Vec::from));
    page.hanging(
        Tone::Plain,
        format!(
            "  Key off and the motor's plug off first, so that a good motor shows this whatever is wrong before its \
             plug. A lead's end at the motor goes on first, at the battery last; its fuse is {} A. Amps by the clamp \
             on {}, cycles counted on {} glass. For park, feed the \
             low terminal first and take the lead off while the blades are out on the glass.",
            KIT.jumper_fuse.amperes(),
            vehicle.component(clamped).id,
            glass.word()
        ),
        "  ",
    );
    page.hanging(
        Tone::Quiet,
        "  The ground is the vehicle's own: prove it by its drop while the motor runs, or add a lead from the motor's \
         ground to battery neg. More amps and fewer cycles: undo the crank nut and test the motor alone.",
        "  ",
    );
    page
}
