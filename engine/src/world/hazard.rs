//! What could hurt: told from what the person has set, plugged and is about to do, never
//! from what is wrong with the vehicle. The caution comes before the act; going on counts.

use super::foreseen::met;
use super::leads::{JUMPER_FUSE, METER_FUSE, jumper, shunt};
use super::supply::{
    drives, feeds_past_breakers, has_supply, is_closed, leads_short, motor_has_supply, setting,
    shorts, strap_carries, under_supply, whole_leads,
};
use super::{Action, Bench, Measurement, Sense};
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, CoverId, EXPLAIN, Kind, Node, Point, Region, Vehicle};

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
    /// Work beside a linkage that moves, or may start to.
    BesideLinkage,
}

impl Advice {
    /// All advice.
    pub const ALL: [Self; 10] = [
        Self::JumperLead,
        Self::BatteryGas,
        Self::LiftedArm,
        Self::HandOnMovingArm,
        Self::StalledMotor,
        Self::HotMotor,
        Self::AmmeterBesideCircuit,
        Self::HotLamp,
        Self::ColdGlass,
        Self::BesideLinkage,
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
            Self::BesideLinkage => "beside-linkage",
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
        _ => works_beside_linkage(action, bench, vehicle).then_some(Advice::BesideLinkage),
    }
}

/// Whether leads, a clamp, hands, eyes or a cover are handled where a motor that has supply moves a linkage, or may.
fn works_beside_linkage(action: &Action, bench: &Bench, vehicle: &Vehicle) -> bool {
    let moves = |id: ComponentId| {
        let kind = &vehicle.component(id).kind;
        matches!(
            kind,
            Kind::Motor(_) | Kind::Linkage(_) | Kind::CrankNut { .. }
        )
    };
    let behind = |cover: CoverId| {
        let mut parts = vehicle.ids();
        parts.any(|id| moves(id) && vehicle.component(id).cover == Some(cover))
    };
    let beside = |id: ComponentId| moves(id) || vehicle.component(id).cover.is_some_and(behind);
    let linkage = || {
        vehicle
            .ids()
            .any(|id| matches!(vehicle.component(id).kind, Kind::Linkage(_)))
    };
    let there = match action {
        Action::Measure { red, black, .. } | Action::Clip { red, black } => {
            beside(red.component) || beside(black.component)
        }
        Action::Clamp(part)
        | Action::Trace(part)
        | Action::Wiggle(part)
        | Action::Unplug(part)
        | Action::Plug(part)
        | Action::Sense(Sense::LookAt(part) | Sense::Smell(part) | Sense::Feel(part)) => {
            beside(*part)
        }
        Action::Tug(point) => beside(point.component),
        Action::Sense(Sense::LookLinkage) => linkage(),
        Action::Remove(cover) | Action::Fit(cover) => behind(*cover),
        _ => false,
    };
    there && motor_has_supply(bench, vehicle)
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
                && shorts(shunt(vehicle, *red, *black), METER_FUSE, bench, vehicle).any();
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
            let shorts = shorts(lead, JUMPER_FUSE, bench, vehicle);
            add(Hazard::JumperOntoGround, shorts.on_the_way);
            add(Hazard::JumperOntoPark, shorts.only_parked());
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
    let after = || {
        let mut after = bench.clone();
        after.note(action, vehicle);
        after
    };
    // Leads that carry little as things stand join supply to ground once the key is on or a plug is made.
    let set_otherwise = matches!(action, Action::Control { .. } | Action::Plug(_));
    if !bench.jumpers.is_empty() && set_otherwise {
        let more = leads_short(&after(), vehicle).beyond(leads_short(bench, vehicle));
        add(Hazard::JumperOntoGround, more.on_the_way);
        add(Hazard::JumperOntoPark, more.only_parked());
    }
    // What takes leads or supply off is what the caution asks for.
    let left_on = || {
        let after = after();
        !after.jumpers.is_empty() && feeds_past_breakers(&after, vehicle)
    };
    let left_alone = !bench.jumpers.is_empty()
        && bench.unprotected().plus(minutes) >= UNPROTECTED
        && feeds_past_breakers(bench, vehicle)
        && left_on();
    add(Hazard::UnprotectedMotor, left_alone);
    found
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
