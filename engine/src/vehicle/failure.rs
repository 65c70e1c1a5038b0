//! What can go wrong with each kind of component, and what it does to a vehicle's values.
//!
//! A vehicle file composes components; the modes come with their kinds, so its faults exist without being
//! written down: `modes` lists them kind by kind, by theme in `wiring`, `switching`, `motor` and `linkage`. A
//! [`Fault`] is a component, one of its modes and a severity; [`Vehicle::inject`] turns it into changed values
//! (`effect`), which is all that the rest of the engine sees.

mod effect;
mod linkage;
mod modes;
mod motor;
mod switching;
mod wiring;

use effect::Effect;

use super::prior::PriorGroup;
use super::severity::SeverityLaw;
use super::{Component, ComponentId, Region, Vehicle};
use crate::ident::Name;

/// Which failure mode of a component.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ModeId(pub(crate) usize);

/// A way a component fails.
#[derive(Clone, Debug, PartialEq)]
pub struct Mode {
    /// Its name, unique in the component: `53-open`, `low-brush-worn`.
    pub name: Name,
    /// How bad it can be; `None` for what is or is not.
    pub severity: Option<SeverityLaw>,
    /// The repairs of the component that cure it, the proper one first.
    pub cures: Vec<Name>,
    /// Where its prior weight comes from.
    pub group: PriorGroup,
    /// Its share within the group, relative to the other modes there.
    pub share: f64,
    effect: Effect,
}

impl Mode {
    /// Whether it is a condition that brings a complaint and no fault: nothing is put right, it is
    /// explained to the customer.
    #[must_use]
    pub fn is_condition(&self) -> bool {
        self.group == PriorGroup::NoFault
    }

    /// Whether only some weather brings it.
    #[must_use]
    pub const fn needs_weather(&self) -> bool {
        matches!(self.effect, Effect::Iced | Effect::Dry)
    }
}

/// A component that has failed in one of its modes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fault {
    /// The component.
    pub component: ComponentId,
    /// The mode.
    pub mode: ModeId,
    /// How bad, in the unit of the mode's law; `None` for what is or is not.
    pub severity: Option<f64>,
}

impl Component {
    /// Where a mode of this component is sought: the component's region, except for what is no fault.
    #[must_use]
    pub fn region_of(&self, mode: &Mode) -> Region {
        if mode.is_condition() {
            Region::NoFault
        } else {
            self.region
        }
    }
}

impl Vehicle {
    /// Every fault of this vehicle, with no severity chosen, in the order of components and modes.
    #[must_use]
    pub fn faults(&self) -> Vec<(ComponentId, ModeId, Mode)> {
        self.ids()
            .flat_map(|id| {
                let modes = self.component(id).modes().into_iter().enumerate();
                modes.map(move |(mode, data)| (id, ModeId(mode), data))
            })
            .collect()
    }

    /// Prior weight of each entry of [`Vehicle::faults`]: its group's complaints in a hundred at this
    /// age, shared out within the group by what the components are exposed to and by their history.
    #[must_use]
    pub fn prior_weights(&self) -> Vec<f64> {
        let faults = self.faults();
        let share = |(component, _, mode): &(ComponentId, ModeId, Mode)| {
            mode.share * mode.group.times(self.component(*component))
        };
        let total = |group: PriorGroup| -> f64 {
            faults
                .iter()
                .filter(|(_, _, mode)| mode.group == group)
                .map(share)
                .sum()
        };
        let totals: Vec<f64> = PriorGroup::ALL.iter().map(|&group| total(group)).collect();
        let total_of = |group: PriorGroup| {
            PriorGroup::ALL
                .iter()
                .position(|&other| other == group)
                .map_or(1.0, |place| totals[place])
        };
        faults
            .iter()
            .map(|fault| {
                let group = fault.2.group;
                group.weight(self.age_years) * share(fault) / total_of(group)
            })
            .collect()
    }

    /// The mode of a fault.
    ///
    /// # Panics
    /// When the fault belongs to another vehicle.
    #[must_use]
    pub fn mode(&self, fault: &Fault) -> Mode {
        self.component(fault.component)
            .modes()
            .swap_remove(fault.mode.0)
    }

    /// This vehicle with a fault in it.
    #[must_use]
    pub fn inject(&self, fault: &Fault) -> Self {
        let mut vehicle = self.clone();
        let effect = self.mode(fault).effect;
        let component = &mut vehicle.components[fault.component.0];
        effect.apply(component, fault.severity.unwrap_or(0.0));
        vehicle
    }
}
