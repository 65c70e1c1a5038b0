//! Which actions cost most of an attempt, in points of the total.

use super::debrief::{CheckLine, Costly, Hands};
use super::weights;
use crate::world::Gravity;

/// How many are named.
const NAMED: usize = 3;
/// Points below which an action is not named.
const WORTH_NAMING: f64 = 0.5;

/// The dearest actions, the dearest first. `time` is the mark for time, 0 to 100, whose missing points are shared out by
/// the minutes lost; what a badly chosen check takes off the mean of the order is its own. Caps are left out, but for
/// hands in a linkage that moved, which cost everything.
pub(super) fn costly(lines: &[CheckLine], time: f64) -> Vec<Costly> {
    let sum: f64 = lines.iter().map(|line| line.lost.as_minutes()).sum();
    let by_minute = if sum > 0.0 {
        weights::TIME * (100.0 - time) / sum
    } else {
        0.0
    };
    #[expect(clippy::cast_precision_loss, reason = "at most 2000 lines")]
    let ordered = lines.iter().filter_map(|line| line.efficiency).count() as f64;
    let mut all: Vec<Costly> = lines
        .iter()
        .enumerate()
        .map(|(line, of)| {
            let order = of.efficiency.map_or(0.0, |efficiency| {
                100.0 * weights::ORDER * (1.0 - efficiency) / ordered
            });
            let time = by_minute * of.lost.as_minutes();
            let unsafe_points = unsafe_points(of);
            Costly {
                line,
                points: order + time + unsafe_points,
                time,
                order,
                unsafe_points,
            }
        })
        .filter(|costly| costly.points >= WORTH_NAMING)
        .collect();
    all.sort_by(|a, b| b.points.total_cmp(&a.points));
    all.truncate(NAMED);
    all
}

fn unsafe_points(line: &CheckLine) -> f64 {
    if line.hands > Hands::Free {
        return 100.0;
    }
    let points = line.hazards.iter().map(|hazard| match hazard.gravity() {
        Gravity::Minor => weights::MINOR_HAZARD,
        Gravity::Major => weights::MAJOR_POINTS,
    });
    points.sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Minutes;
    use crate::world::Hazard;

    /// A mark for time of 60 misses 20 points of the total, shared out by minutes; of order 30 in a hundred are shared out by
    /// how many are graded.
    #[test]
    fn points_are_those_of_time_of_order_and_of_what_was_unsafe() {
        let line = |minutes: u32, efficiency, hazards| CheckLine {
            lost: Minutes::from_hundredths(100 * minutes),
            efficiency,
            hazards,
            ..CheckLine::default()
        };
        let minor = Hazard::ALL
            .into_iter()
            .find(|hazard| hazard.gravity() == Gravity::Minor);
        let lines = [
            line(3, Some(0.5), Vec::new()),
            line(1, None, minor.into_iter().collect()),
            line(0, Some(1.0), Vec::new()),
        ];
        let told = costly(&lines, 60.0);
        let [first, second] = told[..] else {
            panic!("{told:?}");
        };
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
        for (costly, line, [time, order, hazards]) in [
            (first, 0, [15.0, 7.5, 0.0]),
            (second, 1, [5.0, 0.0, weights::MINOR_HAZARD]),
        ] {
            assert_eq!(costly.line, line);
            near(costly.time, time);
            near(costly.order, order);
            near(costly.unsafe_points, hazards);
            near(costly.points, time + order + hazards);
        }
    }
}
