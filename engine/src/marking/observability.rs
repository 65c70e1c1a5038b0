//! Which checks tell each fault from a sound vehicle, beyond the noise of reading and beyond what sound
//! vehicles of one make differ by.
//!
//! Looking, measuring and clamping in every position come from the dictionary's predictions; everything
//! else that can be done at the bench is done for real on a copy of the vehicle.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::dictionary::{Candidate, candidates};
use super::entry::Entry;
use super::parallel;
use super::{MarkingError, Progress};
use crate::attempt::{Assignment, world_of};
use crate::quantity::Angle;
use crate::vehicle::{
    ComponentId, CoverId, Fault, Gate, Kind, Node, Path, Point, Region, Roles, Vehicle,
};
use crate::world::{Action, Bench, Chance, Measurement, Observable, Sense, WARM_RUN_S, World};

/// Standard deviations from which a reading tells.
const TELLS_SD: f64 = 3.0;
/// What stands for a reading that there is on one vehicle and not on the other.
const ON_ONE_ONLY_SD: f64 = 100.0;
/// Where in its range a severity is tried: a mild case, a middling one and a bad one.
pub const SEVERITIES: [f64; 3] = [0.1, 0.5, 0.9];

/// A table of faults and checks.
#[derive(Clone, Debug, PartialEq)]
pub struct Observability {
    /// The checks, each in words with the setting it is made in.
    pub checks: Vec<String>,
    /// The faults, those with a severity at each of several.
    pub faults: Vec<FaultRow>,
}

/// What tells one fault.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultRow {
    /// `component.mode` or `component.mode:severity`.
    pub fault: String,
    /// `component.mode`.
    pub stem: String,
    /// Its region.
    pub region: Region,
    /// Checks that tell it, by position among the checks, and how many standard deviations its reading is
    /// from a sound vehicle's, the most telling first.
    pub told_by: Vec<(usize, f64)>,
    /// The check that comes nearest to telling it, if it tells or not, and its standard deviations.
    pub nearest: Option<(usize, f64)>,
}

/// Checks made after the same preparation.
struct Round {
    setup: Vec<Action>,
    checks: Vec<Action>,
}

/// Tries every check on every fault, those with a severity at these quantiles of it.
///
/// # Errors
/// [`MarkingError`] when a vehicle with one of the faults cannot be run.
pub fn observability(
    assignment: &Assignment,
    quantiles: &[f64],
) -> Result<Observability, MarkingError> {
    observability_telling(assignment, quantiles, &|_| {})
}

/// The same, telling after each fault how many are done; it is told from several threads.
///
/// # Errors
/// Those of [`observability`].
pub fn observability_telling(
    assignment: &Assignment,
    quantiles: &[f64],
    tell: &(dyn Fn(Progress) + Sync),
) -> Result<Observability, MarkingError> {
    let sound = &assignment.sound;
    let mut listed = candidates(sound);
    // Its rounds have water and long runs of their own.
    listed.retain(|check| check.before.is_none());
    let rounds = rounds(sound);
    let mut checks: Vec<String> = listed.iter().map(|check| check.words(sound)).collect();
    for round in &rounds {
        let setup: Vec<String> = round.setup.iter().map(|step| step.words(sound)).collect();
        for check in &round.checks {
            let check = check.words(sound);
            checks.push(if setup.is_empty() {
                check
            } else {
                format!("{check} after {}", setup.join(", "))
            });
        }
    }
    let tried = |fault: Option<&Fault>| -> Result<Vec<Vec<Observable>>, MarkingError> {
        seen(assignment, fault, &listed, &rounds)
    };
    let healthy = tried(None)?;
    let all = at_severities(sound, quantiles);
    let (done, of) = (AtomicUsize::new(0), all.len());
    tell(Progress { done: 0, of });
    let faults = parallel::each(all, |fault| {
        let apart = apart(&tried(Some(&fault))?, &healthy);
        let done = done.fetch_add(1, Ordering::Relaxed) + 1;
        tell(Progress { done, of });
        let nearest = apart.first().copied();
        let told_by = apart.into_iter().filter(|(_, sd)| *sd > TELLS_SD).collect();
        let plain = Fault {
            severity: None,
            ..fault
        };
        Ok::<_, MarkingError>(FaultRow {
            fault: sound.fault_name(&fault),
            stem: sound.fault_name(&plain),
            region: sound.component(fault.component).region,
            told_by,
            nearest,
        })
    })?;
    Ok(Observability { checks, faults })
}

