//! Why an action cannot be done: told from the bench and the vehicle's layout alone.

use super::Bench;
use super::action::{Action, Sense, TEXT_MAX, WAIT_MAX_S};
use crate::vehicle::{ComponentId, Kind, Node, Point, Vehicle};

/// Jumper leads in the kit.
const JUMPERS_MAX: usize = 4;

/// Why an action cannot be done. Nothing moved and no time passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// Going where one is.
    #[error("you are there already")]
    AlreadyThere,
    /// A cover that is off.
    #[error("it is off already")]
    AlreadyOff,
    /// A cover that is on.
    #[error("it is on already")]
    AlreadyOn,
    /// Something that is not worked by hand.
    #[error("that is not a control")]
    NotAControl,
    /// Nobody to help.
    #[error("there is no helper today")]
    NoHelper,
    /// Both leads on one point.
    #[error("both leads are on the same point")]
    SamePoint,
    /// A clamp on something that is no wire or strap.
    #[error("a clamp goes round a wire or a strap")]
    NotAWire,
    /// Something that has no plug.
    #[error("that is neither a connector nor a strap")]
    NotAConnector,
    /// A connector that is apart.
    #[error("it is off already")]
    AlreadyUnplugged,
    /// A connector that is together.
    #[error("it is on already")]
    AlreadyPlugged,
    /// Something that is not undone by hand.
    #[error("only the crank nut and the connecting link come undone")]
    NotUndone,
    /// A nut that is off.
    #[error("it is undone already")]
    AlreadyUndone,
    /// A link that is on.
    #[error("it is done up already")]
    AlreadyTight,
    /// Coaching that has begun.
    #[error("you are coached already")]
    AlreadyCoached,
    /// Chances of more than a whole.
    #[error("the chances come to more than 100 together")]
    TooSure,
    /// Something that is not an arm.
    #[error("that is not a wiper arm")]
    NotAnArm,
    /// Something other than a consumer.
    #[error("that is not a consumer that can be tried")]
    NotAConsumer,
    /// No ammeter on the dash.
    #[error("this vehicle has no dash ammeter")]
    NoAmmeter,
    /// No lead is clipped on.
    #[error("no lead is clipped on")]
    NothingClipped,
    /// No jumper lead is on.
    #[error("no jumper lead is on")]
    NoJumper,
    /// A jumper lead on two points that have one.
    #[error("a jumper lead joins these two points already")]
    JumperThere,
    /// As many jumper leads as the kit has.
    #[error("the kit has four jumper leads, and all are on")]
    NoMoreJumpers,
    /// A terminal that nothing can be pulled at.
    #[error("one pulls at a connector's terminal, or at a terminal that a wire ends on")]
    NothingToTug,
    /// Something that no wire ends on.
    #[error("one wiggles a wire, a strap, or what wires end on")]
    NothingToWiggle,
    /// No battery to test.
    #[error("this vehicle has no battery")]
    NoBattery,
    /// A battery test while the alternator holds the volts up: its load would go through the feed.
    #[error(
        "the engine is on: off with it, or the tester loads the alternator and what is between"
    )]
    EngineRuns,
    /// An engine without its key.
    #[error("the engine does not run with the key off: put it to its last position first")]
    KeyOff,
    /// A component that no known good part can stand in for.
    #[error(
        "there is no known good part to put there; only what is replaced whole by itself can be tried so"
    )]
    NoSubstitute,
    /// A component that has a known good part in it.
    #[error("a known good part is in its place already")]
    AlreadySubstituted,
    /// A component that has not.
    #[error("its own part is in place")]
    NotSubstituted,
    /// A component without such a repair.
    #[error("that cannot be repaired on its own")]
    NoRepair,
    /// A wait beyond the bound.
    #[error("wait at most 1800 seconds at a time")]
    WaitTooLong,
    /// A text beyond the bound.
    #[error("at most 500 characters")]
    TextTooLong,
    /// A place, cover, point or position that this vehicle does not have.
    #[error("this vehicle has no such thing")]
    NotOnThisVehicle,
    /// The attempt has ended.
    #[error("the attempt has ended")]
    Ended,
}

/// Whether the control named `key` stands at its last position; a vehicle without one is always on.
pub(super) fn key_is_on(bench: &Bench, vehicle: &Vehicle) -> bool {
    vehicle.control("key").is_none_or(|key| {
        bench.positions[key.index()] + 1 == vehicle.component(key).positions().len()
    })
}

