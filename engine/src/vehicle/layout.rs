//! Where things are, and what reaching and doing things costs in minutes.

use super::{ComponentId, Vehicle};
use crate::ident::Name;
use crate::quantity::Minutes;

/// Which place of a layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlaceId(pub(crate) usize);

impl PlaceId {
    /// Position in [`Layout::places`].
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

/// Which cover of a layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CoverId(pub(crate) usize);

impl CoverId {
    /// Position in [`Layout::covers`].
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

/// Somewhere a person can stand or sit.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its id.
    pub id: Name,
    /// What it is called on screen.
    pub title: String,
}

/// Something that must come off before what is behind it can be reached.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    /// Its id.
    pub id: Name,
    /// What it is called on screen.
    pub title: String,
    /// Where one must be to take it off.
    pub place: PlaceId,
    /// Minutes to take it off.
    pub off: Minutes,
    /// Minutes to put it back.
    pub on: Minutes,
    /// Whether the wiper arms come off with it. Motor and pivots run without them, and nothing drags over the glass then.
    pub takes_arms: bool,
}

/// Minutes of the things a practised person does, after access (judgement, no published source).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charges {
    /// Going from one place to another.
    pub walk: Minutes,
    /// Working a control.
    pub control: Minutes,
    /// Having a helper work a control meanwhile.
    pub helper: Minutes,
    /// Looking, listening, feeling, reading the dash ammeter, trying another consumer.
    pub sense: Minutes,
    /// Counting cycles.
    pub count: Minutes,
    /// Wetting the glass.
    pub wet_glass: Minutes,
    /// Getting the meter out, once.
    pub meter_out: Minutes,
    /// A reading at an open point.
    pub reading: Minutes,
    /// Unplugging or plugging a connector.
    pub plug: Minutes,
    /// Lifting, moving or helping an arm by hand.
    pub arm: Minutes,
    /// Undoing the crank nut.
    pub nut_off: Minutes,
    /// Fitting the crank nut.
    pub nut_on: Minutes,
    /// Putting on one jumper lead.
    pub jumper: Minutes,
    /// Testing the battery at rest and under load.
    pub battery_test: Minutes,
}

/// Places, covers and charges.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Places; an attempt begins at the first.
    pub places: Vec<Place>,
    /// Covers.
    pub covers: Vec<Cover>,
    /// What things cost.
    pub charges: Charges,
}

impl Vehicle {
    /// Minutes to a component from where an attempt begins: walking there, and taking off what covers it.
    pub(crate) fn way_to(&self, id: ComponentId) -> Minutes {
        let component = self.component(id);
        let cover = component
            .cover
            .map(|cover| &self.layout.covers[cover.index()]);
        let mut at = PlaceId(0);
        let mut minutes = cover.map_or(Minutes::ZERO, |cover| cover.off);
        let places = cover.map(|cover| cover.place).into_iter();
        for place in places.chain([component.place]) {
            if place != at {
                minutes = minutes.plus(self.layout.charges.walk);
                at = place;
            }
        }
        minutes
    }
}
