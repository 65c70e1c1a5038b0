//! Taking times: each piece of work by itself, those to be compared in turn, so that what else the machine does falls on
//! all of them alike.

use std::fs;
use std::time::{Duration, Instant};

/// Times of one kind of work, in seconds for one unit.
#[derive(Clone, Debug, Default)]
pub(crate) struct Times(Vec<f64>);

impl Times {
    /// Does a piece of work and keeps its time.
    pub(crate) fn take<T>(&mut self, work: impl FnOnce() -> T) -> T {
        let begun = Instant::now();
        let done = work();
        self.0.push(begun.elapsed().as_secs_f64());
        done
    }

    /// Keeps a time that was taken elsewhere, in seconds.
    pub(crate) fn put(&mut self, seconds: f64) {
        self.0.push(seconds);
    }

    /// How many there are.
    pub(crate) const fn count(&self) -> usize {
        self.0.len()
    }

    /// The time that a share of all are not above; the greatest for 1. None of no times.
    pub(crate) fn quantile(&self, share: f64) -> Option<f64> {
        let mut sorted = self.0.clone();
        sorted.sort_by(f64::total_cmp);
        // The smallest time with at least so many at or below it.
        let wanted = share * sorted.len() as f64;
        let place = (1..sorted.len()).take_while(|&count| (count as f64) < wanted);
        sorted.get(place.count()).copied()
    }

    /// The median; not a number of no times.
    pub(crate) fn median(&self) -> f64 {
        self.quantile(0.5).unwrap_or(f64::NAN)
    }
}

/// A piece of work by name; it is told the number of the round.
pub(crate) type Entrant<'a> = (&'a str, Box<dyn FnMut(usize) + 'a>);

/// Does pieces of work in turn, `batch` times each in every round, and keeps the times of one. The first tenth of the
/// rounds only warms up.
pub(crate) fn in_turn(rounds: usize, batch: usize, entrants: &mut [Entrant<'_>]) -> Vec<Times> {
    let mut times = vec![Times::default(); entrants.len()];
    let warm_up = rounds / 10;
    for round in 0..rounds + warm_up {
        for ((_, work), times) in entrants.iter_mut().zip(&mut times) {
            let begun = Instant::now();
            for _ in 0..batch {
                work(round);
            }
            if round >= warm_up {
                times.put(begun.elapsed().as_secs_f64() / batch as f64);
            }
        }
    }
    times
}

/// Time on the wall, and of all processors together where the system tells it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spent {
    /// Seconds on the wall.
    pub(crate) wall: f64,
    /// Seconds of processor, to a hundredth.
    pub(crate) processor: Option<f64>,
}

/// Does a long piece of work.
pub(crate) fn spent<T>(work: impl FnOnce() -> T) -> (T, Spent) {
    let (begun, before) = (Instant::now(), processor());
    let done = work();
    let wall = begun.elapsed().as_secs_f64();
    let processor = processor()
        .zip(before)
        .map(|(after, before)| after.saturating_sub(before).as_secs_f64());
    (done, Spent { wall, processor })
}

/// What this process has used of all processors, where Linux tells it.
fn processor() -> Option<Duration> {
    state(14)
}

/// What programs that this one started, and that have ended, have used of all processors, where Linux tells it.
pub(crate) fn processor_of_others() -> Option<Duration> {
    state(16)
}

/// The sum of two fields, counted from 1, of this process's state, which are in hundredths of a second.
fn state(first: usize) -> Option<Duration> {
    let state = fs::read_to_string("/proc/self/stat").ok()?;
    // The first two are its number and its name, and a name may hold anything.
    let (_, after_name) = state.rsplit_once(')')?;
    let fields = after_name.split_whitespace().skip(first - 3).take(2);
    let ticks: u64 = fields.filter_map(|field| field.parse::<u64>().ok()).sum();
    Some(Duration::from_millis(10 * ticks))
}

/// Seconds in a fitting unit, three digits.
pub(crate) fn words(seconds: f64) -> String {
    let (value, unit) = match seconds {
        s if s < 1e-6 => (s * 1e9, "ns"),
        s if s < 1e-3 => (s * 1e6, "us"),
        s if s < 1.0 => (s * 1e3, "ms"),
        s => (s, "s"),
    };
    let decimals = match value {
        v if v < 9.995 => 2,
        v if v < 99.95 => 1,
        _ => 0,
    };
    format!("{value:.decimals$} {unit}")
}

/// Median and 99th in a hundred, as two cells of a table.
pub(crate) fn cells(times: &Times) -> String {
    let cell = |share| times.quantile(share).map_or("-".to_owned(), words);
    format!("{} | {}", cell(0.5), cell(0.99))
}

impl std::fmt::Display for Spent {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.processor {
            Some(processor) => write!(f, "{} | {}", words(self.wall), words(processor)),
            None => write!(f, "{} | -", words(self.wall)),
        }
    }
}
