//! What is explained to the customer and not repaired: it stays as it is for now.

use super::World;
use crate::vehicle::ComponentId;

impl World {
    /// Whether a component's condition has been explained to the customer.
    pub(crate) fn explained(&self, component: ComponentId) -> bool {
        let done = &self.bench.repairs;
        done.iter()
            .any(|(part, way)| *part == component && self.sound.explains(*part, *way))
    }

    /// The vehicle as it will be when what was explained to the customer has been seen to: ice thawed, the
    /// battery charged.
    pub(crate) fn see_to_what_was_explained(&mut self) {
        for component in self.sound.ids() {
            if self.explained(component) {
                self.repair(component, "replace");
            }
        }
    }
}
