//! What could hurt: told from what the person has set, plugged and is about to do, never
//! from what is wrong with the vehicle. The caution comes before the act; going on counts.

use super::foreseen::met;
use super::leads::{JUMPER_FUSE, JUMPER_OHM, METER_FUSE, jumper, jumpers, shunt};
use super::{Action, Bench, Measurement, Sense};
use crate::quantity::{AngularVelocity, Current, Minutes, Resistance, Voltage};
use crate::vehicle::{
    Circuit, ComponentId, CoverId, EXPLAIN, Instrument, Kind, Node, Point, Region, Setting, Vehicle,
};

/// Volts over a load from which a point counts as having supply: leaks alone drive nothing.
pub(super) const LIVE_V: f64 = 0.5;
/// A shaft at rest.
pub(super) const STILL: AngularVelocity = AngularVelocity::from_radians_per_second(0.0);
/// The load.
const LOAD: Resistance = Resistance::from_ohms(1000.0);
/// Resistance between two points below which the circuit is closed there: wires, plugs and switches have
/// hundredths of an ohm, motors and lamps more than half an ohm (judgement).
const CLOSED: Resistance = Resistance::from_ohms(0.5);
/// Current from which a contact that parts or closes sparks: less is drawn by nothing that is switched on (judgement).
const SPARK: Current = Current::from_amperes(0.5);
/// Current in a lead, as a multiple of its fuse's rating, that nothing but a short draws: a motor that
/// starts draws less than twice the rating.
const SHORT_SHARE: f64 = 2.0;
/// Minutes for which a motor may be left on a supply without a breaker: one that stalls in HIGH smells
/// after that.
pub(super) const UNPROTECTED: Minutes = Minutes::from_hundredths(200);

/// How much going on counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gravity {
    /// Bad habit, or something that spoils things.
    Minor,
    /// Someone can be hurt.
    Major,
}

/// Something that can hurt a person or the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hazard {
    /// Hands at a linkage or an arm that can start by itself: the key is on and the motor connected, or a
    /// lead feeds it. A breaker that closes again starts the blades without a hand on the switch.
    HandsInLiveLinkage,
    /// Hands at the engine while it runs: belts and fan.
    HandsAtRunningEngine,
    /// An ohmmeter on a circuit that has supply: the reading is nonsense and the meter may suffer.
    OhmsOnLiveCircuit,
    /// An ammeter across a supply instead of in series with a load: its fuse blows.
    AmmeterAcrossSupply,
    /// Pulling or making a connector under supply: it sparks and spoils the pins.
    ConnectorUnderSupply,
    /// The strap off the battery while the engine runs: what the alternator drove into the battery has nowhere to
    /// go, and its volts shoot up.
    BatteryOffWhileCharging,
    /// The strap off the battery, or back on, while something is switched on: it sparks at a post, where a battery
    /// gives off hydrogen.
    BatteryUnderLoad,
    /// Taking parts out with the key on.
    RepairUnderSupply,
    /// A jumper lead whose live end goes on first: the bare other end arcs on whatever it touches.
    LiveEndFirst,
    /// A jumper lead from supply to ground: its fuse blows.
    JumperOntoGround,
    /// A jumper lead that feeds a terminal which the park contact grounds once the motor is at park.
    JumperOntoPark,
    /// A motor left for two minutes or more on a supply that no breaker protects: if it stalls, it burns.
    UnprotectedMotor,
    /// A probe in the open contact of a connector once more: it spreads it.
    ProbeInContact,
    /// The crank done up before the motor has run to park: the blades come to rest elsewhere from then on.
    RefitOutOfPark,
}

impl Hazard {
    /// All hazards.
    pub const ALL: [Self; 14] = [
        Self::HandsInLiveLinkage,
        Self::HandsAtRunningEngine,
        Self::OhmsOnLiveCircuit,
        Self::AmmeterAcrossSupply,
        Self::ConnectorUnderSupply,
        Self::BatteryOffWhileCharging,
        Self::BatteryUnderLoad,
        Self::RepairUnderSupply,
        Self::LiveEndFirst,
        Self::JumperOntoGround,
        Self::JumperOntoPark,
        Self::UnprotectedMotor,
        Self::ProbeInContact,
        Self::RefitOutOfPark,
    ];

