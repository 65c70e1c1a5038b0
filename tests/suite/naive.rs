//! The vehicle in time against a second, naive integrator: explicit Euler at a tenth of a millisecond, the
//! circuit assembled and solved afresh at every step by Gauss elimination, the linkage by the law of cosines and
//! numerical differentiation, friction and breaker by their definitions. Nothing of it comes from the engine;
//! its data are those of the design, written here once more.
//!
//! Held: shaft speed, crank angle and supply current within 0.5 % of their largest value all along, events
//! within 1 % of their time.

use groundside_engine::quantity::Angle;
use groundside_engine::scenario::Glass;
use groundside_tests::{Rig, Wiper, faulty, near, vehicle};

/// Seconds of a step where nothing else is said.
const STEP: f64 = 1e-4;
/// An open contact, ohm: enough beside everything else here.
const OPEN: f64 = 1e9;

// Nodes of the circuit; the battery's negative post is left out.
const SW15: usize = 0;
const SW53: usize = 1;
const SW53B: usize = 2;
const SW53E: usize = 3;
const M53: usize = 4;
const M53B: usize = 5;
const M53A: usize = 6;
const M53E: usize = 7;
const LOW: usize = 8;
const HIGH: usize = 9;
const COMMON: usize = 10;
const CASE: usize = 11;
const NODES: usize = 12;
const GROUND: usize = NODES;

/// State and settings of the naive vehicle.
#[derive(Clone, Debug)]
struct Naive {
    /// Seconds of a step.
    step: f64,
    wiper: Wiper,
    /// Coefficient of friction of blades on glass.
    friction: f64,
    /// Friction added at one pivot, newton metres.
    stiff: f64,
    /// Resistance added between case and ground.
    ground: f64,
    /// Shaft speed, rad/s.
    speed: f64,
    /// Crank angle since the start, radians; the start is the dead centre.
    crank: f64,
    /// Breaker: heat, and whether it has tripped.
    heat: f64,
    tripped: bool,
    /// Supply current, amperes.
    amps: f64,
}

impl Naive {
    fn new(wiper: Wiper) -> Self {
        Self {
            step: STEP,
            wiper,
            friction: 0.5,
            stiff: 0.0,
            ground: 0.0,
            speed: 0.0,
            crank: dead_centre(),
            heat: 0.0,
            tripped: false,
            amps: 0.0,
        }
    }

    fn in_window(&self) -> bool {
        // Centre 17, half width 14 degrees.
        let angle = self.crank.to_degrees().rem_euclid(360.0);
        (3.0..31.0).contains(&angle)
    }

    /// Supply current and torque of the winding.
    fn circuit(&self) -> (f64, f64) {
        let contact = |closed: bool| if closed { 0.01 } else { OPEN };
        let k = 0.0355 * self.speed;
        let breaker = if self.tripped { OPEN } else { 0.02 };
        let park = |closed: bool| if closed { 0.02 } else { OPEN };
        // From, to, ohm, volts of its own from the first over the second.
        let branches = [
            (SW15, GROUND, 0.015 + 0.060 - 0.02 + breaker, 12.6),
            (SW15, SW53, contact(self.wiper == Wiper::Low), 0.0),
            (SW15, SW53B, contact(self.wiper == Wiper::High), 0.0),
            (SW53E, SW53, contact(self.wiper == Wiper::Off), 0.0),
            (SW15, M53A, 0.01 + 0.035, 0.0),
            (SW53, M53, 0.035, 0.0),
            (SW53B, M53B, 0.035, 0.0),
            (SW53E, M53E, 0.035, 0.0),
            (M53A, M53E, park(!self.in_window()), 0.0),
            (M53E, CASE, park(self.in_window()), 0.0),
            (M53, LOW, 0.2 + 0.03, 0.0),
            (M53B, HIGH, 0.03, 0.0),
            (COMMON, CASE, 0.03, 0.0),
            (LOW, HIGH, 0.4, k / 3.0),
            (HIGH, COMMON, 0.8, k * 2.0 / 3.0),
            (LOW, COMMON, 1.2, k),
            (CASE, GROUND, 0.004 + self.ground, 0.0),
        ];
        let mut rows = [[0.0; NODES + 1]; NODES];
        for &(p, n, ohms, volts) in &branches {
            for (here, there, sign) in [(p, n, 1.0), (n, p, -1.0)] {
                if here != GROUND {
                    rows[here][here] += 1.0 / ohms;
                    rows[here][NODES] += sign * volts / ohms;
                    if there != GROUND {
                        rows[here][there] -= 1.0 / ohms;
                    }
                }
            }
        }
        let volts = gauss(rows);
        let at = |node: usize| if node == GROUND { 0.0 } else { volts[node] };
        let current = |index: usize| {
            let (p, n, ohms, emf) = branches[index];
            (at(p) - at(n) - emf) / ohms
        };
        let torque = 0.0355 * (current(13) / 3.0 + current(14) * 2.0 / 3.0 + current(15));
        (-current(0), torque)
    }

