//! What the circuit of a sound vehicle does as things are set on the bench, its shaft at rest: where supply is, what
//! a lead would short, what sparks. Never what is wrong with the vehicle.

use super::Bench;
use super::leads::{JUMPER_FUSE, JUMPER_OHM, jumper, jumpers};
use crate::quantity::{AngularVelocity, Current, Resistance, Voltage};
use crate::vehicle::{
    Circuit, ComponentId, Instrument, Kind, Node, Point, Response, Setting, Vehicle,
};

/// Volts over a load from which a point counts as having supply: leaks alone drive nothing.
const LIVE_V: f64 = 0.5;
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

/// The leads that are on and whole, as the circuit sees them: what a lead cannot carry any more is no danger.
pub(super) fn whole_leads(bench: &Bench, vehicle: &Vehicle) -> Vec<Instrument> {
    let leads = jumpers(bench, vehicle).into_iter().zip(&bench.leads_blown);
    let whole = leads.filter(|(_, blown)| !**blown);
    whole.map(|(lead, _)| lead.instrument).collect()
}

/// The circuit of a sound vehicle solved. It has a solution; if it had none, a caution too many would do no harm.
pub(super) fn answer(
    vehicle: &Vehicle,
    setting: &Setting,
    leads: &[Instrument],
) -> Option<Response> {
    Circuit::new(vehicle, setting, leads).response().ok()
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
pub(super) fn drives(
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
pub(super) fn motor_has_supply(bench: &Bench, vehicle: &Vehicle) -> bool {
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

/// Whether any end of a component has supply on a sound vehicle as things are set. The battery's own strap is what takes
/// supply off, and has cautions of its own. The battery itself is charged as it stands.
pub(super) fn under_supply(component: ComponentId, bench: &Bench, vehicle: &Vehicle) -> bool {
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

/// Whether a sound vehicle joins two points by less than any load has: contacts, wires, plugs.
pub(super) fn is_closed(red: Point, black: Point, bench: &Bench, vehicle: &Vehicle) -> bool {
    let setting = setting(bench, vehicle);
    let leads = whole_leads(bench, vehicle);
    let source = Circuit::new(vehicle, &setting, &leads).seen_by_meter();
    source.is_ok_and(|source| source.between(vehicle.node(red), vehicle.node(black)) < CLOSED)
}

/// Whether current goes through a sound vehicle's motor with all its breakers open, be they before it or in it.
pub(super) fn feeds_past_breakers(bench: &Bench, vehicle: &Vehicle) -> bool {
    let setting = breakers_open(setting(bench, vehicle), vehicle);
    let is_motor = |id: &ComponentId| matches!(vehicle.component(*id).kind, Kind::Motor(_));
    let carries = |response: &Response, id: ComponentId| {
        let paths = 0..vehicle.component(id).paths.len();
        let places = paths.filter_map(|path| response.element_of(id, path));
        let amperes = places.map(|place| response.current(place).at_rest.abs());
        amperes.fold(0.0, f64::max) > SPARK.amperes()
    };
    let response = answer(vehicle, &setting, &whole_leads(bench, vehicle));
    response.is_none_or(|response| {
        let mut motors = vehicle.ids().filter(is_motor);
        motors.any(|motor| carries(&response, motor))
    })
}

fn breakers_open(mut setting: Setting, vehicle: &Vehicle) -> Setting {
    for id in vehicle.ids() {
        setting.tripped[id.index()] |= matches!(vehicle.component(id).kind, Kind::Breaker(_));
    }
    setting
}

/// Whether the battery's strap of a sound vehicle carries what sparks as it parts or closes, once it is on.
pub(super) fn strap_carries(strap: ComponentId, bench: &Bench, vehicle: &Vehicle) -> bool {
    let mut on = bench.clone();
    on.unplugged[strap.index()] = false;
    let setting = setting(&on, vehicle);
    let carries = |response: &Response| {
        let current = |place| response.current(place).at_rest.abs();
        let amperes = response.element_of(strap, 0).map(current);
        amperes.is_some_and(|amperes| amperes > SPARK.amperes())
    };
    answer(vehicle, &setting, &whole_leads(bench, vehicle))
        .is_none_or(|response| carries(&response))
}

/// Where a sound motor stands as something carries what only a short draws.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shorts {
    parked: bool,
    pub(super) on_the_way: bool,
}

impl Shorts {
    pub(super) const fn any(self) -> bool {
        self.parked || self.on_the_way
    }

    pub(super) const fn only_parked(self) -> bool {
        self.parked && !self.on_the_way
    }

    /// What is more than there was before.
    pub(super) const fn beyond(self, before: Self) -> Self {
        Self {
            parked: self.parked && !before.parked,
            on_the_way: self.on_the_way && !before.on_the_way,
        }
    }
}

/// Where a sound vehicle at rest drives what only a short draws through one more lead.
pub(super) fn shorts(lead: Instrument, fuse: Current, bench: &Bench, vehicle: &Vehicle) -> Shorts {
    let mut leads = whole_leads(bench, vehicle);
    leads.push(lead);
    overloads(&leads, leads.len() - 1, fuse, bench, vehicle)
}

/// The same of any lead that is on.
pub(super) fn leads_short(bench: &Bench, vehicle: &Vehicle) -> Shorts {
    overloads(&whole_leads(bench, vehicle), 0, JUMPER_FUSE, bench, vehicle)
}

/// The same of leads from one of them on.
fn overloads(
    leads: &[Instrument],
    from: usize,
    fuse: Current,
    bench: &Bench,
    vehicle: &Vehicle,
) -> Shorts {
    let short = |parked: bool| {
        let mut setting = setting(bench, vehicle);
        setting.cam_inside = parked;
        answer(vehicle, &setting, leads).is_none_or(|response| {
            let last = response.elements().len();
            let first = last - (leads.len() - from);
            let carried = (first..last).map(|index| response.current(index).at_rest.abs());
            carried.fold(0.0, f64::max) > SHORT_SHARE * fuse.amperes()
        })
    };
    Shorts {
        parked: short(true),
        on_the_way: short(false),
    }
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
    answer(vehicle, setting, &leads).is_none_or(|response| {
        let current = response.current(response.elements().len() - 1);
        current.at_rest.abs() > SHORT_SHARE * JUMPER_FUSE.amperes()
    })
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
    ) || shorts(lead, JUMPER_FUSE, bench, vehicle).on_the_way
}