    /// How much it counts.
    #[must_use]
    pub const fn gravity(self) -> Gravity {
        match self {
            Self::HandsInLiveLinkage | Self::HandsAtRunningEngine => Gravity::Major,
            Self::OhmsOnLiveCircuit
            | Self::AmmeterAcrossSupply
            | Self::ConnectorUnderSupply
            | Self::BatteryOffWhileCharging
            | Self::BatteryUnderLoad
            | Self::RepairUnderSupply
            | Self::LiveEndFirst
            | Self::JumperOntoGround
            | Self::JumperOntoPark
            | Self::UnprotectedMotor
            | Self::ProbeInContact
            | Self::RefitOutOfPark => Gravity::Minor,
        }
    }

    /// The word used in output.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::HandsInLiveLinkage => "hands-in-live-linkage",
            Self::HandsAtRunningEngine => "hands-at-running-engine",
            Self::OhmsOnLiveCircuit => "ohms-on-live-circuit",
            Self::AmmeterAcrossSupply => "ammeter-across-supply",
            Self::ConnectorUnderSupply => "connector-under-supply",
            Self::BatteryOffWhileCharging => "battery-off-while-charging",
            Self::BatteryUnderLoad => "battery-under-load",
            Self::RepairUnderSupply => "repair-under-supply",
            Self::LiveEndFirst => "live-end-first",
            Self::JumperOntoGround => "jumper-onto-ground",
            Self::JumperOntoPark => "jumper-onto-park",
            Self::UnprotectedMotor => "unprotected-motor",
            Self::ProbeInContact => "probe-in-contact",
            Self::RefitOutOfPark => "refit-out-of-park",
        }
    }
}

/// What to bear in mind at a piece of work that is right to do. It is told, and counts for nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Advice {
    /// A jumper lead: the motor's end first, the battery's last, a few seconds at a time.
    JumperLead,
    /// A battery under a test load.
    BatteryGas,
    /// A lifted arm snaps back onto the glass.
    LiftedArm,
    /// A hand on an arm that moves.
    HandOnMovingArm,
    /// An arm that is held, and a motor that stalls meanwhile.
    StalledMotor,
    /// A motor that has stalled is hot.
    HotMotor,
    /// An ammeter beside a circuit that is closed shows a part of the current.
    AmmeterBesideCircuit,
    /// A load lamp and its leads get hot, and spark as they go on.
    HotLamp,
    /// Water on glass that may be cold.
    ColdGlass,
}

impl Advice {
    /// All advice.
    pub const ALL: [Self; 9] = [
        Self::JumperLead,
        Self::BatteryGas,
        Self::LiftedArm,
        Self::HandOnMovingArm,
        Self::StalledMotor,
        Self::HotMotor,
        Self::AmmeterBesideCircuit,
        Self::HotLamp,
        Self::ColdGlass,
    ];

    /// The word used in output.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::JumperLead => "jumper-lead",
            Self::BatteryGas => "battery-gas",
            Self::LiftedArm => "lifted-arm",
            Self::HandOnMovingArm => "hand-on-moving-arm",
            Self::StalledMotor => "stalled-motor",
            Self::HotMotor => "hot-motor",
            Self::AmmeterBesideCircuit => "ammeter-beside-circuit",
            Self::HotLamp => "hot-lamp",
            Self::ColdGlass => "cold-glass",
        }
    }
}

