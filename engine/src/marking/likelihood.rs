//! How likely a reading is under a hypothesis: a fault at a severity that lies somewhere in a cell.
//!
//! The middle of a cell is run; between two middles values go in a straight line as long as both vehicles do the same kind
//! of thing. Where one stalls, or a breaker opens for it, and the next does not, each goes on as it does on its other side,
//! as far as the next middle: where between them the change comes is not known.

use super::belief::{AtPoints, Belief, POINTS};
use super::bouts::{STOPPED_SD_MM, between, bout, mixed};
use super::case::Case;
use super::hypothesis::{Hypothesis, reach};
use super::information::{Prediction, Within};
use super::running::ShownBy;
use crate::math;
use crate::world::{Observable, Observation, Quantity, Scale};

/// Logarithm of the likelihood of anything under a hypothesis that is not run any more.
const OUT_OF_THE_RUNNING: f64 = -1e6;
/// Share of each neighbouring cell's likelihood in a cell's own.
const NEIGHBOUR: f64 = 0.1;
/// Logarithmic penalty of a reading where a vehicle would have given none.
const NOTHING_THERE: f64 = 6.0;
/// Share of times that blades which are expected to stand somewhere do so somewhere else (judgement): where they come to
/// stand hangs on a moment.
const STANDS_ELSEWHERE: f64 = 0.1;
/// Chance of what a display shows while blades stand elsewhere than they are expected to (judgement).
const AS_ELSEWHERE: f64 = 0.25;
/// Standard deviation of the mean of what swings, as a share of the swing (judgement): a window does not hold whole strokes.
const OF_THE_SWING: f64 = 0.02;
/// Standard deviation, as a share of the value, where it is not known how it goes within a cell (judgement).
const NOT_KNOWN: f64 = 0.1;
/// Level of blades from which they go.
const GOING: f64 = 2.5;
/// The same as a word.
const MOVING: usize = 3;
/// Strokes a minute below which blades are held to stand.
const STANDING: f64 = 0.5;
/// How many times one swing is beyond another, tolerances apart, that comes of something else.
const OTHER_SWING: f64 = 3.0;
/// Tolerances by which swings may differ whatever they come of.
const SWING_TOLERANCES: f64 = 10.0;

impl Case {
    /// Logarithm of the likelihood of what was read at the points of each hypothesis; `fresh` says which observations are
    /// not mere repeats of an earlier check in the same state.
    ///
    /// A severity somewhere in its cell may already behave like the neighbouring cell, beyond a stall or
    /// a trip where no interpolation holds: the neighbours' likelihoods are mixed in.
    pub(super) fn log_likelihoods(
        &self,
        belief: &Belief,
        predictions: &[Prediction],
        read: &[Observation],
        fresh: &[bool],
    ) -> Vec<AtPoints> {
        let reading = Reading { read, fresh };
        let own: Vec<AtPoints> = (0..predictions.len())
            .map(|index| match self.waits.get(index) {
                // What is not run has nothing to say.
                Some(true) => [OUT_OF_THE_RUNNING; POINTS],
                _ => {
                    let points = self.list.get(index).map_or([0.0; POINTS], |of| of.points);
                    reading.at_points(&predictions[index], &points)
                }
            })
            .collect();
        let means: Vec<f64> = (0..own.len())
            .map(|index| belief.log_mean(index, &own[index]))
            .collect();
        let with_neighbours = |(index, own): (usize, AtPoints)| {
            let Some(of) = self.list.get(index).filter(|of| of.cells > 1) else {
                return own;
            };
            let beside = of
                .beside(index)
                .map(|beside| beside.map(|index| means[index]));
            own.map(|own| {
                let [low, high] = beside.map(|beside| beside.unwrap_or(own));
                let best = own.max(low).max(high);
                let mixed = (1.0 - 2.0 * NEIGHBOUR) * math::exp(own - best)
                    + NEIGHBOUR * (math::exp(low - best) + math::exp(high - best));
                best + math::log(mixed)
            })
        };
        own.into_iter().enumerate().map(with_neighbours).collect()
    }
}

/// What was read of one check, and whether each of it is news.
struct Reading<'a> {
    read: &'a [Observation],
    fresh: &'a [bool],
}