    /// Torque at the shaft that opposes motion: two arms of 7 N at 0.42 m and pivots of 0.15 N.m through the linkage and a
    /// worm of 60:1 and efficiency 0.5, and Coulomb friction.
    fn opposing(&self) -> f64 {
        let at_pivots = 2.0 * (7.0 * 0.42 * self.friction + 0.15) + self.stiff;
        at_pivots * ratio(self.crank).abs() / (60.0 * 0.5) + 0.010
    }

    fn step(&mut self) {
        let (amps, torque) = self.circuit();
        self.amps = amps;
        let opposing = self.opposing();
        if self.speed == 0.0 && torque.abs() <= opposing {
            // It sticks.
        } else {
            let way = if self.speed == 0.0 {
                torque.signum()
            } else {
                self.speed.signum()
            };
            let net = torque - way * opposing - 1e-5 * self.speed;
            let next = self.speed + self.step * net / 4.5e-5;
            self.crank += self.step * self.speed / 60.0;
            // Friction stops a shaft, it never turns it back.
            self.speed = if self.speed != 0.0 && next * self.speed < 0.0 {
                0.0
            } else {
                next
            };
        }
        self.heat += self.step / 27.0 * ((amps / 8.5).powi(2) - self.heat);
        if self.heat >= 1.0 {
            self.tripped = true;
        } else if self.heat <= 0.6 {
            self.tripped = false;
        }
    }

    fn run(&mut self, seconds: f64) {
        let mut left = seconds;
        while left > 0.5 * self.step {
            self.step();
            left -= self.step;
        }
    }

    /// Seconds until the breaker opens or closes.
    fn seconds_to_click(&mut self, limit: f64) -> Option<f64> {
        let before = self.tripped;
        let mut gone = 0.0;
        while gone < limit {
            self.step();
            gone += self.step;
            if self.tripped != before {
                return Some(gone);
            }
        }
        None
    }
}

/// Crank angle at which crank 0.067 and coupler 0.30 are stretched out, frame 0.31, rocker from the file.
fn dead_centre() -> f64 {
    let reach = 0.30 + 0.067;
    ((0.31_f64.powi(2) + reach * reach - rocker().powi(2)) / (2.0 * 0.31 * reach)).acos()
}

/// The rocker's length is the one datum that is looked up, in the text of the file.
fn rocker() -> f64 {
    let line = groundside_tests::VEHICLE
        .lines()
        .find(|line| line.starts_with("rocker_m"));
    let value = line.unwrap().split(['=', '#']).nth(1).unwrap();
    value.trim().parse().unwrap()
}

/// Angle of the rocker for a crank angle: two triangles over the diagonal from crank pin to pivot.
fn rocker_angle(crank: f64) -> f64 {
    let (x, y) = (0.31 - 0.067 * crank.cos(), -0.067 * crank.sin());
    let diagonal = x.hypot(y);
    let c = rocker();
    let at_pivot = ((diagonal * diagonal + c * c - 0.09) / (2.0 * diagonal * c)).acos();
    // From the pivot the crank pin lies the other way along the diagonal.
    (-y).atan2(-x) - at_pivot
}

/// Rocker speed over crank speed.
fn ratio(crank: f64) -> f64 {
    let h = 1e-5;
    let difference = rocker_angle(crank + h) - rocker_angle(crank - h);
    let turn = std::f64::consts::TAU;
    (difference - turn * (difference / turn).round()) / (2.0 * h)
}

fn gauss(mut rows: [[f64; NODES + 1]; NODES]) -> [f64; NODES] {
    for column in 0..NODES {
        let mut largest = column;
        for row in column..NODES {
            if rows[row][column].abs() > rows[largest][column].abs() {
                largest = row;
            }
        }
        rows.swap(column, largest);
        let pivot = rows[column];
        for row in &mut rows[column + 1..] {
            let factor = row[column] / pivot[column];
            if factor != 0.0 {
                for (entry, above) in row.iter_mut().zip(pivot).skip(column) {
                    *entry -= factor * above;
                }
            }
        }
    }
    let mut solution = [0.0; NODES];
    for row in (0..NODES).rev() {
        let known: f64 = (row + 1..NODES)
            .map(|column| rows[row][column] * solution[column])
            .sum();
        solution[row] = (rows[row][NODES] - known) / rows[row][row];
    }
    solution
}

/// A hundredth of a second of both vehicles: speed and crank degrees gone at its end, mean current over it.
struct Moment {
    values: [(f64, f64); 3],
    /// Whether the park contact moved in it: then one step more or less of the one current or the other is a
    /// hundredth of the mean.
    edge: bool,
}

