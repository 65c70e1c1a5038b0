//! What a run leaves behind, and how two runs of one thing are held against each other.
//!
//! Rows are of a hundredth of a second while something was just changed, longer later. In a row in which a contact
//! moves, and in the one before and after it, a mean hangs on the moment, and one step more or less of 12 A is a
//! hundredth of it: there currents and voltages are left out. The speed is left out just after a click of a
//! breaker, which cuts off what drives the shaft. The angle is held everywhere.

use crate::ledger::Ledger;

/// How far speed, angle, current and voltage may be off, as a share of their largest value over the run.
const SHARE: f64 = 0.005;
/// How far a stopping angle may be off, degrees of the crank, and as a share of the way turned since the start.
const STOP_DEG: f64 = 0.1;
const STOP_SHARE: f64 = 1.5e-4;
/// How far an eccentric may be off, degrees, besides what the crank may.
const OUT_DEG: f64 = 0.2;
/// How far the time of a click may be off, as a share of it, and seconds besides: two steps of the naive run, in which a
/// contact moves at a step's end. The
/// engine heats a breaker by the square of a step's mean current, which is so much off the mean of squares while
/// a motor spins up.
const CLICK_SHARE: f64 = 1e-3;
const CLICK_S: f64 = 2e-4;
/// How much later or sooner what goes on after a click may do so, as a share of its time. (Where a breaker goes on
/// letting a motor run and cutting it off, the two are apart by 1.5e-4 of the time after fifty seconds.)
const RESTART_SHARE: f64 = 2e-4;
/// How far the two may be apart in time, as a share of the time since the start: what moves is held to what it
/// moves in so much of a time, and in what a click may be off, besides.
pub(super) const DRIFT: f64 = 4e-5;
/// The same with a brush that lifts: the speed then changes by a third within one of the engine's steps, which are off
/// by 5e-5 of the way (a tenth of it in steps a tenth as long); that is little of a turn of the crank and much of one
/// of the shaft, within which the speed goes faster up and down than rows show.
pub(super) const LIFTING_DRIFT: f64 = 12.0 * DRIFT;
/// The same with a wound field: it lags its current, and a motor that is fed and not fed in each turn of its crank is off
/// by 1e-4 of the time in the engine's steps (a twentieth of it in steps a tenth as long).
pub(super) const WOUND_DRIFT: f64 = 3.0 * DRIFT;
/// Rows on either side that tell how fast something changes.
const ABOUT: usize = 10;
/// Seconds after a click in which the speed is left out: it hangs on the moment of the click.
const AFTER_CLICK_S: f64 = 0.5;
/// Volts below which a difference is no matter: a meter on a floating wire shows less.
const VOLTS: f64 = 1e-3;

/// Kelvins below which a difference is no matter: a hundredth of what a hand tells.
const KELVINS: f64 = 0.02;

/// A stretch of a run: what stands at its end, and means over it.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    /// Seconds since the start, at its end.
    pub(super) time: f64,
    /// Shaft speed, rad/s.
    pub(super) speed: f64,
    /// Degrees that the motor has turned the crank since the start, whichever way.
    pub(super) turned: f64,
    /// Degrees that the eccentric of the crank has turned out.
    pub(super) out: f64,
    /// How much hotter than the air the winding's copper and the motor's iron are, kelvins.
    pub(super) rises: [f64; 2],
    /// Mean of each quantity that was followed: amperes first, then volts.
    pub(super) means: Vec<f64>,
    /// Whether a contact moved by itself.
    pub(super) edge: bool,
    /// Breakers that opened or closed.
    pub(super) clicks: u32,
}

/// A run.
#[derive(Clone, Debug, Default)]
pub(super) struct Trace {
    pub(super) rows: Vec<Row>,
    /// How many of the followed quantities are currents; the others are voltages.
    pub(super) currents: usize,
    /// How far the two may be apart in time, as a share of the time since the start.
    pub(super) drift: f64,
}

impl Trace {
    fn largest(&self, of: impl Fn(&Row) -> f64) -> f64 {
        self.rows
            .iter()
            .map(|row| of(row).abs())
            .fold(0.0, f64::max)
    }

    /// Rows in which, or beside which, something was so.
    fn beside(&self, so: impl Fn(&Row) -> bool) -> Vec<bool> {
        let edge = |place: usize| self.rows.get(place).is_some_and(&so);
        let places = 0..self.rows.len();
        places
            .map(|k| edge(k) || edge(k + 1) || (k > 0 && edge(k - 1)))
            .collect()
    }

    /// Times of the rows in which breakers moved, one for each click.
    fn clicks(&self) -> Vec<f64> {
        let times = self.rows.iter().flat_map(|row| {
            let count = usize::try_from(row.clicks).unwrap_or(0);
            std::iter::repeat_n(row.time, count)
        });
        times.collect()
    }

    /// Rows at whose end the shaft has come to rest.
    fn stops(&self) -> impl Iterator<Item = &Row> {
        let pairs = self.rows.windows(2);
        pairs
            .filter(|pair| pair[0].speed != 0.0 && pair[1].speed == 0.0)
            .map(|pair| &pair[1])
    }