/// The advice that belongs to an action as things stand on the bench.
pub(super) fn advice(action: &Action, bench: &Bench, vehicle: &Vehicle) -> Option<Advice> {
    let motor = |id: ComponentId| matches!(vehicle.component(id).kind, Kind::Motor(_));
    match action {
        Action::Measure {
            what: Measurement::Amps,
            red,
            black,
        } => is_closed(*red, *black, bench, vehicle).then_some(Advice::AmmeterBesideCircuit),
        Action::Measure {
            what: Measurement::Load,
            ..
        } => Some(Advice::HotLamp),
        Action::WetGlass => Some(Advice::ColdGlass),
        Action::Jumper { .. } => Some(Advice::JumperLead),
        Action::BatteryTest => Some(Advice::BatteryGas),
        Action::MoveArm(_) => Some(Advice::LiftedArm),
        Action::Assist(_) => Some(Advice::HandOnMovingArm),
        Action::Hold(_) => Some(Advice::StalledMotor),
        Action::Sense(Sense::Feel(id)) if motor(*id) => Some(Advice::HotMotor),
        _ => None,
    }
}

/// The hazards of an action that takes some minutes, as things stand on the bench.
///
/// `opened` are the covers that come off for it.
pub(super) fn hazards(
    action: &Action,
    minutes: Minutes,
    opened: &[CoverId],
    bench: &Bench,
    vehicle: &Vehicle,
) -> Vec<Hazard> {
    let mut found = Vec::new();
    let mut add = |hazard: Hazard, here: bool| {
        if here {
            found.push(hazard);
        }
    };
    let talks = explains(action, vehicle);
    let at_hand = touched(action).filter(|_| !talks);
    let moves = |id: ComponentId| {
        let region = vehicle.component(id).region;
        matches!(region, Region::Motor | Region::Linkage)
    };
    let at_arms = |cover: &CoverId| vehicle.layout.covers[cover.index()].takes_arms;
    let arms = matches!(action, Action::Remove(cover) | Action::Fit(cover) if at_arms(cover));
    let hands_there = at_hand.is_some_and(moves) || arms || opened.iter().any(at_arms);
    let live_linkage = hands_there && motor_has_supply(bench, vehicle);
    add(Hazard::HandsInLiveLinkage, live_linkage);
    let by_the_engine = at_hand.is_some_and(|id| by_running_engine(id, bench, vehicle));
    add(Hazard::HandsAtRunningEngine, by_the_engine);
    match action {
        Action::Measure { what, red, black } => {
            let live = what.has_source() && measures_live(*red, *black, bench, vehicle);
            add(Hazard::OhmsOnLiveCircuit, live);
            let across = *what == Measurement::Amps
                && shorts(shunt(vehicle, *red, *black), METER_FUSE, bench, vehicle).contains(&true);
            add(Hazard::AmmeterAcrossSupply, across);
            add(
                Hazard::ProbeInContact,
                goes_in_again([*red, *black], bench, vehicle),
            );
        }
        Action::Clip { red, black } => add(
            Hazard::ProbeInContact,
            goes_in_again([*red, *black], bench, vehicle),
        ),
        Action::Jumper { first, second } => {
            let leads = whole_leads(bench, vehicle);
            let setting = setting(bench, vehicle);
            let live = has_supply(vehicle, &setting, &leads, vehicle.node(*first));
            add(Hazard::LiveEndFirst, live);
            let lead = jumper(vehicle, *first, *second).instrument;
            let [parked, on_the_way] = shorts(lead, JUMPER_FUSE, bench, vehicle);
            add(Hazard::JumperOntoGround, on_the_way);
            add(Hazard::JumperOntoPark, parked && !on_the_way);
        }
        Action::Tighten(part) => {
            let crank = matches!(vehicle.component(*part).kind, Kind::CrankNut { .. });
            let off = bench.undone[part.index()];
            add(Hazard::RefitOutOfPark, crank && off && !bench.run_to_park);
        }
        Action::Repair { component, .. } if !live_linkage && !talks => add(
            Hazard::RepairUnderSupply,
            under_supply(*component, bench, vehicle),
        ),
        Action::Substitute(part) | Action::PutBack(part) => add(
            Hazard::RepairUnderSupply,
            under_supply(*part, bench, vehicle),
        ),
        Action::Unplug(part) | Action::Plug(part) => {
            add(
                Hazard::ConnectorUnderSupply,
                under_supply(*part, bench, vehicle),
            );
        }
        _ => {}
    }
    let comes_off = takes_battery_off(action, bench, vehicle);
    let charging = comes_off.is_some() && bench.engine_runs(vehicle);
    add(Hazard::BatteryOffWhileCharging, charging);
    let goes_on = match action {
        Action::Plug(part) => vehicle.battery_strap().filter(|strap| strap == part),
        _ => None,
    };
    let worked = comes_off.or(goes_on).filter(|_| !charging);
    let sparks = worked.is_some_and(|strap| strap_carries(strap, bench, vehicle));
    add(Hazard::BatteryUnderLoad, sparks);
    // What takes leads or supply off is what the caution asks for.
    let left_on = || {
        let mut after = bench.clone();
        after.note(action, vehicle);
        !after.jumpers.is_empty() && feeds_past_breakers(&after, vehicle)
    };
    let left_alone = !bench.jumpers.is_empty()
        && bench.unprotected().plus(minutes) >= UNPROTECTED
        && feeds_past_breakers(bench, vehicle)
        && left_on();
    add(Hazard::UnprotectedMotor, left_alone);
    found
}

