//! The way of a battery's current, in the words of the trade: discharge when it gives, charge when it takes.
//!
//! The needle of a dash ammeter and a clamp around a battery's cable show one current either way; which way is
//! discharge, the cable's ends say.

use groundside_engine::vehicle::{Kind, Vehicle};
use groundside_engine::world::Shown;

/// The reading of a clamp on a wire with its discharge above zero; `None` where the wire does not end at a battery's
/// post, and its current is neither.
pub(super) fn at_battery(wire: &str, seen: [Shown; 3], vehicle: &Vehicle) -> Option<[Shown; 3]> {
    let cable = vehicle.component(vehicle.find(wire)?).paths.first()?;
    let batteries = vehicle.components.iter();
    let mut batteries = batteries.filter(|part| matches!(part.kind, Kind::Battery(_)));
    batteries.find_map(|battery| {
        let [pos, neg, ..] = battery.terminals.as_slice() else {
            return None;
        };
        // What goes into a cable at the positive post, or out of one at the negative, the battery gives.
        if cable.p == pos.node || cable.n == neg.node {
            Some(seen)
        } else if cable.n == pos.node || cable.p == neg.node {
            let [mean, min, max] = seen;
            Some([mean, max, min].map(turned))
        } else {
            None
        }
    })
}

/// Where the arrow on a clamp's jaw points: at the end of the wire that the book names last. What flows the other way reads
/// below zero.
pub(super) fn arrow<'v>(wire: &str, vehicle: &'v Vehicle) -> Option<&'v str> {
    let path = vehicle.component(vehicle.find(wire)?).paths.first()?;
    vehicle.node_names.get(path.n.index()).map(String::as_str)
}

/// Mean, least and most of a current whose discharge is above zero: `24 A charge (20 to 30)`.
pub(super) fn either_way([mean, min, max]: [Shown; 3], unit: &str, swings: bool) -> String {
    let way = |shown: Shown| match shown.counts {
        0 => "",
        1.. => " discharge",
        _ => " charge",
    };
    let size = |shown: Shown| {
        if shown.counts < 0 {
            turned(shown)
        } else {
            shown
        }
    };
    let told = format!("{} {unit}{}", size(mean), way(mean));
    if !swings {
        return told;
    }
    if min.counts < 0 && max.counts > 0 {
        let (least, most) = (size(min), size(max));
        return format!("{told} ({least} charge to {most} discharge)");
    }
    let (one, other) = (size(min), size(max));
    let (least, most) = if max.counts <= 0 {
        (other, one)
    } else {
        (one, other)
    };
    format!("{told} ({least} to {most})")
}

const fn turned(shown: Shown) -> Shown {
    Shown {
        counts: -shown.counts,
        ..shown
    }
}

#[cfg(test)]
mod tests {
    use groundside_engine::file::read_vehicle;

    use super::*;

    fn amps(counts: [i64; 3]) -> [Shown; 3] {
        counts.map(|counts| Shown {
            counts,
            exponent: 0,
        })
    }

    #[test]
    fn a_current_is_told_by_its_size_and_its_way() {
        for (seen, swings, told) in [
            ([6, 6, 6], false, "6 A discharge"),
            ([-24, -24, -24], false, "24 A charge"),
            ([0, 0, 0], false, "0 A"),
            ([6, 2, 8], true, "6 A discharge (2 to 8)"),
            ([-24, -30, -20], true, "24 A charge (20 to 30)"),
            ([2, -4, 8], true, "2 A discharge (4 charge to 8 discharge)"),
            ([4, 0, 10], true, "4 A discharge (0 to 10)"),
        ] {
            assert_eq!(either_way(amps(seen), "A", swings), told);
        }
    }

    #[test]
    fn both_cables_of_a_battery_tell_the_same_way() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let van = read_vehicle(text).unwrap().0;
        let seen = amps([5, 4, 6]);
        // The one runs from the positive post, the other to the negative: what it gives goes along both.
        for wire in ["battery-link", "battery-strap"] {
            assert_eq!(at_battery(wire, seen, &van), Some(seen), "{wire}");
        }
        assert_eq!(at_battery("motor-strap", seen, &van), None);
    }

    /// What goes to the motor and what comes back from it are both told along the way that the book names the ends in.
    #[test]
    fn the_arrow_points_at_the_end_that_the_book_names_last() {
        let text = include_str!("../../../scenarios/bus-compound.toml");
        let bus = read_vehicle(text).unwrap().0;
        for (wire, end) in [
            ("lead-d1", "motor d1"),
            ("lead-e2", "motor e2"),
            ("motor-strap", "front-ground stud"),
        ] {
            assert_eq!(arrow(wire, &bus), Some(end), "{wire}");
        }
    }
}
