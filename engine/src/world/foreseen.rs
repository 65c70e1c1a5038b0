//! What the motor of a sound vehicle does as things are set on the bench: cautions, and what is written down of the
//! bench, hang on that and never on what is wrong.

use super::Bench;
use super::supply::{self, STILL, setting, whole_leads};
use crate::quantity::AngularVelocity;
use crate::vehicle::{Kind, Response, Setting, Vehicle};

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