/// Whether current goes through a sound vehicle's motor with all its breakers open, be they before it or in it.
pub(super) fn feeds_past_breakers(bench: &Bench, vehicle: &Vehicle) -> bool {
    let setting = breakers_open(setting(bench, vehicle), vehicle);
    // A sound vehicle has a solution; if it had none, a caution too many would do no harm.
    let Ok(response) = Circuit::new(vehicle, &setting, &whole_leads(bench, vehicle)).response()
    else {
        return true;
    };
    let carries = |id: ComponentId| {
        let paths = 0..vehicle.component(id).paths.len();
        let places = paths.filter_map(|path| response.element_of(id, path));
        let amperes = places.map(|place| response.current(place).at_rest.abs());
        amperes.fold(0.0, f64::max) > SPARK.amperes()
    };
    let motor = |id: &ComponentId| matches!(vehicle.component(*id).kind, Kind::Motor(_));
    vehicle.ids().filter(motor).any(carries)
}

fn breakers_open(mut setting: Setting, vehicle: &Vehicle) -> Setting {
    for id in vehicle.ids() {
        setting.tripped[id.index()] |= matches!(vehicle.component(id).kind, Kind::Breaker(_));
    }
    setting
}

/// Whether a sound vehicle joins two points by less than any load has: contacts, wires, plugs.
fn is_closed(red: Point, black: Point, bench: &Bench, vehicle: &Vehicle) -> bool {
    let setting = setting(bench, vehicle);
    let leads = whole_leads(bench, vehicle);
    let source = Circuit::new(vehicle, &setting, &leads).seen_by_meter();
    source.is_ok_and(|source| source.between(vehicle.node(red), vehicle.node(black)) < CLOSED)
}

/// Whether an action is only told to the customer.
fn explains(action: &Action, vehicle: &Vehicle) -> bool {
    matches!(action, Action::Repair { component, way } if vehicle.explains(*component, *way))
}

/// The component that hands work on, if any; a probe, a clamp and a nose keep off what moves.
const fn touched(action: &Action) -> Option<ComponentId> {
    match action {
        Action::MoveArm(part)
        | Action::Loosen(part)
        | Action::Tighten(part)
        | Action::Wiggle(part)
        | Action::Tug(Point {
            component: part, ..
        })
        | Action::Substitute(part)
        | Action::PutBack(part)
        | Action::Sense(Sense::Feel(part))
        | Action::Repair {
            component: part, ..
        } => Some(*part),
        _ => None,
    }
}

/// Whether a component is where the engine runs.
fn by_running_engine(id: ComponentId, bench: &Bench, vehicle: &Vehicle) -> bool {
    let here = |engine| vehicle.component(engine).place == vehicle.component(id).place;
    bench.engine_runs(vehicle) && vehicle.engines().any(here)
}

/// Whether a probe goes into an open contact that one has been in.
fn goes_in_again(leads: [Point; 2], bench: &Bench, vehicle: &Vehicle) -> bool {
    let again = |at: &Point| bench.is_bare(*at, vehicle) && bench.times_probed(*at) > 0;
    leads.iter().any(again)
}