    /// Holds this run, the engine's, against a naive one.
    pub(super) fn hold(&self, what: &str, naive: &Self, ledger: &mut Ledger) {
        let most = |of: &dyn Fn(&Row) -> f64| self.largest(of).max(naive.largest(of));
        let speed = SHARE * most(&|row| row.speed);
        let turned = SHARE * most(&|row| row.turned);
        let rises = SHARE * most(&|row| row.rises[0]) + KELVINS;
        let followed = self.rows.first().map_or(0, |row| row.means.len());
        let most_of = |from: usize, to: usize| {
            (from..to)
                .map(|k| most(&|row| row.means[k]))
                .fold(0.0, f64::max)
        };
        // Currents are held to the largest of all currents, voltages to the largest of all voltages.
        let amperes = SHARE * most_of(0, self.currents);
        let volts = SHARE * most_of(self.currents, followed) + VOLTS;
        let beside = |so: &dyn Fn(&Row) -> bool| {
            let both = self.beside(so).into_iter().zip(naive.beside(so));
            both.map(|(a, b)| a || b).collect::<Vec<bool>>()
        };
        let edges = beside(&|row| row.edge);
        let clicks = [self.clicks(), naive.clicks()].concat();
        for (place, (engine, other)) in self.rows.iter().zip(&naive.rows).enumerate() {
            let mut held = |name: &str, of: &dyn Fn(&Row) -> f64, bound: f64| {
                let what = format_args!("{what}: {name} at {:.2} s", engine.time);
                // What a breaker let go on too late goes on too late.
                let last = clicks.iter().filter(|&&click| click < engine.time);
                let late = RESTART_SHARE * last.copied().fold(0.0, f64::max);
                let apart = self.drift * engine.time + late + CLICK_S;
                let moves = naive.slope(place, of) * apart;
                ledger.near(what, of(engine), of(other), bound + moves + 1e-9);
            };
            held("angle", &|row| row.turned, turned);
            held("eccentric", &|row| row.out, turned + OUT_DEG);
            held("copper", &|row| row.rises[0], rises);
            held("iron", &|row| row.rises[1], rises);
            let after = |click: &f64| (-0.1..AFTER_CLICK_S).contains(&(engine.time - click));
            if !clicks.iter().any(after) {
                held("speed", &|row| row.speed, speed);
            }
            if !edges[place] {
                for k in 0..followed {
                    let (name, bound) = if k < self.currents {
                        ("current", amperes)
                    } else {
                        ("voltage", volts)
                    };
                    held(name, &|row| row.means[k], bound);
                }
            }
        }
        self.hold_events(what, naive, ledger);
    }

    fn hold_events(&self, what: &str, naive: &Self, ledger: &mut Ledger) {
        // One that comes at the very end of a run may come after it in the other.
        let end = self.rows.last().map_or(0.0, |row| row.time);
        let told_until = end - CLICK_SHARE * end - CLICK_S - self.row_at(end);
        let within = |mut clicks: Vec<f64>| {
            clicks.retain(|&click| click < told_until);
            clicks
        };
        let (clicks, expected) = (within(self.clicks()), within(naive.clicks()));
        let told = format_args!("{what}: clicks at {clicks:?}, naive at {expected:?}");
        ledger.holds(told, clicks.len() == expected.len());
        for (click, expected) in clicks.iter().zip(&expected) {
            // A row is as long as its own time step is: its end is where the click is told.
            let bound = CLICK_SHARE * expected + CLICK_S + self.row_at(*expected);
            ledger.near(format_args!("{what}: click"), *click, *expected, bound);
        }
        for (stop, expected) in self.stops().zip(naive.stops()) {
            let what = format_args!("{what}: stop at {:.2} s", stop.time);
            // As far as the last click may be off, so far may the crank have turned at full speed.
            let last = clicks.iter().rfind(|&&click| click <= stop.time);
            let late = last.map_or(0.0, |click| CLICK_SHARE * click + CLICK_S);
            let way = STOP_SHARE * expected.turned.abs();
            let bound = STOP_DEG + way + late * naive.fastest();
            ledger.near(what, stop.turned, expected.turned, bound);
        }
    }

    /// How fast something changes about a row, for each second: the most over some rows, as a brush that lifts once
    /// in a turn of the shaft makes a row's end hang on the moment when its neighbours do.
    fn slope(&self, place: usize, of: impl Fn(&Row) -> f64) -> f64 {
        let rows =
            &self.rows[place.saturating_sub(ABOUT)..(place + ABOUT + 1).min(self.rows.len())];
        let pairs = rows.windows(2);
        let slopes = pairs.map(|pair| {
            let row_s = pair[1].time - pair[0].time;
            (of(&pair[1]) - of(&pair[0])).abs() / row_s
        });
        slopes.fold(0.0, f64::max)
    }

    /// The most that the crank turned in any row, degrees a second.
    fn fastest(&self) -> f64 {
        let pairs = self.rows.windows(2);
        let rates = pairs
            .map(|pair| (pair[1].turned - pair[0].turned).abs() / (pair[1].time - pair[0].time));
        rates.fold(0.0, f64::max)
    }

    /// Length of the row that ends at a time.
    fn row_at(&self, time: f64) -> f64 {
        let place = self.rows.partition_point(|row| row.time < time - 1e-9);
        let before = place.checked_sub(1).map_or(0.0, |k| self.rows[k].time);
        self.rows.get(place).map_or(0.0, |row| row.time - before)
    }
}
