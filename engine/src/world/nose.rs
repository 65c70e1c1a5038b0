//! What a motor's heat is to a hand and to a nose.

use super::observation::{Observable, Quantity, Scale};
use super::scales::{SMELL, TEMPERATURE};
use super::{SENSE_WINDOW_S, World};
use crate::network::SolveError;
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, Kind};

/// What a melted link smells like, as a temperature of varnish (judgement).
const MELTED_DEGC: f64 = 200.0;

impl World {
    /// Warmth of a motor by hand: its case's temperature. The watts that a thin joint shows at once do not show
    /// on that much of it.
    pub(super) fn feel_motor(
        &mut self,
        motor: ComponentId,
        minutes: Minutes,
    ) -> Result<Observable, SolveError> {
        self.watch(minutes, SENSE_WINDOW_S, &[], None)?;
        let ambient = self.vehicle.ambient.degrees_celsius();
        let case = self.motion.windings().case_temperature(motor);
        Ok(Observable::steady(
            Quantity::Temperature,
            self.vehicle.component(motor).id.to_string(),
            case.unwrap_or(ambient),
            Scale::Words(TEMPERATURE),
        ))
    }

    /// The smell of a component: of varnish that was hot over the last ten minutes, of a winding that has burnt
    /// or a link that has melted. What has neither smells of nothing.
    pub(super) fn smell(
        &mut self,
        component: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        self.spend(minutes, None)?;
        let ambient = self.vehicle.ambient.degrees_celsius();
        let hottest = match self.vehicle.component(component).kind {
            Kind::Motor(_) => self.motion.windings().smells_of(component),
            Kind::FusibleLink(_) if self.motion.setting.tripped[component.index()] => {
                Some(MELTED_DEGC)
            }
            _ => None,
        };
        Ok(vec![Observable::steady(
            Quantity::Smell,
            self.vehicle.component(component).id.to_string(),
            hottest.unwrap_or(ambient),
            Scale::Words(SMELL),
        )])
    }
}