impl Reading<'_> {
    fn at_points(&self, prediction: &Prediction, points: &AtPoints) -> AtPoints {
        if prediction.within.iter().all(Within::is_flat) {
            return [self.log_likelihood(prediction, 0.0, 0.0); POINTS];
        }
        // Half of the way to the points on both sides is a point's own.
        let gap = |point: usize| {
            let (low, high) = (point.saturating_sub(1), (point + 1).min(POINTS - 1));
            #[expect(clippy::cast_precision_loss, reason = "a few points")]
            let gaps = (high - low) as f64;
            (points[high] - points[low]) / gaps
        };
        std::array::from_fn(|point| self.log_likelihood(prediction, points[point], gap(point)))
    }

    /// Of what is a mere repeat, nothing is learnt but that a loose contact stands as it stood. What is run and shows nothing
    /// there is at odds with a reading.
    fn log_likelihood(&self, prediction: &Prediction, steps: f64, gap: f64) -> f64 {
        let Self { read, fresh } = *self;
        let unexplained = if prediction.known {
            -NOTHING_THERE
        } else {
            0.0
        };
        let sum = |of: &dyn Fn(&Observation) -> Option<f64>, wanted: bool| -> f64 {
            let chosen = read.iter().zip(fresh).filter(|(_, is)| **is == wanted);
            chosen
                .map(|(read, _)| of(read).unwrap_or_else(|| read.log_chance() + unexplained))
                .sum()
        };
        let elsewhere = self.stand_elsewhere(&prediction.seen);
        let closed = |read: &Observation| {
            let mut all = prediction.seen.iter().zip(&prediction.within);
            let (of, within) = all.find(|(of, _)| of.is_of(read))?;
            let (values, spread) = within.at(of, steps, gap);
            Some(log_likelihood_of(of, values, spread, read, elsewhere))
        };
        let own = sum(&closed, true);
        let Some(bout) = &prediction.bout else {
            return own;
        };
        let elsewhere = self.stand_elsewhere(&bout.seen);
        let parted = |read: &Observation| {
            let mut all = bout.seen.iter().zip(&bout.spreads);
            let (of, spread) = all.find(|(of, _)| of.is_of(read))?;
            Some(log_likelihood_of(of, of.values(), *spread, read, elsewhere))
        };
        let repeat = (sum(&closed, false), sum(&parted, false));
        let news = read.iter().zip(fresh).filter(|(_, fresh)| **fresh);
        let meanwhile = news
            .map(|(read, _)| between(&prediction.seen, &bout.seen, read))
            .sum();
        let likelier = repeat.0.max(repeat.1);
        mixed(
            bout.chance,
            own + repeat.0 - likelier,
            sum(&parted, true) + repeat.1 - likelier,
            meanwhile,
        )
    }

    /// Whether blades are seen to stand in another place than they are expected to.
    fn stand_elsewhere(&self, expected: &[Observable]) -> bool {
        let blades = expected.iter().find(|of| of.quantity == Quantity::Blades);
        let Some(blades) = blades.filter(|of| of.value < GOING) else {
            return false;
        };
        self.read.iter().any(|read| match read {
            Observation::Perception { level, .. } if blades.is_of(read) && *level < MOVING => {
                #[expect(clippy::cast_precision_loss, reason = "one of four words")]
                let level = *level as f64;
                level < blades.min - 0.5 || level > blades.max + 0.5
            }
            _ => false,
        })
    }
}

/// Logarithm of the likelihood of one reading where other values are expected. Of blades that stand `elsewhere` than
/// they are expected to, the park contact may be in another state too, and what a display shows is one of a few things that
/// are not known.
fn log_likelihood_of(
    of: &Observable,
    values: [f64; 3],
    spread: f64,
    read: &Observation,
    elsewhere: bool,
) -> f64 {
    let log = of.log_likelihood_at(values, read, spread);
    if stands_somewhere(of, read) {
        let elsewhere = STANDS_ELSEWHERE * math::exp(read.log_chance());
        return math::log((1.0 - STANDS_ELSEWHERE) * math::exp(log) + elsewhere);
    }
    match read {
        Observation::Reading { shown, .. } if elsewhere => {
            let as_read = shown.map_or(0.0, |shown| {
                let values = shown.map(|shown| shown.value());
                of.log_likelihood_at(values, read, of.quantity.tolerance(values[0]))
            });
            log.max(as_read + math::log(AS_ELSEWHERE))
        }
        _ => log,
    }
}

