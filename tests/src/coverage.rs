//! What judges that have laws of their own know, the naive vehicle and the decks with mechanics in them: a vehicle with
//! anything else in it is left out, and the table says so. Everything is matched kind by kind, so that whoever adds a
//! kind has to say here whether they know it.

use std::sync::Arc;

use groundside_engine::vehicle::{Field, Gate, Kind, MotorData, Vehicle, Wear};

use crate::fleet;
use crate::ledger::Ledger;

/// Kinds of which a judge knows one in a vehicle, and how many there are.
#[derive(Default)]
struct Counts {
    motors: u32,
    gears: u32,
    linkages: u32,
    cams: u32,
    nuts: u32,
    eccentrics: u32,
    links: u32,
    screens: u32,
}

impl Counts {
    /// Counts a component in; `false` for one that is not known. Today all are.
    fn take(&mut self, kind: &Kind) -> bool {
        match kind {
            // What moves: whatever the judges' mechanics are read from.
            Kind::Motor(data) => {
                // Every figure is known, or is of the winding's faults alone.
                let MotorData {
                    inertia: _,
                    coulomb: _,
                    viscous_nms: _,
                    field,
                    third_brush: _,
                    coils: _,
                    shorted: _,
                    shorted_nms: _,
                } = data;
                self.motors += 1;
                match field {
                    Field::Magnets | Field::Wound(_) => {}
                }
            }
            Kind::Gear(_) => self.gears += 1,
            Kind::Linkage(_) => self.linkages += 1,
            Kind::ParkContact(_) => self.cams += 1,
            Kind::CrankNut { .. } => self.nuts += 1,
            Kind::Eccentric(_) => self.eccentrics += 1,
            Kind::ConnectingLink => self.links += 1,
            Kind::Windscreen(_) => self.screens += 1,
            Kind::Pivot { .. } | Kind::Arm { .. } => {}
            // What opens by its own heat.
            Kind::Breaker(_) | Kind::FusibleLink(_) | Kind::Fuse(_) => {}
            // What is moved by its currents. (Decks take from the engine how these stand at operating points, and
            // have no interval and no diode that conducts in runs.)
            Kind::Relay(_) | Kind::IntervalUnit(_) | Kind::Diode => {}
            // What is no more than its paths, which `gate` looks at.
            Kind::Battery(_)
            | Kind::Wire { .. }
            | Kind::Strap(_)
            | Kind::Connector { .. }
            | Kind::Ammeter
            | Kind::Resistor
            | Kind::Switch { .. }
            | Kind::Body
            | Kind::GroundPoint
            | Kind::Splice
            | Kind::Pump(_)
            | Kind::Hose { .. }
            | Kind::Consumer(_)
            | Kind::Alternator(_) => {}
        }
        true
    }

    /// What there is too much or too little of.
    fn wrong(&self) -> Option<String> {
        let of = |count: u32, least: u32, what: &str| {
            let fits = (least..=1).contains(&count);
            (!fits).then(|| format!("{count} {what}"))
        };
        of(self.motors, 1, "motors")
            .or_else(|| of(self.gears, 1, "gears"))
            .or_else(|| of(self.linkages, 1, "linkages"))
            .or_else(|| of(self.cams, 1, "park contacts"))
            .or_else(|| of(self.nuts, 1, "crank nuts"))
            .or_else(|| of(self.eccentrics, 0, "eccentrics"))
            .or_else(|| of(self.links, 0, "connecting links"))
            .or_else(|| of(self.screens, 0, "windscreens"))
    }
}

/// Whether judges know when a path with this gate conducts. Today they know all.
const fn gate(gate: &Gate) -> bool {
    match gate {
        Gate::Always
        | Gate::Position(_)
        | Gate::Untripped
        | Gate::Mated
        | Gate::Relay { .. }
        | Gate::Forward
        | Gate::Cam { .. }
        | Gate::ShaftOutside(_) => true,
    }
}

/// What a judge lacks for a vehicle; nothing where it knows all of it.
#[must_use]
pub fn lacks(vehicle: &Vehicle) -> Option<String> {
    let mut counts = Counts::default();
    for part in &vehicle.components {
        if !counts.take(&part.kind) {
            return Some(format!("`{}` is of a kind that is not known", part.id));
        }
        // Both know links that are off and serrations that slip, and the naive vehicle a crank off its mark, which
        // decks never need; play and arms off their marks turn nothing.
        let Wear {
            off: _,
            astray: _,
            slips_at: _,
            play: _,
            torn: _,
        } = part.wear;
        if let Some(path) = part.paths.iter().find(|path| !gate(&path.gate)) {
            return Some(format!(
                "what lets `{} {}` conduct is not known",
                part.id, path.name
            ));
        }
    }
    if vehicle.roles().is_none() {
        return Some("it has no key or no wiper switch".to_owned());
    }
    counts.wrong()
}

/// The shipped vehicles that a judge knows; the ledger takes down which it does not, and why.
pub fn known(ledger: &mut Ledger) -> Vec<Arc<Vehicle>> {
    let mut vehicles = fleet::vehicles();
    vehicles.retain(|vehicle| match lacks(vehicle) {
        Some(why) => {
            ledger.not_covered(format_args!("{}: {why}", vehicle.id));
            false
        }
        None => true,
    });
    vehicles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vehicle_with_two_motors_is_left_out_and_taken_down() {
        for vehicle in fleet::vehicles() {
            let mut ledger = Ledger::default();
            let known = known(&mut ledger);
            let left_out = ledger.uncovered().len();
            assert_eq!(known.len() + left_out, fleet::vehicles().len());
            let mut two = Vehicle::clone(&vehicle);
            let motor = two
                .components
                .iter()
                .find(|part| matches!(part.kind, Kind::Motor(_)));
            two.components.extend(motor.cloned());
            assert!(lacks(&two).is_some());
        }
    }
}
