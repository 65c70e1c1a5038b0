//! The list of a component's failure modes: which theme speaks for its kind, and how a list is written down.

use super::effect::Effect;
use super::{Mode, PriorGroup, SeverityLaw};
use crate::ident::Name;
use crate::vehicle::loose::Weakness;
use crate::vehicle::severity::OHMS;
use crate::vehicle::{Component, EXPLAIN, Kind};

/// Shares of open, high-resistance and shorted cases within an electrical group (judgement).
pub(super) const OPEN_SHARE: f64 = 35.0;
pub(super) const HIGH_SHARE: f64 = 45.0;
/// And of contacts that stay closed (judgement).
pub(super) const CLOSED_SHARE: f64 = 15.0;
pub(super) const SHORT_SHARE: f64 = 5.0;
pub(super) const SHORT_SHARE_WIRE: f64 = 15.0;
/// And of what shows now and then: of a pin, 9 when shaken, 3 each when warm and when wet (judgement).
pub(super) const INTERMITTENT_SHARE: f64 = 15.0;

/// Shares of what is no fault (judgement): a flat battery, ice, dry glass, wrong blades.
pub(super) const FLAT_PRIOR: f64 = 30.0;
pub(super) const ICE_PRIOR: f64 = 30.0;
pub(super) const DRY_PRIOR: f64 = 20.0;
pub(super) const BLADE_PRIOR: f64 = 10.0;

impl Component {
    /// The ways this component can fail, in a fixed order.
    #[must_use]
    pub fn modes(&self) -> Vec<Mode> {
        let mut modes = Modes {
            component: self,
            list: Vec::new(),
        };
        match &self.kind {
            Kind::Body | Kind::Consumer(_) | Kind::Alternator(_) => {}
            Kind::Linkage(_) => modes.drive_link(),
            Kind::ConnectingLink => modes.connecting_link(),
            Kind::Battery(_) => modes.battery(),
            Kind::Windscreen(_) => modes.windscreen(),
            Kind::Arm { .. } => modes.arm(),
            Kind::Wire {
                supply_side, data, ..
            } => modes.wire(*data, *supply_side),
            Kind::Strap(_) | Kind::GroundPoint => modes.ground(),
            Kind::Connector { mates } => modes.connector(mates.is_some()),
            Kind::Resistor => modes.resistor(),
            Kind::FusibleLink(_) | Kind::Ammeter => modes.link(),
            Kind::Switch { .. } => modes.switch(),
            Kind::Breaker(_) => modes.breaker(),
            Kind::Fuse(_) => modes.fuse(),
            Kind::Relay(_) => modes.relay(),
            Kind::IntervalUnit(_) => modes.interval_unit(),
            Kind::Diode => modes.diode(),
            Kind::Splice => modes.splice(),
            Kind::Pump(_) => modes.pump(),
            Kind::Hose { .. } => modes.hose(),
            Kind::Motor(data) => modes.motor(data),
            Kind::ParkContact(_) => modes.park_contact(),
            Kind::Gear(_) => modes.gear(),
            Kind::Eccentric(_) => modes.eccentric(),
            Kind::CrankNut { .. } => modes.crank_nut(),
            Kind::Pivot { .. } => modes.pivot(),
        }
        modes.list
    }
}

/// A list of modes being written down for one component.
pub(super) struct Modes<'a> {
    pub(super) component: &'a Component,
    list: Vec<Mode>,
}

impl Modes<'_> {
    pub(super) fn add(
        &mut self,
        name: &str,
        severity: Option<SeverityLaw>,
        cures: &[&str],
        (group, share): (PriorGroup, f64),
        effect: Effect,
    ) {
        // Every name here is made of names, so none can fail; one that did would be a mode short.
        debug_assert!(
            Name::new(name).is_ok(),
            "{}: `{name}` is not a name",
            self.component.id
        );
        let Ok(name) = Name::new(name) else { return };
        let cures = cures
            .iter()
            .filter_map(|cure| Name::new(cure).ok())
            .collect();
        self.list.push(Mode {
            name,
            severity,
            cures,
            group,
            share,
            effect,
        });
    }

    /// What is no fault: the proper thing is to explain it, and `cures` put it right too.
    pub(super) fn condition(
        &mut self,
        name: &str,
        (law, share): (SeverityLaw, f64),
        cures: &[&str],
        effect: Effect,
    ) {
        let group = (PriorGroup::NoFault, share);
        let cures = [&[EXPLAIN], cures].concat();
        self.add(name, Some(law), &cures, group, effect);
    }

    /// Open and high resistance of a joint, conductor or contact.
    pub(super) fn joint(&mut self, prefix: &str, group: PriorGroup, cures: &[&str], path: usize) {
        let named = |mode: &str| {
            if prefix.is_empty() {
                mode.to_owned()
            } else {
                format!("{prefix}-{mode}")
            }
        };
        self.add(
            &named("open"),
            None,
            cures,
            (group, OPEN_SHARE),
            Effect::Open { path },
        );
        self.high_resistance(&named("high-resistance"), group, cures, path);
    }

    pub(super) fn high_resistance(
        &mut self,
        name: &str,
        group: PriorGroup,
        cures: &[&str],
        path: usize,
    ) {
        let effect = Effect::Added { path };
        self.add(name, Some(OHMS), cures, (group, HIGH_SHARE), effect);
    }

    /// Giving way now and then.
    pub(super) fn weak(
        &mut self,
        prefix: &str,
        group: (PriorGroup, f64),
        path: usize,
        how: Weakness,
        cures: &[&str],
    ) {
        let (mode, law) = how.told();
        let name = if prefix.is_empty() {
            mode.to_owned()
        } else {
            format!("{prefix}-{mode}")
        };
        let effect = Effect::Weak { path, how };
        self.add(&name, Some(law), cures, group, effect);
    }
}