impl Within {
    fn is_flat(&self) -> bool {
        self.rise.iter().flatten().all(|rise| *rise == 0.0)
    }

    /// What value, least and most rise by on the side that steps go to.
    const fn rise_to(&self, steps: f64) -> &[f64; 3] {
        let [milder, worse] = &self.rise;
        if steps < 0.0 { milder } else { worse }
    }

    /// Value, least and most so many steps from the middle of the cell, and the standard deviation of the first: vehicles
    /// differ, and a point stands for all severities in a gap.
    fn at(&self, of: &Observable, steps: f64, gap: f64) -> ([f64; 3], f64) {
        let rise = self.rise_to(steps);
        let mut values = of.values();
        for (value, rise) in values.iter_mut().zip(rise) {
            *value += steps.abs() * rise;
        }
        let gap = gap * rise[0] / math::sqrt(12.0);
        let swing = match of.scale {
            Scale::Display(_) => OF_THE_SWING * (values[2] - values[1]),
            Scale::Words(_) => 0.0,
        };
        let squares = [self.tolerance, gap, swing].map(math::square);
        (values, math::sqrt(squares.iter().sum()))
    }

    /// The standard deviation over the whole cell.
    fn spread(&self, points: &AtPoints) -> f64 {
        let along = points.map(|steps| steps * self.rise_to(steps)[0]);
        math::sqrt(math::square(reach(&along)) + math::square(self.tolerance))
    }
}

/// Adds to what each hypothesis shows how it goes within its severity's cell, by its neighbours' predictions. 'None of
/// these' and what is not run show nothing.
pub(super) fn with_spreads(list: &[Hypothesis], shown: Vec<Option<ShownBy>>) -> Vec<Prediction> {
    let seen = |index: usize| shown[index].as_ref().map(|(seen, _)| seen.as_slice());
    let within: Vec<Vec<Within>> = (0..list.len())
        .map(|index| {
            let Some(own) = seen(index) else {
                return Vec::new();
            };
            let beside = list[index].beside(index);
            let beside = beside.map(|of| of.and_then(seen));
            let alike = beside.map(|of| of.filter(|of| of_one_kind(own, of)));
            let among_others = list[index].cells > 1;
            let of = |of| within(of, beside, alike, among_others);
            own.iter().map(of).collect()
        })
        .collect();
    let with_spread = |(index, (shown, within)): (usize, (Option<ShownBy>, Vec<Within>))| {
        let known = shown.is_some();
        let (seen, met) = shown.unwrap_or_default();
        let points = list[index].points;
        Prediction {
            known,
            seen,
            spreads: within.iter().map(|of| of.spread(&points)).collect(),
            within,
            bout: met.map(bout),
        }
    };
    let all = shown.into_iter().zip(within).enumerate();
    let mut predictions: Vec<Prediction> = all.map(with_spread).collect();
    predictions.push(Prediction::UNKNOWN);
    predictions
}

/// The one of a list that is of the same quantity and subject.
fn same<'o>(of: &Observable, list: &'o [Observable]) -> Option<&'o Observable> {
    list.iter()
        .find(|other| other.quantity == of.quantity && other.subject == of.subject)
}

/// How an observable goes within a cell, by what the cells beside it show, and what those of them do that are of one kind
/// with it.
fn within(
    of: &Observable,
    beside: [Option<&[Observable]>; 2],
    alike: [Option<&[Observable]>; 2],
    among_others: bool,
) -> Within {
    let lacks = |list: Option<&[Observable]>| list.is_some_and(|list| same(of, list).is_none());
    let tolerance = match of.quantity {
        // Of two severities side by side blades stop with one alone: where, is chance.
        Quantity::Rest if beside.into_iter().any(lacks) => STOPPED_SD_MM,
        quantity => quantity.tolerance(of.value),
    };
    let rise = alike.map(|list| {
        let there = same(of, list?)?.values();
        let own = of.values();
        Some(std::array::from_fn::<f64, 3, _>(|at| there[at] - own[at]))
    });
    // Where the next does something else, it goes on as on the other side, and may do so all the way to it.
    let on = |other: Option<[f64; 3]>, all_the_way: bool| {
        let times = if all_the_way { -2.0 } else { -1.0 };
        other.map_or([0.0; 3], |rise| rise.map(|rise| times * rise))
    };
    let [milder, worse] = rise;
    let [before, after] = beside;
    // In a cell among others, and nothing beside it that does the same.
    let lost = among_others && rise == [None, None];
    let lost = match of.scale {
        Scale::Display(_) if lost => NOT_KNOWN * of.max.abs().max(of.min.abs()),
        _ => 0.0,
    };
    Within {
        tolerance: math::sqrt(math::square(tolerance) + math::square(lost)),
        rise: [
            milder.unwrap_or_else(|| on(worse, before.is_some())),
            worse.unwrap_or_else(|| on(milder, after.is_some())),
        ],
    }
}

