//! What the motor of a sound vehicle does as things are set on the bench: cautions, and what is written down of the
//! bench, hang on that and never on what is wrong.

use super::Bench;
use super::scales::STRENGTH;
use super::supply::{self, STILL, setting, whole_leads};
use crate::quantity::AngularVelocity;
use crate::vehicle::{ComponentId, Kind, Response, Setting, Vehicle};

/// What a motor does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum MotorDoes {
    /// It leaves its park and goes on.
    Runs,
    /// It stays where it is parked, and goes there from elsewhere.
    RunsHome,
    /// Nothing turns it.
    Stands,
}

impl Bench {
    /// Whether a consumer is dead for the key alone: on a *sound* vehicle, set as it is on this bench, it does nothing, and
    /// it would work if the key stood at on. False for what is no consumer.
    ///
    /// Hangs on the bench and the sound vehicle, so it is the same whatever is wrong.
    ///
    /// # Panics
    /// When the consumer belongs to another vehicle.
    #[must_use]
    pub fn waits_for_key(&self, consumer: ComponentId, vehicle: &Vehicle) -> bool {
        let Some(roles) = vehicle.roles() else {
            return false;
        };
        let with_key = |position: usize| {
            let mut bench = self.clone();
            bench.positions[roles.key.index()] = position;
            bench.positions[consumer.index()] = 1;
            strength(consumer, &bench, vehicle)
        };
        let now = self.positions[roles.key.index()];
        let dead = |strength: f64| strength < STRENGTH.cuts[0];
        let at_on = with_key(roles.key_on);
        with_key(now).is_some_and(dead) && at_on.is_some_and(|strength| !dead(strength))
    }
}

/// Volts on a consumer of a sound vehicle at rest, as a share of what it is made for; `None` for what is none.
fn strength(consumer: ComponentId, bench: &Bench, vehicle: &Vehicle) -> Option<f64> {
    let component = vehicle.component(consumer);
    let (Kind::Consumer(data), Some(path)) = (&component.kind, component.paths.first()) else {
        return None;
    };
    let response = answer(bench, vehicle, &setting(bench, vehicle))?;
    Some(response.voltage(path.p, path.n).at_rest / data.rated.volts())
}

/// What the motor of a sound vehicle does.
pub(super) fn motor_does(bench: &Bench, vehicle: &Vehicle) -> MotorDoes {
    of_parked(&setting(bench, vehicle), bench, vehicle)
}

fn of_parked(parked: &Setting, bench: &Bench, vehicle: &Vehicle) -> MotorDoes {
    let turns = |setting: &Setting| {
        answer(bench, vehicle, setting).is_some_and(|response| overcomes(&response, vehicle))
    };
    if turns(parked) {
        MotorDoes::Runs
    } else if turns(&away(parked)) {
        MotorDoes::RunsHome
    } else {
        MotorDoes::Stands
    }
}

/// What a sound vehicle's circuit shows by turns while its motor runs: with the cam in its window and outside, the shaft
/// as good as held and as fast as nothing holds it. At rest, what it shows parked.
pub(super) fn met(bench: &Bench, vehicle: &Vehicle) -> Vec<(Setting, Vec<AngularVelocity>)> {
    let parked = setting(bench, vehicle);
    if of_parked(&parked, bench, vehicle) != MotorDoes::Runs {
        return vec![(parked, vec![STILL])];
    }
    let away = away(&parked);
    let with_speeds = |setting: Setting| {
        let fastest = answer(bench, vehicle, &setting).map(|response| idle(&response));
        (setting, fastest.into_iter().chain([STILL]).collect())
    };
    [parked, away].map(with_speeds).into()
}

/// The same with the cam out of its window.
fn away(parked: &Setting) -> Setting {
    Setting {
        cam_inside: false,
        ..parked.clone()
    }
}

fn answer(bench: &Bench, vehicle: &Vehicle, setting: &Setting) -> Option<Response> {
    supply::answer(vehicle, setting, &whole_leads(bench, vehicle))
}

/// Whether the winding's torque at rest is more than what holds a motor by itself.
fn overcomes(response: &Response, vehicle: &Vehicle) -> bool {
    let torque = response.torque().at_rest.abs();
    let mut motors = vehicle
        .components
        .iter()
        .filter_map(|part| match &part.kind {
            Kind::Motor(data) => Some(data.coulomb),
            _ => None,
        });
    motors.any(|held_by| torque > held_by.newton_metres())
}

/// The speed at which the winding gives no torque any more.
fn idle(response: &Response) -> AngularVelocity {
    let torque = response.torque();
    let speed = match torque.per_speed < 0.0 {
        true => -torque.at_rest / torque.per_speed,
        false => 0.0,
    };
    AngularVelocity::from_radians_per_second(speed)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::file::read_vehicle;

    /// What hangs on the key waits for it, with the battery on; what does not never does.
    #[test]
    fn what_is_fed_over_the_key_waits_for_it() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let van = Arc::new(read_vehicle(text).unwrap().0);
        let roles = van.roles().unwrap();
        let strap = van.battery_strap().unwrap();
        let [blower, horn, motor] = ["blower", "horn", "motor"].map(|id| van.find(id).unwrap());
        let mut bench = Bench::untouched(&van);
        assert!(bench.waits_for_key(blower, &van));
        assert!(!bench.waits_for_key(horn, &van));
        assert!(!bench.waits_for_key(motor, &van));
        bench.unplugged[strap.index()] = true;
        assert!(!bench.waits_for_key(blower, &van));
        bench.unplugged[strap.index()] = false;
        bench.positions[roles.key.index()] = roles.key_on;
        assert!(!bench.waits_for_key(blower, &van));
    }
}
