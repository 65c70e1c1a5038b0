//! Random runs: any variant of any vehicle on any glass, its controls moved, plugs, nuts and links undone, meters put
//! on, arms helped along, at random moments.

use std::cell::Cell;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Gate, Kind, Node, Point, Vehicle};
use groundside_engine::world::Followed;

use super::by_hand::{NAIVE, closely};
use super::pair::{Deed, Held, Run};
use super::supply;
use crate::coverage::known;
use crate::fleet::{Variant, variants};
use crate::ledger::{Known, Ledger, Scope};
use crate::space::Choice;

crate::checks![random_runs_are_those_of_the_naive_vehicle];

/// Share of the runs that may be left out because a hair decides; of a few runs one may.
const UNSETTLED_MAX: f64 = 0.02;

/// Everything that can be put in a position, undone, unplugged, helped.
pub(super) struct Handles {
    pub(super) controls: Vec<(ComponentId, usize)>,
    pub(super) key: Option<(ComponentId, usize)>,
    pub(super) wiper: Option<(ComponentId, usize)>,
    pub(super) undone: Vec<ComponentId>,
    pub(super) plugs: Vec<ComponentId>,
    pub(super) arms: Vec<ComponentId>,
    pub(super) points: Vec<Point>,
}

impl Handles {
    pub(super) fn of(vehicle: &Vehicle) -> Self {
        let ids = |wanted: &dyn Fn(ComponentId) -> bool| {
            vehicle.ids().filter(|&id| wanted(id)).collect::<Vec<_>>()
        };
        let kind = |id| &vehicle.component(id).kind;
        let last = |id: ComponentId| (id, vehicle.component(id).positions().len() - 1);
        Self {
            controls: vehicle.controls().map(|(id, _)| last(id)).collect(),
            key: vehicle.control("key").map(last),
            wiper: vehicle.control("wiper").map(last),
            undone: ids(&|id| matches!(kind(id), Kind::CrankNut { .. } | Kind::ConnectingLink)),
            plugs: ids(&|id| {
                let paths = &vehicle.component(id).paths;
                paths.iter().any(|path| path.gate == Gate::Mated)
            }),
            arms: ids(&|id| matches!(kind(id), Kind::Arm { .. })),
            points: vehicle.points().collect(),
        }
    }

    fn nodes(&self, vehicle: &Vehicle, choice: &mut Choice) -> (Node, Node) {
        let mut node = || vehicle.node(choice.one_of(&self.points));
        (node(), node())
    }
}

/// How long one stays with what was done: mostly watched closely, now and then left alone for as long as a breaker
/// takes, in rows long enough for the engine to leap.
fn stay(choice: &mut Choice) -> Deed {
    match choice.index(12) {
        0 => Deed::Wait {
            rows: 4,
            row_s: 10.0,
        },
        1 | 2 => Deed::Wait {
            rows: 40,
            row_s: 0.1,
        },
        _ => {
            // Not whole seconds, so that the next deed finds the blades anywhere.
            let rows = 30 + u32::try_from(choice.index(200)).unwrap_or(0);
            Deed::Wait { rows, row_s: 0.01 }
        }
    }
}

/// One thing done.
fn deed(vehicle: &Vehicle, handles: &Handles, choice: &mut Choice) -> Option<Deed> {
    let position = |choice: &mut Choice, (id, last): (ComponentId, usize)| {
        Deed::Set(id, choice.index(last + 1))
    };
    match choice.index(16) {
        0..8 => handles.wiper.map(|wiper| position(choice, wiper)),
        8 => handles.key.map(|(key, last)| Deed::Set(key, last)),
        9 | 10 => {
            let control = choice_of(&handles.controls, choice)?;
            Some(position(choice, control))
        }
        11 => Some(Deed::Undo(choice_of(&handles.undone, choice)?)),
        12 => Some(Deed::Unplug(
            choice_of(&handles.plugs, choice)?,
            choice.once_in(2),
        )),
        13 => Some(Deed::Assist(if choice.once_in(3) {
            None
        } else {
            choice_of(&handles.arms, choice)
        })),
        14 => Some(Deed::Meter(None)),
        _ => Some(Deed::Meter(Some(handles.nodes(vehicle, choice)))),
    }
}

/// One of a list, if there is one.
pub(super) fn choice_of<T: Copy>(list: &[T], choice: &mut Choice) -> Option<T> {
    (!list.is_empty()).then(|| choice.one_of(list))
}

/// A random run of a variant.
fn run(variant: &Variant, number: u32) -> Run {
    let vehicle = &variant.vehicle;
    let what = format!("run {number}, {}, {}", vehicle.id, variant.name);
    let mut choice = Choice::of(&what);
    let handles = Handles::of(vehicle);
    let glass = choice.one_of(&[Glass::Dry, Glass::Wet, Glass::Wet, Glass::Streaming]);
    let angle = choice.unit() * std::f64::consts::TAU;
    let mut deeds = vec![Deed::TurnShaft(angle)];
    deeds.extend(handles.key.map(|(key, last)| Deed::Set(key, last)));
    let first = handles
        .wiper
        .map(|(wiper, last)| (wiper, 1 + choice.index(last)));
    deeds.extend(first.map(|(wiper, position)| Deed::Set(wiper, position)));
    deeds.push(stay(&mut choice));
    for _ in 0..3 + choice.index(6) {
        deeds.extend(deed(vehicle, &handles, &mut choice));
        deeds.push(stay(&mut choice));
    }
    deeds.push(closely(1));
    let mut follow = supply(vehicle);
    let paths: Vec<(ComponentId, usize)> = vehicle
        .ids()
        .flat_map(|id| (0..vehicle.component(id).paths.len()).map(move |path| (id, path)))
        .collect();
    let (component, path) = choice.one_of(&paths);
    follow.push(Followed::Current(component, path));
    for _ in 0..2 {
        let (red, black) = handles.nodes(vehicle, &mut choice);
        follow.push(Followed::Voltage(red, black));
    }
    Run {
        what: format!("{what}, {}", glass.word()),
        vehicle: vehicle.clone(),
        glass,
        deeds,
        follow,
    }
}

fn random_runs_are_those_of_the_naive_vehicle(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    let known = known(ledger);
    let fleet: Vec<Variant> = known.iter().flat_map(variants).collect();
    let runs = match ledger.scope() {
        Scope::Sample => 12,
        Scope::Sweep => 200,
        Scope::Full => 1000,
    };
    let unsettled = Cell::new(0_u32);
    let mut choice = Choice::of("variants of random runs");
    for number in 0..runs {
        let run = run(&fleet[choice.index(fleet.len())], number);
        if run.hold(ledger) == Held::Unsettled {
            unsettled.set(unsettled.get() + 1);
        }
    }
    let most = (UNSETTLED_MAX * f64::from(runs)).max(1.0);
    let told = format_args!("{} of {runs} runs hang on a hair", unsettled.get());
    ledger.holds(told, f64::from(unsettled.get()) <= most);
}
