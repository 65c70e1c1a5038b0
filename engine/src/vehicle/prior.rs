//! How likely each group of faults is, by the age of the vehicle, and how a group is shared out: by what a
//! component is exposed to and whether it was worked on.

use super::{Component, Exposure};

/// The age-dependent group a mode's prior weight comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PriorGroup {
    /// Pivots that bind.
    Pivots,
    /// Crank nut and splines.
    CrankNut,
    /// Brushes.
    Brushes,
    /// Park contact.
    ParkContact,
    /// Gear.
    Gear,
    /// Magnets, armature, bearings.
    Armature,
    /// Motor and body grounds.
    Grounds,
    /// Switches and breaker.
    Switches,
    /// Pins of connectors.
    Pins,
    /// Wires.
    Wires,
    /// Fuses, links and meters in the feed.
    Links,
    /// What an earlier repair left wrong: wires crossed.
    EarlierRepair,
    /// Washer pump and hose.
    Washer,
    /// What is no fault: ice, dry glass, blades, battery.
    NoFault,
}

impl PriorGroup {
    pub(super) const ALL: [Self; 14] = [
        Self::Pivots,
        Self::CrankNut,
        Self::Brushes,
        Self::ParkContact,
        Self::Gear,
        Self::Armature,
        Self::Grounds,
        Self::Switches,
        Self::Pins,
        Self::Wires,
        Self::Links,
        Self::EarlierRepair,
        Self::Washer,
        Self::NoFault,
    ];

    /// Whether what it holds comes sooner where it is wet, and later in the dry.
    const fn corrodes(self) -> bool {
        matches!(
            self,
            Self::Pivots
                | Self::Grounds
                | Self::Pins
                | Self::Wires
                | Self::Links
                | Self::ParkContact
        )
    }

    /// How many times as likely a mode of this group is on a component as on another of its kind: by what its place
    /// does to it, and by whether somebody has worked on it (judgement).
    pub(super) fn times(self, component: &Component) -> f64 {
        let by_place = match component.exposure {
            Exposure::Inside if self.corrodes() => 0.5,
            Exposure::Wet if self.corrodes() => 2.5,
            _ => 1.0,
        };
        let by_history = if component.worked_on && self == Self::EarlierRepair {
            5.0
        } else {
            1.0
        };
        by_place * by_history
    }

    /// Complaints in a hundred at an age in years (judgement, no published source).
    pub(super) const fn weight(self, age_years: u32) -> f64 {
        let by_age: [f64; 4] = match self {
            Self::Pivots => [2.0, 8.0, 19.0, 22.0],
            Self::CrankNut => [8.0, 6.0, 5.0, 5.0],
            Self::Brushes => [1.0, 5.0, 11.0, 12.0],
            Self::ParkContact => [5.0, 8.0, 7.0, 6.0],
            Self::Gear => [2.0, 4.0, 3.0, 3.0],
            Self::Armature => [4.0, 3.0, 3.0, 3.0],
            Self::Grounds => [4.0, 6.0, 9.0, 10.0],
            Self::Switches => [10.0, 9.0, 7.0, 6.0],
            Self::Pins => [15.0, 11.0, 6.0, 5.0],
            Self::Wires => [6.0, 5.0, 3.0, 3.0],
            Self::Links => [6.0, 5.0, 2.0, 1.0],
            Self::EarlierRepair => [8.0, 4.0, 1.0, 1.0],
            Self::Washer => [3.0, 5.0, 6.0, 6.0],
            Self::NoFault => [25.0, 18.0, 12.0, 10.0],
        };
        let bracket = match age_years {
            0..=2 => 0,
            3..=7 => 1,
            8..=15 => 2,
            _ => 3,
        };
        by_age[bracket]
    }
}
