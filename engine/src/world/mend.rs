//! Values of the vehicle that change while it is worked on: what is repaired, and what burnt.

use std::sync::Arc;

use super::World;
use crate::vehicle::{ComponentId, Kind, Vehicle};

impl World {
    pub(super) fn repair(&mut self, component: ComponentId, repair: &str) {
        let mut vehicle = Vehicle::clone(&self.vehicle);
        vehicle.restore(component, repair, &self.sound);
        self.take_on(vehicle);
        self.motion.renew(component, repair);
        if matches!(
            self.vehicle.component(component).kind,
            Kind::CrankNut { .. }
        ) {
            self.motion.align_crank();
        }
    }

    /// Takes over the values of a vehicle that burnt something as it ran.
    pub(super) fn take_over_burnt(&mut self) {
        if !Arc::ptr_eq(&self.vehicle, self.motion.vehicle()) {
            self.vehicle = Arc::clone(self.motion.vehicle());
            self.drive = self.motion.drive().cloned();
        }
    }

    /// Temperatures of the copper and the iron of a motor, degrees Celsius; `None` for what is none. Not an
    /// observation: for checks of the model from outside.
    #[must_use]
    pub fn winding_temperature(&self, motor: ComponentId) -> Option<(f64, f64)> {
        self.motion.windings().temperatures(motor)
    }

    /// Leaves windings the resistance that they have at the air's temperature and batteries their rested volts from now
    /// on, whatever becomes of them: for checks of the model from outside that know of neither.
    pub fn hold_values(&mut self) {
        self.motion.hold_values();
    }

    /// Goes on with other values of the same vehicle.
    pub(super) fn take_on(&mut self, vehicle: Vehicle) {
        self.vehicle = Arc::new(vehicle);
        // The sound values of one component cannot break a linkage that turned before.
        if let Ok(drive) = self.vehicle.drive_train() {
            self.drive = drive;
        }
        self.motion
            .rebuild(Arc::clone(&self.vehicle), self.drive.clone());
    }
}