impl Observability {
    /// Into how many groups the checks sort the faults: of two faults in different groups some check tells one from a
    /// sound vehicle and not the other. Those that no check tells are no group.
    #[must_use]
    pub fn groups(&self) -> usize {
        let told = |row: &FaultRow| -> BTreeSet<usize> {
            row.told_by.iter().map(|(check, _)| *check).collect()
        };
        let mut groups: BTreeSet<BTreeSet<usize>> = self.faults.iter().map(told).collect();
        groups.remove(&BTreeSet::new());
        groups.len()
    }

    /// Faults that no check tells at any severity tried, as `component.mode`.
    #[must_use]
    pub fn latent(&self) -> Vec<&str> {
        let mut stems: Vec<&str> = self.faults.iter().map(|row| row.stem.as_str()).collect();
        stems.dedup();
        let told = |stem: &&str| {
            let mut rows = self.faults.iter().filter(|row| row.stem == **stem);
            rows.any(|row| !row.told_by.is_empty())
        };
        stems.retain(|stem| !told(stem));
        stems
    }
}

/// Every fault, those with a severity at several.
fn at_severities(sound: &Vehicle, quantiles: &[f64]) -> Vec<Fault> {
    let mut list = Vec::new();
    for (component, mode, data) in sound.faults() {
        let severities = match data.severity {
            None => vec![None],
            Some(law) => quantiles
                .iter()
                .map(|&quantile| Some(law.at(quantile)))
                .collect(),
        };
        list.extend(severities.into_iter().map(|severity| Fault {
            component,
            mode,
            severity,
        }));
    }
    list
}

/// What every check shows on one vehicle.
fn seen(
    assignment: &Assignment,
    fault: Option<&Fault>,
    listed: &[Candidate],
    rounds: &[Round],
) -> Result<Vec<Vec<Observable>>, MarkingError> {
    let shaft = Angle::ZERO;
    let entry = Entry::of(assignment, fault.map(Into::into), shaft)?;
    let mut all: Vec<Vec<Observable>> = listed.iter().map(|check| entry.predict(check)).collect();
    let come_in = match fault {
        Some(fault) => {
            let chance = Chance::supposed(assignment.seed);
            world_of(
                &assignment.sound,
                fault,
                shaft,
                &assignment.scenario,
                chance,
            )?
        }
        None => {
            let conditions = crate::attempt::conditions(&assignment.scenario);
            let sound = &assignment.sound;
            let mut world = World::new(Arc::clone(sound), Arc::clone(sound), conditions)?;
            world.arrive()?;
            world
        }
    };
    // Covers come off once, with everything off, and not anew for each check with the wipers on; all but those before
    // which the arms do.
    let mut opened = come_in;
    let covers = assignment.sound.layout.covers.iter().enumerate();
    for (place, _) in covers.filter(|(_, cover)| !cover.takes_arms) {
        act(&mut opened, &Action::Remove(CoverId(place)))?;
    }
    for round in rounds {
        let mut world = opened.clone();
        for step in &round.setup {
            act(&mut world, step)?;
        }
        for check in &round.checks {
            all.push(act(&mut world.clone(), check)?);
        }
    }
    Ok(all)
}

/// Does an action; what cannot be done shows nothing, on every vehicle alike.
fn act(world: &mut World, action: &Action) -> Result<Vec<Observable>, MarkingError> {
    match world.permit(action) {
        Ok(permitted) => Ok(world.carry_out(&permitted)?.observables),
        Err(_) => Ok(Vec::new()),
    }
}

/// How far each check is from what it shows on a sound vehicle, the farthest first.
fn apart(here: &[Vec<Observable>], healthy: &[Vec<Observable>]) -> Vec<(usize, f64)> {
    let mut told: Vec<(usize, f64)> = here
        .iter()
        .zip(healthy)
        .enumerate()
        .map(|(check, (here, healthy))| (check, farthest(here, healthy)))
        .collect();
    told.sort_by(|a, b| b.1.total_cmp(&a.1));
    told
}