/// Whether a lead on a sound vehicle at rest would carry what only a short draws: parked, and with the park
/// contact on the way.
fn shorts(lead: Instrument, fuse: Current, bench: &Bench, vehicle: &Vehicle) -> [bool; 2] {
    [true, false].map(|parked| {
        let mut setting = setting(bench, vehicle);
        setting.cam_inside = parked;
        let mut leads = whole_leads(bench, vehicle);
        leads.push(lead);
        // A sound vehicle has a solution; if it had none, a caution too many would do no harm.
        let Ok(response) = Circuit::new(vehicle, &setting, &leads).response() else {
            return true;
        };
        let current = response.current(response.elements().len() - 1);
        current.at_rest.abs() > SHORT_SHARE * fuse.amperes()
    })
}

/// Whether a lead from a node of a vehicle at rest loses its fuse as its other end touches metal: what comes through a
/// winding or a bad joint blows none.
pub(super) fn touch_blows(
    vehicle: &Vehicle,
    setting: &Setting,
    leads: &[Instrument],
    node: Node,
) -> bool {
    let touching = Instrument {
        red: node,
        black: vehicle.body,
        resistance: JUMPER_OHM,
        emf: Voltage::ZERO,
    };
    if node == vehicle.body {
        return false;
    }
    let leads = [leads, &[touching]].concat();
    // A sound vehicle has a solution; if it had none, a caution too many would do no harm.
    let Ok(response) = Circuit::new(vehicle, setting, &leads).response() else {
        return true;
    };
    let current = response.current(response.elements().len() - 1);
    current.at_rest.abs() > SHORT_SHARE * JUMPER_FUSE.amperes()
}

/// The leads that are on and whole, as the circuit sees them: what a lead cannot carry any more is no danger.
pub(super) fn whole_leads(bench: &Bench, vehicle: &Vehicle) -> Vec<Instrument> {
    let leads = jumpers(bench, vehicle).into_iter().zip(&bench.leads_blown);
    let whole = leads.filter(|(_, blown)| !**blown);
    whole.map(|(lead, _)| lead.instrument).collect()
}

/// Whether the fuse of a lead blows on a sound vehicle as the lead is put on: its live end went on first, or it
/// joins supply to ground. What only the park contact grounds may come there later, and counts as whole.
pub(super) fn blows(first: Point, second: Point, bench: &Bench, vehicle: &Vehicle) -> bool {
    let leads = whole_leads(bench, vehicle);
    let lead = jumper(vehicle, first, second).instrument;
    touch_blows(
        vehicle,
        &setting(bench, vehicle),
        &leads,
        vehicle.node(first),
    ) || shorts(lead, JUMPER_FUSE, bench, vehicle)[1]
}

/// Whether any end of a component has supply on a sound vehicle as things are set. The battery's own strap is what takes
/// supply off, and has cautions of its own. The battery itself is charged as it stands.
fn under_supply(component: ComponentId, bench: &Bench, vehicle: &Vehicle) -> bool {
    let part = vehicle.component(component);
    if matches!(part.kind, Kind::Strap(_) | Kind::Battery(_)) {
        return false;
    }
    let setting = setting(bench, vehicle);
    let leads = whole_leads(bench, vehicle);
    part.paths.iter().any(|path| {
        [path.p, path.n]
            .into_iter()
            .any(|node| has_supply(vehicle, &setting, &leads, node))
    })
}

/// The strap that comes off the battery, where it is on: by itself, or for a repair of it or of the battery, which is
/// charged as it stands.
pub(super) fn takes_battery_off(
    action: &Action,
    bench: &Bench,
    vehicle: &Vehicle,
) -> Option<ComponentId> {
    let strap = vehicle.battery_strap()?;
    if let Action::Unplug(part) = action {
        return (*part == strap).then_some(strap);
    }
    let Action::Repair { component, way } = action else {
        return None;
    };
    let part = vehicle.component(*component);
    let stays = part
        .repairs
        .get(*way)
        .is_none_or(|repair| ["charge", EXPLAIN].contains(&repair.name.as_str()));
    let of_battery = *component == strap || matches!(part.kind, Kind::Battery(_));
    (of_battery && !stays && !bench.unplugged[strap.index()]).then_some(strap)
}

