//! The failure modes of what the motor moves, and of the windscreen that it wipes.

use super::PriorGroup;
use super::effect::Effect;
use super::modes::{BLADE_PRIOR, DRY_PRIOR, ICE_PRIOR, Modes};
use crate::machines::Stuck;
use crate::vehicle::severity::{
    BLADE_TIMES, DRY_FRICTION, ICE_FRICTION, SLIP_TORQUE, STIFF_TORQUE,
};

impl Modes<'_> {
    pub(super) fn windscreen(&mut self) {
        self.condition("iced", (ICE_FRICTION, ICE_PRIOR), &["clear"], Effect::Iced);
        self.condition("dry", (DRY_FRICTION, DRY_PRIOR), &[], Effect::Dry);
    }

    pub(super) fn arm(&mut self) {
        let law = (BLADE_TIMES, BLADE_PRIOR);
        self.condition("wrong-blade", law, &["replace"], Effect::Presses);
    }

    pub(super) fn eccentric(&mut self) {
        let group = (PriorGroup::ParkContact, 1.0);
        for (name, at) in [("stuck-in", Stuck::In), ("stuck-out", Stuck::Out)] {
            self.add(name, None, &["free", "replace"], group, Effect::Sticks(at));
        }
    }

    pub(super) fn crank_nut(&mut self) {
        let group = (PriorGroup::CrankNut, 1.0);
        let law = Some(SLIP_TORQUE);
        self.add("loose", law, &["tighten"], group, Effect::Slips);
    }

    pub(super) fn pivot(&mut self) {
        let group = |share| (PriorGroup::Pivots, share);
        let cures = &["free", "replace"];
        let law = Some(STIFF_TORQUE);
        self.add("stiff", law, cures, group(4.0), Effect::Stiff);
        self.add("seized", None, &["replace"], group(1.0), Effect::Seized);
    }
}