/// How far apart the readings of one check on two vehicles are at most, in standard deviations.
fn farthest(here: &[Observable], healthy: &[Observable]) -> f64 {
    let same = |of: &Observable, list: &[Observable]| {
        let mut found = list.iter();
        found
            .find(|other| other.quantity == of.quantity && other.subject == of.subject)
            .cloned()
    };
    let mut most: f64 = 0.0;
    for one in here {
        most = most.max(match same(one, healthy) {
            Some(other) => one.readable_apart(&other, other.quantity.tolerance(other.readable())),
            None => ON_ONE_ONLY_SD,
        });
    }
    if healthy.iter().any(|one| same(one, here).is_none()) {
        most = most.max(ON_ONE_ONLY_SD);
    }
    most
}

/// What else can be done at the bench, by what has to be done first.
fn rounds(vehicle: &Vehicle) -> Vec<Round> {
    let mut list = Vec::new();
    let Some(roles) = vehicle.roles() else {
        return list;
    };
    let Some(negative) = vehicle.point_at(Node::REFERENCE) else {
        return list;
    };
    let on = set(roles.key, roles.key_on);
    list.push(Round {
        setup: Vec::new(),
        checks: standing(vehicle),
    });
    let arms = of_kind(vehicle, |kind| matches!(kind, Kind::Arm { .. }));
    let arms: Vec<ComponentId> = arms.collect();
    let assisted: Vec<Action> = arms.iter().copied().map(Action::Assist).collect();
    let held = arms.first().copied().map(Action::Hold);
    for position in 0..vehicle.component(roles.wiper).positions().len() {
        let mut checks = under_lamps(vehicle, negative);
        if position != roles.off {
            checks.extend(motor_wires(vehicle).map(Action::Trace));
            checks.extend(assisted.iter().cloned());
        }
        if roles.speeds.first() == Some(&position) {
            checks.extend(held.clone());
        }
        let setup = vec![on.clone(), set(roles.wiper, position)];
        let at_a_glance = [Sense::LookBlades, Sense::Listen, Sense::Ammeter].map(Action::Sense);
        // Water from the can finds what leaks, and a long run what opens warm.
        for later in [
            Action::WetGlass,
            Action::Wait {
                seconds: WARM_RUN_S,
            },
        ] {
            let wet = later == Action::WetGlass;
            if wet || roles.speeds.contains(&position) {
                let setup = setup.iter().cloned().chain([later]).collect();
                let checks = at_a_glance.to_vec();
                list.push(Round { setup, checks });
            }
        }
        list.push(Round { setup, checks });
    }
    list.extend(other_keys(vehicle, &roles));
    list.extend(engine_running(vehicle, &on, negative));
    list.extend(in_place(vehicle));
    list.extend(washing(vehicle, &on));
    list.extend(wet_plugs(vehicle));
    list.extend(end_to_end(vehicle));
    list.extend(diodes(vehicle));
    list
}

fn set(component: ComponentId, position: usize) -> Action {
    Action::Control {
        component,
        position,
        at_mid_glass: false,
        by_helper: false,
    }
}

fn of_kind(vehicle: &Vehicle, wanted: fn(&Kind) -> bool) -> impl Iterator<Item = ComponentId> + '_ {
    vehicle
        .ids()
        .filter(move |&id| wanted(&vehicle.component(id).kind))
}

/// Wipers and other consumers with the key where they ought to be dead, or some of them.
fn other_keys(vehicle: &Vehicle, roles: &Roles) -> Vec<Round> {
    let consumers = of_kind(vehicle, |kind| matches!(kind, Kind::Consumer(_)));
    let tried = consumers.map(|id| Action::Sense(Sense::Try(id)));
    let mut checks = vec![
        Action::Sense(Sense::LookBlades),
        Action::Sense(Sense::Ammeter),
    ];
    checks.extend(tried);
    let first = roles.speeds.first().map(|&speed| set(roles.wiper, speed));
    let round = |position| Round {
        setup: std::iter::once(set(roles.key, position))
            .chain(first.clone())
            .collect(),
        checks: checks.clone(),
    };
    (0..roles.key_on).map(round).collect()
}

