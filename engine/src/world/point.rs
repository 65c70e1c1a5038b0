//! An operating point: the vehicle held still in time, for `solve`, `netlist` and checks from outside.

use std::sync::Arc;

use super::motion::Motion;
use super::{Conditions, World, WorldError};
use crate::network::SolveError;
use crate::quantity::{Angle, AngularVelocity};
use crate::scenario::Glass;
use crate::vehicle::{ComponentId, Instrument, Response, Setting, Vehicle};

/// What the shaft does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shaft {
    /// Held still.
    Held,
    /// Turning at the speed at which the winding's torque meets friction and load at this crank angle; forward, with the
    /// eccentric of a reversing motor in, so that the cam does not work its park contact.
    Running,
}

/// The circuit's solution at one operating point.
#[derive(Clone, Debug)]
pub struct OperatingPoint {
    /// Which paths conduct.
    pub setting: Setting,
    /// Shaft speed.
    pub speed: AngularVelocity,
    /// The circuit's answer, at the flux that the motor has.
    pub response: Arc<Response>,
}

/// What an operating point is asked for.
#[derive(Clone, Debug)]
pub struct PointQuery {
    /// Position of each control, by component index.
    pub positions: Vec<(ComponentId, usize)>,
    /// Connectors that are unplugged, straps that are off.
    pub unplugged: Vec<ComponentId>,
    /// Breakers that have tripped, links that have melted.
    pub tripped: Vec<ComponentId>,
    /// Components whose loose paths have given way.
    pub parted: Vec<ComponentId>,
    /// Crank angle from the line crank centre to pivot; park when `None`.
    pub crank: Option<Angle>,
    /// Angle of the shaft, which decides whether a worn brush is lifted and where a broken coil stands; zero when `None`.
    pub shaft_angle: Option<Angle>,
    /// What the shaft does.
    pub shaft: Shaft,
    /// The state of the glass.
    pub glass: Glass,
    /// Meters on the circuit.
    pub instruments: Vec<Instrument>,
}

impl World {
    /// The circuit as it stands at this moment, with what is on it. Not an observation: for checks of the
    /// model from outside.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn operating_point(&mut self) -> Result<OperatingPoint, SolveError> {
        let response = self.motion.response_at_flux()?;
        Ok(OperatingPoint {
            setting: self.motion.setting.clone(),
            speed: self.shaft_speed(),
            response,
        })
    }
}

