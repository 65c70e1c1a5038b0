//! How likely each group of faults is, by the age of the vehicle.

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