/// The engine running and everything else on: what the alternator gives and loses on its way.
fn engine_running(vehicle: &Vehicle, on: &Action, negative: Point) -> Vec<Round> {
    let engines = vehicle.engines();
    let round = |engine: ComponentId| {
        let mut setup = vec![on.clone(), set(engine, 1)];
        let consumers = of_kind(vehicle, |kind| matches!(kind, Kind::Consumer(_)));
        setup.extend(consumers.map(|id| set(id, 1)));
        let mut checks = vec![Action::Sense(Sense::Ammeter)];
        let volts = |red: Point, black: Point| Action::Measure {
            what: Measurement::Volts,
            red,
            black,
        };
        for terminal in 0..vehicle.component(engine).terminals.len() {
            let at = Point {
                component: engine,
                terminal,
            };
            checks.push(volts(at, negative));
            for wire in vehicle
                .ids()
                .filter(|&id| vehicle.component(id).is_conductor())
            {
                let ends = vehicle.component(wire).paths.first();
                let Some((p, n)) = ends.map(|path| (path.p, path.n)) else {
                    continue;
                };
                if p == vehicle.node(at) || n == vehicle.node(at) {
                    checks.push(Action::Clamp(wire));
                    let far = if p == vehicle.node(at) { n } else { p };
                    checks.extend(vehicle.point_at(far).map(|far| volts(at, far)));
                }
            }
        }
        Round { setup, checks }
    };
    engines.map(round).collect()
}

/// What is looked at, smelt, tugged, wiggled, tested and asked with everything off.
fn standing(vehicle: &Vehicle) -> Vec<Action> {
    let mut checks = vec![Action::BatteryTest, Action::Ask];
    checks.extend(vehicle.ids().map(|id| Action::Sense(Sense::LookAt(id))));
    let bench = |action: &Action| blank(vehicle).permit(action, vehicle, false).is_ok();
    checks.extend(vehicle.points().map(Action::Tug).filter(bench));
    checks.extend(vehicle.ids().map(Action::Wiggle).filter(bench));
    checks
}

/// A bench at which nothing was done.
fn blank(vehicle: &Vehicle) -> Bench {
    Bench::untouched(vehicle)
}

/// A test lamp and a load lamp from battery negative to each point at the motor and at switches.
fn under_lamps(vehicle: &Vehicle, negative: Point) -> Vec<Action> {
    let mut nodes = vec![Node::REFERENCE];
    let mut checks = Vec::new();
    for point in vehicle.points() {
        let part = vehicle.component(point.component);
        let probed = matches!(part.kind, Kind::Motor(_) | Kind::Switch { .. });
        let node = vehicle.node(point);
        if probed && !nodes.contains(&node) {
            nodes.push(node);
            for what in [Measurement::Lamp, Measurement::Load] {
                checks.push(Action::Measure {
                    what,
                    red: point,
                    black: negative,
                });
            }
        }
    }
    checks
}

/// Wires and straps on the motor's terminals that are not behind its plug.
fn motor_wires(vehicle: &Vehicle) -> impl Iterator<Item = ComponentId> + '_ {
    let motor_nodes: Vec<Node> = vehicle
        .components
        .iter()
        .filter(|part| matches!(part.kind, Kind::Motor(_)))
        .flat_map(|part| part.terminals.iter().map(|terminal| terminal.node))
        .collect();
    vehicle.ids().filter(move |&id| {
        let part = vehicle.component(id);
        part.is_conductor()
            && part
                .paths
                .iter()
                .any(|path| motor_nodes.contains(&path.p) || motor_nodes.contains(&path.n))
    })
}

/// The motor in place on fused leads, as the book plans it.
fn in_place(vehicle: &Vehicle) -> Vec<Round> {
    let Some(plan) = vehicle.in_place() else {
        return Vec::new();
    };
    let mut list: Vec<Round> = plan
        .tests
        .iter()
        .map(|test| {
            let mut checks: Vec<Action> = vec![Action::Sense(Sense::LookBlades)];
            if !test.parks() {
                checks.extend([Action::Clamp(plan.clamped), Action::Trace(plan.clamped)]);
                checks.extend([Sense::Listen, Sense::Count].map(Action::Sense));
            }
            let setup = test.actions();
            Round { setup, checks }
        })
        .collect();
    list.extend(plan.held.iter().map(|held| Round {
        setup: held.before.clone(),
        checks: vec![held.action()],
    }));
    list.extend(plan.stall.iter().map(|stall| Round {
        setup: stall.before.clone(),
        checks: vec![stall.action()],
    }));
    list
}

/// The washer at work: water, and the wipers that it calls.
fn washing(vehicle: &Vehicle, on: &Action) -> Option<Round> {
    let washer = vehicle.control("washer")?;
    let glass = of_kind(vehicle, |kind| matches!(kind, Kind::Windscreen(_)));
    let mut checks = [Sense::LookBlades, Sense::Listen]
        .map(Action::Sense)
        .to_vec();
    checks.extend(glass.map(|glass| Action::Sense(Sense::LookAt(glass))));
    Some(Round {
        setup: vec![on.clone(), set(washer, 1)],
        checks,
    })
}