impl OperatingPoint {
    /// Solves `vehicle` at an operating point.
    ///
    /// # Errors
    /// [`WorldError`] when the mechanics cannot move or the circuit has no solution.
    pub fn of(vehicle: &Arc<Vehicle>, query: &PointQuery) -> Result<Self, WorldError> {
        let conditions = Conditions {
            glass: query.glass,
            rain: false,
            helper: false,
        };
        let mut world = World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions)?;
        let handling = world.handling(None);
        let motion: &mut Motion = &mut world.motion;
        for &(control, position) in &query.positions {
            motion.setting.positions[control.index()] = position;
        }
        for connector in &query.unplugged {
            motion.setting.unplugged[connector.index()] = true;
        }
        for breaker in &query.tripped {
            motion.setting.tripped[breaker.index()] = true;
        }
        for (place, (component, ..)) in vehicle.loose_paths().enumerate() {
            motion.setting.parted[place] = query.parted.contains(&component);
        }
        if let Some(crank) = query.crank {
            motion.set_crank(crank);
        }
        if let Some(angle) = query.shaft_angle {
            motion.set_shaft(angle);
        }
        motion.connect(query.instruments.clone());
        motion.settle()?;
        let speed = match query.shaft {
            Shaft::Held => {
                motion.settle_flux()?;
                0.0
            }
            Shaft::Running => {
                let speed = motion.balance_speed(&handling)?;
                // An eccentric stands out where the blades rest, and a motor that runs forward has turned it in.
                if speed > 0.0 && motion.put_eccentric_in() {
                    motion.settle()?;
                    let forward = motion.balance_speed(&handling)?;
                    // One that is pulled home again as soon as it is in comes to rest there.
                    if forward <= 0.0 {
                        motion.settle_flux()?;
                    }
                    forward.max(0.0)
                } else {
                    speed
                }
            }
        };
        let response = motion.response_at_flux()?;
        let speed = AngularVelocity::from_radians_per_second(speed);
        Ok(Self {
            setting: motion.setting.clone(),
            speed,
            response,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::read_vehicle;

    /// The cam of the bus works the park contact with the eccentric out, which it is after a run home. Run forward, 53a
    /// stays on A1 all the way round; held where the blades rest, or run on home, it is open there.
    #[test]
    fn a_motor_that_runs_forward_passes_its_park_with_the_contact_closed() {
        let text = include_str!("../../../scenarios/bus-compound.toml");
        let bus = Arc::new(read_vehicle(text).unwrap().0);
        let of = |position, shaft| {
            let [key, wiper] = ["key", "wiper"].map(|word| bus.control(word).unwrap());
            let query = PointQuery {
                positions: vec![(key, 2), (wiper, position)],
                unplugged: Vec::new(),
                tripped: Vec::new(),
                parted: Vec::new(),
                crank: Some(Angle::from_degrees(10.0)),
                shaft_angle: None,
                shaft,
                glass: Glass::Wet,
                instruments: Vec::new(),
            };
            OperatingPoint::of(&bus, &query).unwrap()
        };
        let apart = |point: &OperatingPoint| {
            let [feed, common] = ["motor 53a", "motor a1"].map(|name| {
                let is_it = |known: &String| known.replace('.', " ") == name;
                let place = bus.node_names.iter().position(is_it);
                crate::vehicle::Node(place.unwrap())
            });
            let volts = point.response.voltage(feed, common);
            volts.at(point.speed.radians_per_second()).abs()
        };
        let low = of(1, Shaft::Running);
        assert!(low.speed.radians_per_second() > 0.0 && !low.setting.cam_inside);
        assert!(apart(&low) < 1e-9, "{} V", apart(&low));
        let held = of(1, Shaft::Held);
        assert!(held.setting.cam_inside && apart(&held) > 1.0);
        let off = of(0, Shaft::Running);
        assert!(off.setting.cam_inside && apart(&off) > 10.0);
    }

    /// With another ohm in the ground of the saloon and all on, a bus that is switched off is driven forward by its ground
    /// off the park; with its eccentric in it is pulled home again.
    #[test]
    fn a_motor_that_is_pulled_home_once_its_eccentric_is_in_comes_to_rest() {
        let text = include_str!("../../../scenarios/bus-compound-rheostat.toml");
        let bus = read_vehicle(text).unwrap().0;
        let fault = bus.parse_fault("cab-ground.high-resistance:1.01").unwrap();
        let bus = Arc::new(bus.inject(&fault));
        let on = [
            ("key", 2),
            ("engine", 1),
            ("horn", 1),
            ("blower", 1),
            ("lamps", 1),
        ];
        let query = PointQuery {
            positions: on
                .map(|(word, position)| (bus.control(word).unwrap(), position))
                .into(),
            unplugged: Vec::new(),
            tripped: Vec::new(),
            parted: Vec::new(),
            crank: Some(Angle::from_degrees(9.8)),
            shaft_angle: Some(Angle::from_degrees(240.5)),
            shaft: Shaft::Running,
            glass: Glass::Streaming,
            instruments: Vec::new(),
        };
        let point = OperatingPoint::of(&bus, &query).unwrap();
        assert!(
            point.speed.radians_per_second().abs() < f64::MIN_POSITIVE,
            "{:?}",
            point.speed
        );
        let query = PointQuery {
            shaft: Shaft::Held,
            ..query
        };
        let held = OperatingPoint::of(&bus, &query).unwrap();
        assert!(held.response.torque().at_rest > 0.01, "pulled forward");
    }
}
