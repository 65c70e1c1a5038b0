//! The failure modes of a motor and of what is built into it: park contact and gear.

use super::PriorGroup;
use super::effect::{Effect, Worn};
use super::modes::{HIGH_SHARE, Modes, OPEN_SHARE};
use crate::vehicle::severity::{
    BEARING_TORQUE, BRUSH_OHMS, CAM_DEGREES, FIELD_SHARE, LIFT_SHARE, MAGNET_SHARE, OHMS,
    SHORTED_SHARE, TEETH_DEGREES, WRONG_TURNS,
};
use crate::vehicle::{Field, MotorData, SERIES_FIELD, SHUNT_FIELD};

impl Modes<'_> {
    pub(super) fn motor(&mut self, data: &MotorData) {
        for (path, brush) in self.component.paths.iter().enumerate() {
            if brush.name.as_str().ends_with("-brush") {
                self.brush(brush.name.as_str(), path);
            }
        }
        let group = (PriorGroup::Armature, 1.0);
        let cure = &["replace"];
        match data.field {
            Field::Magnets => {
                let weak = Effect::WeakMagnets;
                self.add("magnets-weak", Some(MAGNET_SHARE), cure, group, weak);
            }
            Field::Wound(_) => self.fields(),
        }
        self.add("coil-open", None, cure, group, Effect::BrokenCoil);
        let shorted = Effect::ShortedCoil;
        self.add("coil-shorted", Some(SHORTED_SHARE), cure, group, shorted);
        let dry = Effect::DryBearing;
        self.add("bearing-dry", Some(BEARING_TORQUE), cure, group, dry);
        self.add("bearing-seized", None, cure, group, Effect::SeizedBearing);
        let earlier = (PriorGroup::EarlierRepair, HIGH_SHARE);
        let wrong = Effect::WrongMotor;
        self.add("wrong-motor", Some(WRONG_TURNS), cure, earlier, wrong);
    }

    /// The windings of a field.
    fn fields(&mut self) {
        let group = (PriorGroup::Armature, 1.0);
        for (path, winding) in self.component.paths.iter().enumerate() {
            let name = winding.name.as_str();
            if [SERIES_FIELD, SHUNT_FIELD].contains(&name) {
                let (open, shorted) = (format!("{name}-open"), format!("{name}-shorted"));
                self.add(&open, None, &["replace"], group, Effect::Open { path });
                let law = Some(FIELD_SHARE);
                self.add(
                    &shorted,
                    law,
                    &["replace"],
                    group,
                    Effect::ShortedField { path },
                );
            }
        }
    }

    fn brush(&mut self, name: &str, path: usize) {
        let cures = &["brushes", "replace"];
        let group = PriorGroup::Brushes;
        self.add(
            &format!("{name}-worn"),
            Some(BRUSH_OHMS),
            cures,
            (group, HIGH_SHARE),
            Effect::Added { path },
        );
        self.add(
            &format!("{name}-intermittent"),
            Some(LIFT_SHARE),
            cures,
            (group, 15.0),
            Effect::Lifts { path },
        );
        self.add(
            &format!("{name}-open"),
            None,
            cures,
            (group, OPEN_SHARE),
            Effect::Open { path },
        );
    }

    /// Paths of a park contact: feed, ground; or feed alone.
    pub(super) fn park_contact(&mut self) {
        let (feed, ground) = (0, 1);
        if self.component.paths.len() == 1 {
            let group = PriorGroup::ParkContact;
            self.joint("feed", group, &["replace"], feed);
            let stuck = Effect::Closed { path: feed };
            let group = (group, OPEN_SHARE);
            self.add("stuck-on-feed", None, &["replace"], group, stuck);
            return self.cam_shifted(OPEN_SHARE);
        }
        let stuck = Effect::Stuck {
            path: ground,
            stuck: feed,
        };
        for (name, effect) in [
            ("feed-open", Effect::Open { path: feed }),
            ("ground-open", Effect::Open { path: ground }),
            ("stuck-on-feed", stuck),
        ] {
            let group = (PriorGroup::ParkContact, 1.0);
            self.add(name, None, &["replace"], group, effect);
        }
        for (name, path) in [("feed", feed), ("ground", ground)] {
            let name = format!("{name}-high-resistance");
            let group = (PriorGroup::ParkContact, 1.0);
            let burnt = Effect::Hidden { path };
            self.add(&name, Some(OHMS), &["replace"], group, burnt);
        }
        self.cam_shifted(0.5);
    }

    /// The cam has turned on the wheel that it is pressed on, so that the motor stops elsewhere.
    fn cam_shifted(&mut self, share: f64) {
        let group = (PriorGroup::ParkContact, share);
        let law = Some(CAM_DEGREES);
        let shifted = Effect::CamShifted;
        self.add("cam-shifted", law, &["replace"], group, shifted);
    }

    pub(super) fn gear(&mut self) {
        let group = (PriorGroup::Gear, 1.0);
        self.add("stripped", None, &["replace"], group, Effect::Stripped);
        let play = Effect::Worn(Worn::Play);
        let law = Some(TEETH_DEGREES);
        self.add("play", law, &["replace"], group, play);
    }
}
