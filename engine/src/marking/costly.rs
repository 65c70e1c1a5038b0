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
            let points = order + by_minute * of.lost.as_minutes() + unsafe_points(of);
            Costly { line, points }
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
