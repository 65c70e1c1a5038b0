//! Relays and interval units of the naive vehicle.

use groundside_engine::vehicle::{IntervalData, Kind, RelayData, Vehicle};

use super::wiring::Wiring;

/// After what a unit answers, seconds: as the format's notes have it.
const ANSWERS_S: f64 = 0.01;
/// Seconds that are as good as none.
const NONE_S: f64 = 1e-12;

/// What a unit is at.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Doing {
    Nothing,
    Pulse,
    Pause,
    Washing,
    AfterWash,
}

#[derive(Clone, Copy, Debug)]
enum Kept {
    /// Whether the armature can move.
    Relay(RelayData, bool),
    /// What the unit is at, and until the end of that in seconds.
    Unit(IntervalData, Doing, f64),
}

#[derive(Clone, Copy, Debug)]
struct Switch {
    component: usize,
    /// The first of what it watches.
    first: usize,
    kept: Kept,
    /// Seconds for which it has been called to move, and after which it does.
    called: Option<(f64, f64)>,
}

/// All of a vehicle.
#[derive(Clone, Debug)]
pub(super) struct Switches {
    /// Branches whose currents all of them go by.
    pub(super) watched: Vec<usize>,
    list: Vec<Switch>,
}

/// What a unit is to be at, by the currents of supply, interval and washing.
fn wanted(data: &IntervalData, doing: Doing, currents: &[f64]) -> Doing {
    let on = |place: usize| currents[place] >= data.on_from.amperes();
    if currents[0] < data.works_from.amperes() {
        Doing::Nothing
    } else if on(2) {
        Doing::Washing
    } else {
        match doing {
            Doing::Washing => Doing::AfterWash,
            Doing::Nothing if on(1) => Doing::Pulse,
            Doing::Pulse | Doing::Pause if !on(1) => Doing::Nothing,
            other => other,
        }
    }
}

fn lasts(data: &IntervalData, doing: Doing) -> f64 {
    match doing {
        Doing::Pulse => data.pulse.seconds(),
        Doing::Pause => data.pause.seconds(),
        Doing::AfterWash => data.after_wash.seconds(),
        Doing::Nothing | Doing::Washing => f64::INFINITY,
    }
}

impl Switches {
    pub(super) fn of(vehicle: &Vehicle, wiring: &Wiring) -> Self {
        let mut all = Self {
            watched: Vec::new(),
            list: Vec::new(),
        };
        for (component, part) in vehicle.components.iter().enumerate() {
            let (kept, paths): (Kept, &[usize]) = match part.kind {
                Kind::Relay(data) => (Kept::Relay(data, part.switches()), &[0]),
                Kind::IntervalUnit(data) => {
                    (Kept::Unit(data, Doing::Nothing, f64::INFINITY), &[0, 1, 2])
                }
                _ => continue,
            };
            all.list.push(Switch {
                component,
                first: all.watched.len(),
                kept,
                called: None,
            });
            let branches = paths.iter().map(|&path| wiring.branch(component, path));
            all.watched.extend(branches);
        }
        all
    }

    /// Notices who is called to move.
    pub(super) fn look(&mut self, currents: &[f64], pulled: &[bool]) {
        for switch in &mut self.list {
            let currents = &currents[switch.first..];
            let (moves, after) = match switch.kept {
                Kept::Relay(data, free) => {
                    let amperes = currents[0].abs();
                    let moves = if pulled[switch.component] {
                        amperes <= data.drop_out.amperes()
                    } else {
                        amperes >= data.pull_in.amperes()
                    };
                    (free && moves, data.operate.seconds())
                }
                Kept::Unit(data, doing, _) => (wanted(&data, doing, currents) != doing, ANSWERS_S),
            };
            if !moves {
                switch.called = None;
            } else if switch.called.is_none() {
                switch.called = Some((0.0, after));
            }
        }
    }

    /// Seconds until the next of them moves.
    pub(super) fn left(&self) -> f64 {
        let left = self.list.iter().map(|switch| {
            let called = switch
                .called
                .map_or(f64::INFINITY, |(gone, after)| after - gone);
            match switch.kept {
                Kept::Unit(_, _, left) => called.min(left),
                Kept::Relay(..) => called,
            }
        });
        left.fold(f64::INFINITY, f64::min)
    }

    /// Lets time pass; whether something moved.
    pub(super) fn pass(&mut self, step: f64, currents: &[f64], pulled: &mut [bool]) -> bool {
        let mut any = false;
        for switch in &mut self.list {
            let mut moves = false;
            if let Some((gone, after)) = &mut switch.called {
                *gone += step;
                moves = *gone >= *after - NONE_S;
            }
            if moves {
                switch.called = None;
            }
            let now = match &mut switch.kept {
                Kept::Relay(..) => pulled[switch.component] != moves,
                Kept::Unit(data, doing, left) => {
                    *left -= step;
                    let next = if moves {
                        wanted(data, *doing, &currents[switch.first..])
                    } else if *left <= NONE_S {
                        match *doing {
                            Doing::Pulse => Doing::Pause,
                            Doing::Pause => Doing::Pulse,
                            _ => Doing::Nothing,
                        }
                    } else {
                        *doing
                    };
                    if next != *doing {
                        (*doing, *left) = (next, lasts(data, next));
                    }
                    matches!(*doing, Doing::Pulse | Doing::Washing | Doing::AfterWash)
                }
            };
            any |= now != pulled[switch.component];
            pulled[switch.component] = now;
        }
        any
    }
}