/// Whether the battery's strap of a sound vehicle carries what sparks as it parts or closes, once it is on.
fn strap_carries(strap: ComponentId, bench: &Bench, vehicle: &Vehicle) -> bool {
    let mut on = bench.clone();
    on.unplugged[strap.index()] = false;
    let setting = setting(&on, vehicle);
    // A sound vehicle has a solution; if it had none, a caution too many would do no harm.
    let Ok(response) = Circuit::new(vehicle, &setting, &whole_leads(bench, vehicle)).response()
    else {
        return true;
    };
    let carries = |place| response.current(place).at_rest.abs() > SPARK.amperes();
    response.element_of(strap, 0).is_some_and(carries)
}

/// The setting of a sound vehicle at rest.
pub(super) fn setting(bench: &Bench, vehicle: &Vehicle) -> Setting {
    let mut setting = Setting::at_rest(vehicle);
    setting.positions.clone_from(&bench.positions);
    if !bench.engine_runs(vehicle) {
        for engine in vehicle.engines() {
            setting.positions[engine.index()] = 0;
        }
    }
    setting.unplugged.clone_from(&bench.unplugged);
    // A sound vehicle has a solution; if it had none, its relays would be taken to be at rest.
    let _ = setting.settle(vehicle, &whole_leads(bench, vehicle));
    setting
}

/// Whether two points of a sound vehicle have supply as things are set, be it by turns from the park contact or as the
/// EMF of a motor that runs, or drive current between them by themselves, as the battery does with its strap off.
fn measures_live(red: Point, black: Point, bench: &Bench, vehicle: &Vehicle) -> bool {
    let leads = whole_leads(bench, vehicle);
    let (red, black) = (vehicle.node(red), vehicle.node(black));
    let to_ground = [Node::REFERENCE, vehicle.body];
    met(bench, vehicle).iter().any(|(setting, speeds)| {
        speeds.iter().any(|&speed| {
            let at =
                |node, others: &[Node]| drives(vehicle, (setting, speed), &leads, node, others);
            at(red, &[black]) || at(red, &to_ground) || at(black, &to_ground)
        })
    })
}

/// Whether a node of a vehicle at rest drives current both to the battery's negative post and to the
/// body: with the strap between them off, nothing does.
pub(crate) fn has_supply(
    vehicle: &Vehicle,
    setting: &Setting,
    leads: &[Instrument],
    node: Node,
) -> bool {
    let to_ground = [Node::REFERENCE, vehicle.body];
    drives(vehicle, (setting, STILL), leads, node, &to_ground)
}

/// Whether a node of a vehicle whose shaft turns so fast drives current through a load to each of some others.
fn drives(
    vehicle: &Vehicle,
    (setting, speed): (&Setting, AngularVelocity),
    leads: &[Instrument],
    node: Node,
    others: &[Node],
) -> bool {
    let circuit = Circuit::new(vehicle, setting, leads);
    // A sound vehicle has a solution; if it had none, a caution too many would do no harm.
    let (Ok(source), Ok(response)) = (circuit.seen_by_meter(), circuit.response()) else {
        return true;
    };
    others.iter().all(|&other| {
        let load = LOAD / (LOAD + source.between(node, other));
        let volts = response.voltage(node, other);
        volts.at(speed.radians_per_second()).abs() * load > LIVE_V
    })
}

/// Whether the motor of a sound vehicle has supply as things are set: it can then start by itself.
fn motor_has_supply(bench: &Bench, vehicle: &Vehicle) -> bool {
    let setting = setting(bench, vehicle);
    let leads = whole_leads(bench, vehicle);
    let motors = vehicle
        .components
        .iter()
        .filter(|part| matches!(part.kind, Kind::Motor(_)));
    let to_ground = [Node::REFERENCE, vehicle.body];
    motors.flat_map(|motor| &motor.terminals).any(|terminal| {
        drives(
            vehicle,
            (&setting, STILL),
            &leads,
            terminal.node,
            &to_ground,
        )
    })
}
