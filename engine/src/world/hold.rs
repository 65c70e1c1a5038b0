//! A hand on an arm: one that helps it along, and one that holds it against the motor to see whether what protects the
//! motor opens, and after how long.

use super::observation::{Observable, Quantity, Scale};
use super::scales::WATCH;
use super::tally::Span;
use super::{World, seconds};
use crate::network::SolveError;
use crate::quantity::{Minutes, Torque};
use crate::vehicle::{ComponentId, Kind, PivotLoad};

/// Torque that a hand adds to an arm, newton metres (judgement).
const HELPS: Torque = Torque::from_newton_metres(6.0);
/// Torque at which two hands at the end of an arm give way, newton metres (judgement: 150 N at 0.6 m).
const HOLDS: Torque = Torque::from_newton_metres(90.0);
/// Seconds until a hand has brought the blades to a stand, and is watching.
const GRIPS_S: f64 = 4.0;
/// Seconds to which a click is told on a watch.
const WATCHED_S: f64 = 0.5;

/// A hand on an arm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hand {
    pub(super) arm: ComponentId,
    holds: bool,
}

impl Hand {
    /// One that helps an arm along.
    pub(super) const fn helping(arm: ComponentId) -> Self {
        Self { arm, holds: false }
    }

    const fn holding(arm: ComponentId) -> Self {
        Self { arm, holds: true }
    }

    /// What it adds to the torque of the pivot that carries its arm, where the blade takes so much: against the way of
    /// the arm where it holds, no more than the arm's serrations carry.
    pub(super) fn adds(self, load: &PivotLoad, blade_nm: f64) -> Torque {
        if load.guides || load.arm != self.arm {
            return Torque::ZERO;
        }
        if !self.holds {
            return HELPS;
        }
        let most = load.slips_at.map_or(HOLDS.newton_metres(), |slip| {
            HOLDS
                .newton_metres()
                .min((slip.newton_metres() - blade_nm).max(0.0))
        });
        Torque::from_newton_metres(-most)
    }
}

impl World {
    /// Holds an arm against the motor: what the blades do, what is heard, and when what protects the motor first clicks.
    pub(super) fn hold(
        &mut self,
        arm: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let handling = self.handling(Some(Hand::holding(arm)));
        let brushes = self.brush_probes();
        let total = seconds(minutes);
        let (mut gone, mut first) = (0.0, None);
        let mut whole: Option<Span> = None;
        while gone < total {
            let span = self.run(WATCHED_S.min(total - gone), &brushes, &handling)?;
            gone += WATCHED_S;
            if span.clicks > 0 {
                first.get_or_insert(gone);
            }
            if gone > GRIPS_S {
                whole = Some(whole.map_or_else(|| span.clone(), |whole| whole.and(&span)));
            }
        }
        self.has_taken(minutes);
        let Some(whole) = whole else {
            return Ok(Vec::new());
        };
        let mut seen = self.blades_watched(&whole);
        // Where a hand holds them is no resting place, and how a held arm goes says nothing of how it goes alone.
        seen.truncate(1);
        seen.extend(self.heard(&whole, &whole.traces));
        let breaks = |kind: &Kind| matches!(kind, Kind::Breaker(_));
        if let Some(breaker) = self.sound.components.iter().find(|part| breaks(&part.kind)) {
            seen.push(Observable::steady(
                Quantity::OpensAfter,
                breaker.id.to_string(),
                first.unwrap_or(NEVER_S),
                Scale::Display(WATCH),
            ));
        }
        Ok(seen)
    }
}

/// Seconds that stand for a click that does not come.
const NEVER_S: f64 = 1000.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::testing::{act, van};

    /// When the breaker of the van first clicks with the left arm held in LOW, and cycles a minute meanwhile.
    fn held(fault: Option<&str>) -> (f64, f64) {
        let mut world = van(fault);
        let mut seen = Vec::new();
        for words in [
            "set ignition-switch on",
            "set wiper-switch low",
            "hold left-arm",
        ] {
            seen = act(&mut world, words);
        }
        let of = |wanted| seen.iter().find(|seen| seen.quantity == wanted).unwrap();
        (of(Quantity::OpensAfter).value, of(Quantity::Pace).value)
    }

    #[test]
    fn a_breaker_opens_when_an_arm_is_held_for_as_long_as_its_bimetal_takes() {
        // 12.6 V over 0.124 ohm of supply and ground, 0.26 of limiter and brushes and 0.6 of ring are 12.8 A cold, twice and
        // a quarter what heats it to 1: 27 ln(2.27 / 1.27) = 15.7 s, and some more as copper warms.
        let (sound, pace) = held(None);
        assert!((14.5..=21.0).contains(&sound), "{sound}");
        assert!(pace < 1.0, "{pace}");
        let (weak, _) = held(Some("wiper-breaker.weak:6"));
        // 4.55 of what heats it to 1: 27 ln(4.55 / 3.55) = 6.7 s.
        assert!((5.0..=8.5).contains(&weak), "{weak}");
        let (welded, pace) = held(Some("wiper-breaker.welded"));
        assert!(welded > 60.0 && pace < 1.0, "{welded}, {pace}");
    }

    #[test]
    fn a_hand_holds_no_arm_that_slips_and_none_whose_link_is_off() {
        for fault in ["left-arm.splines-stripped:0.1", "linkage.link-off"] {
            let (click, _) = held(Some(fault));
            assert!(click > 60.0, "{fault}: {click}");
        }
    }
}