/// Ohms from end to end of wires and of a switch's contacts, the battery off: what carries a signal shows no drop of
/// some ohms in its way under any load.
fn end_to_end(vehicle: &Vehicle) -> Vec<Round> {
    let Some(strap) = vehicle.battery_strap() else {
        return Vec::new();
    };
    let ohms = |path: &Path| {
        let (red, black) = (vehicle.point_at(path.p)?, vehicle.point_at(path.n)?);
        Some(Action::Measure {
            what: Measurement::Ohms,
            red,
            black,
        })
    };
    let wires = of_kind(vehicle, |kind| matches!(kind, Kind::Wire { .. }));
    let wires = wires.flat_map(|id| &vehicle.component(id).paths);
    let mut list = vec![Round {
        setup: vec![Action::Unplug(strap)],
        checks: wires.filter_map(ohms).collect(),
    }];
    let switches = of_kind(vehicle, |kind| matches!(kind, Kind::Switch { .. }));
    for switch in switches {
        let part = vehicle.component(switch);
        for position in 0..part.positions().len() {
            let closed =
                |path: &&Path| matches!(&path.gate, Gate::Position(at) if at.contains(&position));
            list.push(Round {
                setup: vec![Action::Unplug(strap), set(switch, position)],
                checks: part.paths.iter().filter(closed).filter_map(ohms).collect(),
            });
        }
    }
    list
}

/// Plugs on a component that water has run over, taken apart: ohms from what they feed to the body.
fn wet_plugs(vehicle: &Vehicle) -> Vec<Round> {
    let roles = vehicle.roles();
    let (Some(strap), Some(body)) = (vehicle.battery_strap(), vehicle.point_at(vehicle.body))
    else {
        return Vec::new();
    };
    let plugs = of_kind(vehicle, |kind| {
        matches!(kind, Kind::Connector { mates: Some(_) })
    });
    // Out on the glass: at home the park contact is a path to the body of its own.
    let mut out = Vec::new();
    if let Some((roles, &speed)) = roles
        .as_ref()
        .and_then(|roles| Some((roles, roles.speeds.first()?)))
    {
        out.extend([set(roles.key, roles.key_on), set(roles.wiper, speed)]);
        out.push(Action::Control {
            component: roles.key,
            position: 0,
            at_mid_glass: true,
            by_helper: false,
        });
    }
    let round = |plug: ComponentId| {
        let pins = vehicle.component(plug).paths.iter();
        let ohms = |red: Point| Action::Measure {
            what: Measurement::Ohms,
            red,
            black: body,
        };
        Round {
            setup: [
                out.clone(),
                vec![
                    Action::WetGlass,
                    Action::Unplug(plug),
                    Action::Unplug(strap),
                ],
            ]
            .concat(),
            checks: pins
                .filter_map(|pin| vehicle.point_at(pin.n).map(ohms))
                .collect(),
        }
    };
    plugs.map(round).collect()
}

/// Diodes by a meter's diode range, either way, with what they lie across unplugged.
fn diodes(vehicle: &Vehicle) -> Vec<Round> {
    let round = |diode: ComponentId| {
        let path = vehicle.component(diode).paths.first()?;
        let at = |node: Node| vehicle.point_at(node);
        let (red, black) = (at(path.p)?, at(path.n)?);
        let sockets = of_kind(vehicle, |kind| {
            matches!(kind, Kind::Connector { mates: Some(_) })
        });
        let beside = |id: &ComponentId| {
            let mut pins = vehicle.component(*id).paths.iter();
            pins.any(|pin| {
                [path.p, path.n]
                    .iter()
                    .any(|node| [pin.p, pin.n].contains(node))
            })
        };
        let checks = [(red, black), (black, red)].map(|(red, black)| Action::Measure {
            what: Measurement::Diode,
            red,
            black,
        });
        Some(Round {
            setup: sockets.filter(beside).map(Action::Unplug).collect(),
            checks: checks.to_vec(),
        })
    };
    let diodes = of_kind(vehicle, |kind| matches!(kind, Kind::Diode));
    diodes.filter_map(round).collect()
}
