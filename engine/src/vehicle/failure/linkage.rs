//! The failure modes of what the motor moves, and of the windscreen that it wipes.

use super::PriorGroup;
use super::effect::{Effect, Worn};
use super::modes::{BLADE_PRIOR, DRY_PRIOR, ICE_PRIOR, Modes};
use crate::machines::Stuck;
use crate::vehicle::severity::{
    ARM_DEGREES, BENT_DEGREES, BLADE_TIMES, BUSHING_DEGREES, CRANK_DEGREES, DRY_FRICTION,
    ICE_FRICTION, SLIP_TORQUE, SPLINE_TORQUE, SPRING_SHARE, STIFF_TORQUE, TORN_SHARE,
};

impl Modes<'_> {
    pub(super) fn windscreen(&mut self) {
        self.condition("iced", (ICE_FRICTION, ICE_PRIOR), &["clear"], Effect::Iced);
        self.condition("dry", (DRY_FRICTION, DRY_PRIOR), &[], Effect::Dry);
    }

    pub(super) fn arm(&mut self) {
        let law = (BLADE_TIMES, BLADE_PRIOR);
        self.condition("wrong-blade", law, &["replace"], Effect::Presses);
        let group = |share| (PriorGroup::CrankNut, share);
        let law = Some(SPLINE_TORQUE);
        let cure = &["replace"];
        let slips = Effect::Worn(Worn::Slips);
        self.add("splines-stripped", law, cure, group(0.3), slips);
        let law = Some(SPRING_SHARE);
        self.add("spring-tired", law, cure, group(0.2), Effect::Tired);
        let torn = Effect::Worn(Worn::Torn);
        self.add("rubber-torn", Some(TORN_SHARE), cure, group(0.4), torn);
        let earlier = (PriorGroup::EarlierRepair, 40.0);
        let astray = Effect::Worn(Worn::Astray);
        self.add("off-its-mark", Some(ARM_DEGREES), cure, earlier, astray);
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
        let earlier = (PriorGroup::EarlierRepair, 40.0);
        let astray = Effect::Worn(Worn::Astray);
        let law = Some(CRANK_DEGREES);
        self.add("off-its-mark", law, &["tighten"], earlier, astray);
    }

    /// Crank and drive link: the link comes off its pin.
    pub(super) fn drive_link(&mut self) {
        let group = (PriorGroup::CrankNut, 0.6);
        let off = Effect::Worn(Worn::Off);
        self.add("link-off", None, &["replace"], group, off);
    }

    pub(super) fn connecting_link(&mut self) {
        let group = |share| (PriorGroup::CrankNut, share);
        let cure = &["replace"];
        let off = Effect::Worn(Worn::Off);
        self.add("off", None, cure, group(0.4), off);
        let bent = Effect::Worn(Worn::Astray);
        self.add("bent", Some(BENT_DEGREES), cure, group(0.2), bent);
    }

    pub(super) fn pivot(&mut self) {
        let group = |share| (PriorGroup::Pivots, share);
        let cures = &["free", "replace"];
        let law = Some(STIFF_TORQUE);
        self.add("stiff", law, cures, group(4.0), Effect::Stiff);
        self.add("seized", None, &["replace"], group(1.0), Effect::Seized);
        let law = Some(BUSHING_DEGREES);
        let loose = Effect::Worn(Worn::Play);
        self.add("loose", law, &["replace"], group(2.0), loose);
    }
}
