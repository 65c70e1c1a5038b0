//! Values of the vehicle that change while it is worked on: what is repaired, and what burnt.

use std::sync::Arc;

use super::World;
use crate::vehicle::{ComponentId, Kind, Vehicle};

impl World {
    pub(super) fn repair(&mut self, component: ComponentId, repair: &str) {
        let (hung, _) = self.links_off();
        let mut vehicle = Vehicle::clone(&self.vehicle);
        vehicle.restore(component, repair, &self.sound);
        self.take_on(vehicle);
        self.motion.renew(component, repair);
        if matches!(
            self.vehicle.component(component).kind,
            Kind::CrankNut { .. }
        ) {
            self.motion.align_crank();
        } else if hung && !self.links_off().0 {
            self.motion.hook_link_on();
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

#[cfg(test)]
mod tests {
    use crate::world::testing::{act, van};

    /// The wheel turns under blades that stand, and where it stops is chance; with the link on its pin again the blades
    /// come home with it.
    #[test]
    fn blades_come_home_once_the_drive_link_is_on_its_pin_again() {
        for seconds in [3, 7, 11, 13] {
            let mut world = van(Some("linkage.link-off"));
            act(&mut world, "set ignition-switch on");
            act(&mut world, "set wiper-switch low");
            act(&mut world, &format!("wait {seconds}"));
            act(&mut world, "set ignition-switch off");
            act(&mut world, "repair linkage replace");
            act(&mut world, "set ignition-switch on");
            act(&mut world, "wait 20");
            act(&mut world, "set wiper-switch off");
            act(&mut world, "wait 20");
            let off = world.off_rest_mm();
            assert!(off < 30.0, "{off} mm off their rest after {seconds} s");
        }
    }
}