fn traces(rig: &mut Rig, naive: &mut Naive, seconds: f64) -> Vec<Moment> {
    let supply = rig.amps("wiper-breaker");
    let (mut gone, start) = (0.0, naive.crank);
    let mut list = Vec::new();
    let mut time = 0.0;
    while time < seconds {
        let stretch = rig.watch(0.01, &[supply]);
        gone += stretch.crank_turns * 360.0;
        let mut amps = 0.0;
        let inside = naive.in_window();
        for _ in 0..100 {
            naive.step();
            amps += naive.amps / 100.0;
        }
        time += 0.01;
        list.push(Moment {
            values: [
                (rig.trial.shaft_speed().radians_per_second(), naive.speed),
                (gone, (naive.crank - start).to_degrees()),
                (stretch.followed[0].mean, amps),
            ],
            edge: naive.in_window() != inside,
        });
    }
    list
}

/// Holds traces within 0.5 % of their largest values; a current in which the park contact moved within 1 %.
#[track_caller]
fn alike(what: &str, traces: &[Moment]) {
    for (quantity, name) in ["speed", "angle", "current"].iter().enumerate() {
        let values = || traces.iter().map(|moment| moment.values[quantity]);
        let largest = values().map(|(_, naive)| naive.abs()).fold(0.0, f64::max);
        for (place, (moment, (engine, naive))) in traces.iter().zip(values()).enumerate() {
            let share = if moment.edge && quantity == 2 {
                0.01
            } else {
                0.005
            };
            assert!(
                (engine - naive).abs() <= share * largest,
                "{what}, {name} after {place} hundredths: engine {engine}, here {naive}, largest {largest}"
            );
        }
    }
}

#[test]
fn spin_up_in_low_and_in_high() {
    for (wiper, glass, friction) in [
        (Wiper::Low, Glass::Wet, 0.5),
        (Wiper::High, Glass::Wet, 0.5),
        (Wiper::High, Glass::Dry, 1.0),
    ] {
        let mut rig = Rig::new(&vehicle(), glass);
        rig.set(wiper);
        let mut naive = Naive {
            friction,
            ..Naive::new(wiper)
        };
        alike(
            &format!("{wiper:?} {}", glass.word()),
            &traces(&mut rig, &mut naive, 4.0),
        );
    }
}

#[test]
fn braking_into_park() {
    // OFF at seven moments of a wipe; the first ones outside the window, one within it by its nature.
    for tenths in 0..7_u32 {
        let mut rig = Rig::new(&vehicle(), Glass::Wet);
        rig.set(Wiper::Low);
        let mut naive = Naive::new(Wiper::Low);
        let run = 1.0 + 0.2 * f64::from(tenths);
        rig.run(run);
        naive.run(run);
        rig.set(Wiper::Off);
        naive.wiper = Wiper::Off;
        alike(
            &format!("OFF after {run}"),
            &traces(&mut rig, &mut naive, 2.5),
        );
        assert!(naive.speed == 0.0 && rig.trial.shaft_speed().radians_per_second() == 0.0);
        let stop = naive.crank.to_degrees().rem_euclid(360.0);
        near("stop", rig.trial.crank().degrees(), stop, 0.1);
    }
}

#[test]
fn stall_and_trip() {
    // Stalled from mid-glass by a seized pivot (60 N.m); LOW is followed through a cycle of the breaker.
    for (wiper, clicks) in [(Wiper::Low, 3), (Wiper::High, 1)] {
        let mut rig = Rig::new(&faulty("left-pivot.seized"), Glass::Wet);
        rig.trial.set_crank(Angle::from_degrees(100.0));
        rig.set(wiper);
        let mut naive = Naive {
            stiff: 60.0,
            crank: 100_f64.to_radians(),
            // It stands still nearly all the time.
            step: 1e-3,
            ..Naive::new(wiper)
        };
        for _ in 0..clicks {
            let expected = naive.seconds_to_click(60.0).unwrap();
            near(
                "click",
                rig.seconds_to_click(60.0).unwrap(),
                expected,
                0.01 * expected,
            );
        }
    }
    // A stiff pivot that lets it turn: the current swings over the wipe, and the heat with it.
    let mut rig = Rig::new(&faulty("left-pivot.stiff:9"), Glass::Wet);
    rig.set(Wiper::High);
    let mut naive = Naive {
        stiff: 9.0,
        step: 5e-4,
        ..Naive::new(Wiper::High)
    };
    let expected = naive.seconds_to_click(60.0).unwrap();
    near(
        "trip",
        rig.seconds_to_click(60.0).unwrap(),
        expected,
        0.01 * expected,
    );
}

#[test]
fn creeping_near_a_stall() {
    // 2 ohm in the ground: HIGH creeps over its heaviest load, where small errors would last longest.
    let mut rig = Rig::new(&faulty("motor-strap.high-resistance:2"), Glass::Wet);
    rig.set(Wiper::High);
    let mut naive = Naive {
        ground: 2.0,
        step: 5e-4,
        ..Naive::new(Wiper::High)
    };
    rig.run(5.0);
    naive.run(5.0);
    let start = naive.crank;
    let turns = rig.run(20.0).crank_turns;
    naive.run(20.0);
    let expected = (naive.crank - start) / std::f64::consts::TAU;
    near("turns", turns, expected, 0.01 * expected);
}