/// Refuses what cannot be done.
pub(super) fn refuse(
    action: &Action,
    bench: &Bench,
    vehicle: &Vehicle,
    helper: bool,
) -> Result<(), Refusal> {
    let unless = |ok: bool, refusal: Refusal| if ok { Ok(()) } else { Err(refusal) };
    let kind = |id: ComponentId| {
        vehicle
            .components
            .get(id.index())
            .map(|component| &component.kind)
    };
    let exists = |point: Point| {
        let component = vehicle.components.get(point.component.index());
        component.is_some_and(|component| point.terminal < component.terminals.len())
    };
    match action {
        Action::Go(place) => {
            unless(
                place.index() < vehicle.layout.places.len(),
                Refusal::NotOnThisVehicle,
            )?;
            unless(*place != bench.place, Refusal::AlreadyThere)
        }
        Action::Remove(cover) | Action::Fit(cover) => {
            let off = *bench
                .covers_off
                .get(cover.index())
                .ok_or(Refusal::NotOnThisVehicle)?;
            let removing = matches!(action, Action::Remove(_));
            unless(
                off != removing,
                if removing {
                    Refusal::AlreadyOff
                } else {
                    Refusal::AlreadyOn
                },
            )
        }
        Action::Control {
            component,
            position,
            by_helper,
            ..
        } => {
            let worked = vehicle
                .components
                .get(component.index())
                .filter(|c| c.control.is_some());
            let worked = worked.ok_or(Refusal::NotAControl)?;
            unless(
                *position < worked.positions().len(),
                Refusal::NotOnThisVehicle,
            )?;
            unless(helper || !by_helper, Refusal::NoHelper)?;
            let starts = matches!(worked.kind, Kind::Alternator(_)) && *position > 0;
            unless(!starts || key_is_on(bench, vehicle), Refusal::KeyOff)
        }
        Action::Jumper { first, second } if bench.jumpers.len() < JUMPERS_MAX => {
            unless(exists(*first) && exists(*second), Refusal::NotOnThisVehicle)?;
            let ends = [first, second].map(|point| vehicle.node(*point));
            unless(ends[0] != ends[1], Refusal::SamePoint)?;
            let joined = bench.jumpers.iter().any(|(first, second)| {
                let on = [first, second].map(|point| vehicle.node(*point));
                on == ends || on == [ends[1], ends[0]]
            });
            unless(!joined, Refusal::JumperThere)
        }
        Action::Jumper { .. } => Err(Refusal::NoMoreJumpers),
        Action::RemoveJumper { .. } => unless(!bench.jumpers.is_empty(), Refusal::NoJumper),
        Action::BatteryTest => {
            let of = |wanted: fn(&Kind) -> bool| {
                vehicle
                    .ids()
                    .filter(move |&id| wanted(&vehicle.component(id).kind))
            };
            let batteries = of(|kind| matches!(kind, Kind::Battery { .. })).count();
            unless(batteries > 0, Refusal::NoBattery)?;
            unless(!bench.engine_runs(vehicle), Refusal::EngineRuns)
        }
        Action::Tug(point) => {
            unless(exists(*point), Refusal::NotOnThisVehicle)?;
            unless(ends_at(vehicle, *point), Refusal::NothingToTug)
        }
        Action::Wiggle(id) => unless(
            vehicle
                .components
                .get(id.index())
                .is_some_and(|c| c.is_conductor() || !shaken_with(vehicle, *id).is_empty()),
            Refusal::NothingToWiggle,
        ),
        Action::Substitute(id) => {
            unless(
                substitute_way(vehicle, *id).is_some(),
                Refusal::NoSubstitute,
            )?;
            unless(!bench.substituted[id.index()], Refusal::AlreadySubstituted)
        }
        Action::PutBack(id) => unless(
            bench.substituted.get(id.index()).copied().unwrap_or(false),
            Refusal::NotSubstituted,
        ),
        Action::Measure { red, black, .. } | Action::Clip { red, black } => {
            unless(exists(*red) && exists(*black), Refusal::NotOnThisVehicle)?;
            unless(
                vehicle.node(*red) != vehicle.node(*black),
                Refusal::SamePoint,
            )
        }
        Action::Clamp(wire) | Action::Trace(wire) => unless(
            vehicle
                .components
                .get(wire.index())
                .is_some_and(|c| c.is_conductor()),
            Refusal::NotAWire,
        ),
        Action::Unclip => unless(bench.clip.is_some(), Refusal::NothingClipped),
        Action::Unplug(id) | Action::Plug(id) => {
            unless(
                matches!(kind(*id), Some(Kind::Connector { .. } | Kind::Strap(_))),
                Refusal::NotAConnector,
            )?;
            let unplugging = matches!(action, Action::Unplug(_));
            let refusal = if unplugging {
                Refusal::AlreadyUnplugged
            } else {
                Refusal::AlreadyPlugged
            };
            unless(bench.unplugged[id.index()] != unplugging, refusal)
        }
        Action::Sense(Sense::Feel(id) | Sense::LookAt(id) | Sense::Smell(id)) => {
            unless(kind(*id).is_some(), Refusal::NotOnThisVehicle)
        }
        Action::Sense(Sense::Try(id)) => unless(
            matches!(kind(*id), Some(Kind::Consumer(_))),
            Refusal::NotAConsumer,
        ),
        Action::Sense(Sense::Ammeter) => unless(
            vehicle
                .components
                .iter()
                .any(|c| matches!(c.kind, Kind::Ammeter)),
            Refusal::NoAmmeter,
        ),
        Action::MoveArm(id) | Action::Assist(id) | Action::Hold(id) => unless(
            matches!(kind(*id), Some(Kind::Arm { .. })),
            Refusal::NotAnArm,
        ),
        Action::Loosen(id) | Action::Tighten(id) => {
            unless(
                matches!(
                    kind(*id),
                    Some(Kind::CrankNut { .. } | Kind::ConnectingLink)
                ),
                Refusal::NotUndone,
            )?;
            let loosening = matches!(action, Action::Loosen(_));
            if loosening {
                return unless(!bench.undone[id.index()], Refusal::AlreadyUndone);
            }
            // A nut that nobody undid may be loose all the same: a spanner goes on it to find out.
            let nut = matches!(kind(*id), Some(Kind::CrankNut { .. }));
            unless(nut || bench.undone[id.index()], Refusal::AlreadyTight)
        }
        Action::Wait { seconds } => unless(*seconds <= WAIT_MAX_S, Refusal::WaitTooLong),
        Action::Repair { component, way } => {
            let repairs = vehicle
                .components
                .get(component.index())
                .map_or(0, |c| c.repairs.len());
            unless(*way < repairs, Refusal::NoRepair)
        }
        Action::Note(text) => unless(text.chars().count() <= TEXT_MAX, Refusal::TextTooLong),
        Action::HandOver(write_up) => unless(
            write_up.text.chars().count() <= TEXT_MAX,
            Refusal::TextTooLong,
        ),
        Action::Sense(Sense::LookBlades | Sense::LookLinkage | Sense::Listen | Sense::Count)
        | Action::WetGlass
        | Action::Zero
        | Action::NewFuse
        | Action::Ask
        | Action::Conclude(_)
        | Action::Hint(_)
        | Action::GiveUp => Ok(()),
        Action::Suspect(suspicion) => unless(suspicion.total() <= 100, Refusal::TooSure),
        Action::Coach => unless(!bench.coached, Refusal::AlreadyCoached),
    }
}