/// Whether it is read of blades where they stand that are expected to.
fn stands_somewhere(of: &Observable, read: &Observation) -> bool {
    match (of.quantity, read) {
        (Quantity::Rest, _) => true,
        (Quantity::Blades, Observation::Perception { level, .. }) => {
            of.value < GOING && *level < MOVING
        }
        _ => false,
    }
}

/// Whether two vehicles do the same kind of thing in a check: blades go on both or on none, and nothing swings on one alone.
fn of_one_kind(one: &[Observable], other: &[Observable]) -> bool {
    let pairs = one.iter().filter_map(|of| Some((of, same(of, other)?)));
    let mut pairs = pairs.map(|(one, other)| {
        let on_one_side = |cut: f64| (one.value > cut) == (other.value > cut);
        match one.quantity {
            Quantity::Blades => on_one_side(GOING),
            Quantity::CyclesPerMinute => on_one_side(STANDING),
            Quantity::Voltage | Quantity::Current => {
                let swing = |of: &Observable| of.max - of.min;
                let (less, more) = (swing(one).min(swing(other)), swing(one).max(swing(other)));
                let tolerance = one.quantity.tolerance(one.value);
                more <= OTHER_SWING * less + SWING_TOLERANCES * tolerance
            }
            _ => true,
        }
    });
    pairs.all(|alike| alike)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vehicle::{ComponentId, Fault, ModeId};
    use crate::world::{Display, Errors, Words};

    const VOLTS: Scale = Scale::Display(Display {
        unit: "V",
        ranges: &[(40.0, -2)],
        step: 1,
        share: 0.005,
        counts: 2.0,
    });

    const STATES: Scale = Scale::Words(Words {
        cuts: &[0.5, 1.5, 2.5],
        words: &["at rest", "near their rest", "on the glass", "moving"],
        sd: 0.1,
        share: 0.0,
    });

    fn volts(place: usize, value: f64) -> Observable {
        Observable::steady(Quantity::Voltage, place.to_string(), value, VOLTS)
    }

    fn blades(level: f64) -> Observable {
        Observable::steady(Quantity::Blades, "blades".to_owned(), level, STATES)
    }

    /// So many equal cells of a fault, as of an even law.
    fn cells(count: usize) -> Vec<Hypothesis> {
        let cell = |cell| Hypothesis {
            fault: Fault {
                component: ComponentId(0),
                mode: ModeId(0),
                severity: None,
            },
            cell,
            cells: count,
            points: [-0.4, -0.2, 0.0, 0.2, 0.4],
            prior: 1.0,
            class: 0,
        };
        (0..count).map(cell).collect()
    }

    /// Readings of three voltages that rise by one, four and a half volt from the mildest to the worst severity, 0 to 1.
    fn shown(severity: f64) -> Vec<Vec<Observable>> {
        let at = |(place, rise): (usize, f64)| vec![volts(place, 5.0 + rise * severity)];
        [1.0, 4.0, 0.5].into_iter().enumerate().map(at).collect()
    }

    /// Logarithm of the likelihood of those readings at a severity, by so many cells.
    fn by_cells(count: usize, severity: f64) -> f64 {
        let list = cells(count);
        #[expect(clippy::cast_precision_loss, reason = "a few hundred cells")]
        let middle = |cell: usize| (cell as f64 + 0.5) / count as f64;
        let mut belief = Belief::new(vec![1.0; count + 1]);
        let mut logs = vec![0.0; count];
        for (check, read) in shown(severity).into_iter().enumerate() {
            let read: Vec<Observation> = read.iter().map(|of| of.observe(Errors::NONE)).collect();
            let all = (0..count).map(|cell| Some((shown(middle(cell)).swap_remove(check), None)));
            let predictions = with_spreads(&list, all.collect());
            let reading = Reading {
                read: &read,
                fresh: &[true],
            };
            let points = [-0.4, -0.2, 0.0, 0.2, 0.4];
            let at: Vec<AtPoints> = predictions
                .iter()
                .map(|prediction| reading.at_points(prediction, &points))
                .collect();
            for (cell, log) in logs.iter_mut().enumerate() {
                *log += belief.log_mean(cell, &at[cell]);
            }
            belief.learn(&at);
        }
        let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = logs.iter().map(|log| math::exp(log - best)).sum();
        #[expect(clippy::cast_precision_loss, reason = "a few hundred cells")]
        let count = count as f64;
        best + math::log(sum / count)
    }

    #[test]
    fn nine_cells_say_what_three_hundred_would_wherever_the_severity_lies() {
        for place in 0..=40 {
            let severity = 0.05 + 0.9 * f64::from(place) / 40.0;
            let (few, many) = (by_cells(9, severity), by_cells(300, severity));
            assert!((few - many).abs() < 0.7, "{severity}: {few} {many}");
        }
    }

    #[test]
    fn beyond_a_stall_a_cell_goes_on_as_it_did_before() {
        // 5, 6 and 7 V with blades that go, and 1 V with blades that stand.
        let going = |value: f64| Some((vec![volts(0, value), blades(3.0)], None));
        let stalled = Some((vec![volts(0, 1.0), blades(1.0)], None));
        let shown = vec![going(5.0), going(6.0), going(7.0), stalled];
        let predictions = with_spreads(&cells(4), shown);
        let rise = |cell: usize| predictions[cell].within[0].rise.map(|side| side[0]);
        let near = |found: [f64; 2], expected: [f64; 2]| {
            let pairs = found.into_iter().zip(expected);
            for (found, expected) in pairs {
                assert!((found - expected).abs() < 1e-9, "{found} {expected}");
            }
        };
        near(rise(1), [-1.0, 1.0]);
        // All the way to the middle of the next.
        near(rise(2), [-1.0, 2.0]);
        // Nothing like it beside the last: how it goes is not known, so a tenth of the value is allowed for.
        near(rise(3), [0.0, 0.0]);
        assert!(predictions[3].spreads[0] > 0.1 && predictions[2].spreads[0] < 0.7);
    }

    #[test]
    fn where_blades_come_to_stand_is_no_proof() {
        let list = cells(1);
        let log = |expected: f64, read: f64| {
            let predictions = with_spreads(&list, vec![Some((vec![blades(expected)], None))]);
            let read = [blades(read).observe(Errors::NONE)];
            let reading = Reading {
                read: &read,
                fresh: &[true],
            };
            reading.at_points(&predictions[0], &[0.0; POINTS])[0]
        };
        // Own numbers: nine in ten as expected; of the tenth, a quarter each.
        let near = |found: f64, expected: f64| {
            assert!(
                (found - math::log(expected)).abs() < 1e-3,
                "{found} {expected}"
            );
        };
        near(log(2.0, 2.0), 0.925);
        near(log(2.0, 1.0), 0.025);
        // And what a display shows of them there is no proof either: a quarter at most of what it would say to one who
        // expects it.
        let shown = |expected: f64, place: f64| {
            let seen = vec![volts(0, expected), blades(2.0)];
            let predictions = with_spreads(&list, vec![Some((seen, None))]);
            let read = [volts(0, 12.0), blades(place)].map(|of| of.observe(Errors::NONE));
            let reading = Reading {
                read: &read,
                fresh: &[true, true],
            };
            reading.at_points(&predictions[0], &[0.0; POINTS])[0]
        };
        assert!(shown(0.0, 2.0) < shown(12.0, 2.0) - 10.0);
        let less = shown(12.0, 1.0) - shown(0.0, 1.0);
        assert!((less - math::log(4.0)).abs() < 1e-6, "{less}");
        // That they go where they should stand is.
        assert!(log(2.0, 3.0) < -10.0 && log(3.0, 1.0) < -10.0);
    }
}
