//! The failure modes of the battery and of what conducts: wires, straps, ground points, connectors, splices.

use super::effect::Effect;
use super::modes::{
    FLAT_PRIOR, HIGH_SHARE, INTERMITTENT_SHARE, Modes, SHORT_SHARE, SHORT_SHARE_WIRE,
};
use crate::vehicle::loose::Weakness;
use crate::vehicle::prior::PriorGroup;
use crate::vehicle::severity::{CHAFED_OHMS, FILM_OHMS, FLAT_SHARE, OHMS, PLATE_OHMS, SHORT_OHMS};
use crate::vehicle::{Exposure, Kind, WireData};

/// Section up to which a wire breaks inside its insulation, square millimetres (judgement: thick ones are
/// chafed through sooner).
const BREAKS_INSIDE_MM2: f64 = 1.5;
/// Share of pins that were pushed out of their housing when a plug was put together (judgement).
const PUSHED_OUT_SHARE: f64 = 8.0;
/// Share of pins that water has left a film on which hardly lets anything through (judgement).
const FILM_SHARE: f64 = 8.0;

impl Modes<'_> {
    pub(super) fn battery(&mut self) {
        let group = (PriorGroup::Links, HIGH_SHARE);
        let added = Effect::Hidden { path: 0 };
        self.add("sulphated", Some(PLATE_OHMS), &["replace"], group, added);
        // Clamps on posts; a new battery has clean ones, and its clamps are cleaned as they go on.
        for path in 1..self.component.paths.len() {
            let clamp = self.component.paths[path].name.clone();
            let cures = &["mend", "replace"];
            self.joint(clamp.as_str(), PriorGroup::Links, cures, path);
            let group = (PriorGroup::Links, INTERMITTENT_SHARE);
            self.weak(clamp.as_str(), group, path, Weakness::Screw, cures);
        }
        let cures = &["charge", "replace"];
        self.condition("flat", (FLAT_SHARE, FLAT_PRIOR), cures, Effect::Flat);
    }

    pub(super) fn wire(&mut self, data: WireData, supply_side: bool) {
        self.joint("", PriorGroup::Wires, &["mend"], 0);
        if data.section.square_millimetres() <= BREAKS_INSIDE_MM2 {
            let group = (PriorGroup::Wires, INTERMITTENT_SHARE);
            self.weak("", group, 0, Weakness::BrokenInside, &["mend"]);
        }
        if supply_side {
            let effect = Effect::ToBody { path: 0 };
            let group = (PriorGroup::Wires, SHORT_SHARE_WIRE);
            let law = Some(SHORT_OHMS);
            self.add("short-to-ground", law, &["mend"], group, effect);
            // A thick one has thick insulation, and clips of its own.
            if data.section.square_millimetres() <= BREAKS_INSIDE_MM2 {
                let effect = Effect::Chafed { path: 0 };
                self.add("chafed", Some(CHAFED_OHMS), &["mend"], group, effect);
            }
        }
    }

    /// A strap or a ground point.
    pub(super) fn ground(&mut self) {
        self.joint("", PriorGroup::Grounds, &["mend"], 0);
        let group = (PriorGroup::Grounds, INTERMITTENT_SHARE);
        self.weak("", group, 0, Weakness::Screw, &["mend"]);
        if matches!(self.component.kind, Kind::GroundPoint) {
            let group = (PriorGroup::EarlierRepair, HIGH_SHARE);
            let hidden = Effect::Hidden { path: 0 };
            self.add("paint-under", Some(OHMS), &["mend"], group, hidden);
        }
    }

    pub(super) fn connector(&mut self, on_component: bool) {
        for (path, pin) in self.component.paths.iter().enumerate() {
            let pin = pin.name.as_str();
            self.joint(pin, PriorGroup::Pins, &["mend"], path);
            let name = format!("{pin}-short-to-ground");
            let group = (PriorGroup::Pins, SHORT_SHARE);
            let effect = Effect::ToBody { path };
            self.add(&name, Some(SHORT_OHMS), &["mend"], group, effect);
            self.pin_weak(path, on_component);
            let name = format!("{pin}-pushed-out");
            let group = (PriorGroup::Pins, PUSHED_OUT_SHARE);
            self.add(&name, None, &["mend"], group, Effect::PushedOut { path });
        }
        self.crossed();
        self.bridged();
        self.filmed(on_component);
    }

    /// Pins under a film of oxide: in the wet, or between two looms outside the cab, where water creeps along the wires.
    fn filmed(&mut self, on_component: bool) {
        let dry = match self.component.exposure {
            Exposure::Wet => false,
            Exposure::Covered => on_component,
            Exposure::Inside => true,
        };
        if dry {
            return;
        }
        for (path, pin) in self.component.paths.iter().enumerate() {
            let name = format!("{}-oxide-film", pin.name);
            let group = (PriorGroup::Pins, FILM_SHARE);
            self.add(
                &name,
                Some(FILM_OHMS),
                &["mend"],
                group,
                Effect::Added { path },
            );
        }
    }

    /// A loose pin; one on a component that warms and gets wet can show that too.
    fn pin_weak(&mut self, path: usize, on_component: bool) {
        let pin = self.component.paths[path].name.clone();
        let group = |share: f64| (PriorGroup::Pins, share * INTERMITTENT_SHARE);
        self.weak(
            pin.as_str(),
            group(0.6),
            path,
            Weakness::Terminal,
            &["mend"],
        );
        if on_component {
            self.weak(
                pin.as_str(),
                group(0.2),
                path,
                Weakness::OpensWarm,
                &["mend"],
            );
            self.weak(
                pin.as_str(),
                group(0.2),
                path,
                Weakness::LeaksWet,
                &["mend"],
            );
        }
    }

    /// Two pins that were put into each other's places.
    fn crossed(&mut self) {
        let pins = &self.component.paths;
        for one in 0..pins.len() {
            for other in one + 1..pins.len() {
                let name = format!("{}-{}-crossed", pins[one].name, pins[other].name);
                let group = (PriorGroup::EarlierRepair, 1.0);
                self.add(
                    &name,
                    None,
                    &["mend"],
                    group,
                    Effect::Crossed { one, other },
                );
            }
        }
    }

    /// Wires to neighbouring pins that touch where they have rubbed through.
    fn bridged(&mut self) {
        let pins = &self.component.paths;
        for (one, pair) in pins.windows(2).enumerate() {
            let name = format!("{}-{}-bridged", pair[0].name, pair[1].name);
            let effect = Effect::Bridged {
                one,
                other: one + 1,
            };
            let group = (PriorGroup::Wires, SHORT_SHARE);
            self.add(&name, None, &["mend"], group, effect);
        }
    }

    pub(super) fn splice(&mut self) {
        for (path, end) in self.component.paths.iter().enumerate() {
            let name = end.name.as_str();
            self.joint(name, PriorGroup::Wires, &["mend"], path);
            let group = (PriorGroup::Wires, INTERMITTENT_SHARE);
            self.weak(name, group, path, Weakness::BrokenInside, &["mend"]);
        }
    }
}