/// Whether a wire or strap ends at a point, or it is a connector's.
fn ends_at(vehicle: &Vehicle, point: Point) -> bool {
    let node = vehicle.node(point);
    let connector = matches!(
        vehicle.component(point.component).kind,
        Kind::Connector { .. }
    );
    connector || conductors_at(vehicle, node).next().is_some()
}

/// Wires and straps with an end at a node.
pub(super) fn conductors_at(
    vehicle: &Vehicle,
    node: Node,
) -> impl Iterator<Item = ComponentId> + '_ {
    vehicle.ids().filter(move |&id| {
        let component = vehicle.component(id);
        component.is_conductor()
            && component
                .paths
                .iter()
                .any(|path| path.p == node || path.n == node)
    })
}

/// Wires and straps that end on a component, which move when it is wiggled.
pub(super) fn shaken_with(vehicle: &Vehicle, id: ComponentId) -> Vec<ComponentId> {
    let mut found: Vec<ComponentId> = vehicle
        .component(id)
        .terminals
        .iter()
        .flat_map(|terminal| conductors_at(vehicle, terminal.node))
        .filter(|&other| other != id)
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// The repair that a substitution is: what is replaced whole and by itself, and carries current.
pub(super) fn substitute_way(vehicle: &Vehicle, id: ComponentId) -> Option<usize> {
    let component = vehicle.components.get(id.index())?;
    let separate = component.has_replacement() && component.part_of.is_none();
    let replace = |repair: &crate::vehicle::Repair| repair.name.as_str() == "replace";
    separate
        .then(|| component.repairs.iter().position(replace))
        .flatten()
}
