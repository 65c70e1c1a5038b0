//! Pulling at a terminal and moving a loom by hand, to find what is loose.

use super::bout::FALTERS_BY_HAND;
use super::motion::{Handling, Probe};
use super::observation::{Observable, Quantity, Scale};
use super::scales::{CLIP_SWINGS, FALTERS, GRIP, TURNED};
use super::shape::mean;
use super::tally::Span;
use super::{Action, SENSE_WINDOW_S, World, seconds};
use crate::network::SolveError;
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, Loose, Node, Path, Point, Vehicle};

/// Chance that a loose contact parts when hands move it, as far as a person can tell (judgement).
pub(super) const TOUCHED: f64 = 0.98;

/// Play from which a pin comes out of its plug when it is pulled, metres (judgement: as far as it is long).
const COMES_OUT_M: f64 = 10e-3;
/// By how much a motor's running must differ from what it is without a hand, seconds, to be noticed (judgement).
const IN_STEP_S: f64 = 0.2;

/// How far a clipped meter must swing to be noticed beside a hand that moves something, volts (judgement).
const SWINGS_V: f64 = 0.5;
/// How long a display shows one figure, seconds (handheld meters: two to three a second; from memory).
const FIGURE_S: f64 = 0.4;
/// The share of the figures shown that a hand must change by so much to be seen to, as it parts what is loose for three
/// tenths of the time at least ([`super::contacts`]).
const SHARE_CHANGED: f64 = 0.3;

/// Paths of a vehicle: component and position in its paths.
type Paths = Vec<(ComponentId, usize)>;

impl World {
    /// Pulls at what ends on a terminal: how far it gives, and what the motor makes of it. A pin that
    /// pulls out stays out until it is mended.
    pub(super) fn tug(
        &mut self,
        point: Point,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let grip = grip(&self.vehicle, point);
        let moved = pulled_at(&self.vehicle, point);
        let out = coming_out(&self.vehicle, &moved);
        let (span, by_hand, swings) = self.shake(&moved, &out, minutes)?;
        let subject = grip.subject.clone();
        let falters = falters(&span, by_hand, subject);
        Ok([grip, falters].into_iter().chain(swings).collect())
    }

    /// What a nut that nobody undid does under a spanner.
    pub(super) fn turned(&self, nut: ComponentId) -> Observable {
        let tight = self.vehicle.component(nut).kind == self.sound.component(nut).kind;
        let subject = self.vehicle.component(nut).id.to_string();
        let turns = if tight { 0.0 } else { 1.0 };
        Observable::steady(Quantity::Turned, subject, turns, Scale::Words(TURNED))
    }

    /// Moves a component to and fro with all that ends on it, or a wire with what it ends on.
    pub(super) fn wiggle(
        &mut self,
        component: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let subject = self.vehicle.component(component).id.to_string();
        let moved = moved_with(&self.vehicle, component);
        let (span, by_hand, swings) = self.shake(&moved, &Paths::new(), minutes)?;
        let falters = falters(&span, by_hand, subject);
        Ok(std::iter::once(falters).chain(swings).collect())
    }

    /// Moves these paths for the end of the minutes, and pulls some out for good. Whether the motor did as it did
    /// because of that: it would have done otherwise had nobody moved them. A hand that moves a thing to and fro tells
    /// that, as the motor follows it or does not. A meter that was left clipped is watched beside it, and judged by the
    /// figures it shows with the hand on and with the hand off: what swings by itself shows others too.
    fn shake(
        &mut self,
        moved: &Paths,
        out: &Paths,
        minutes: Minutes,
    ) -> Result<(Span, bool, Option<Observable>), SolveError> {
        self.touched = gives(&self.vehicle, moved).is_some();
        let total = seconds(minutes);
        let window = SENSE_WINDOW_S.min(total);
        self.pass(total - window, None)?;
        let mut unmoved = self.clone();
        self.motion
            .touch(|id, path| moved.contains(&(id, path)), window);
        if !out.is_empty() {
            let mut vehicle = Vehicle::clone(&self.vehicle);
            vehicle.pull_out(out);
            self.take_on(vehicle);
        }
        let handling = self.handling(None);
        let moved = self.touched.then(|| self.clone());
        let clip = self.bench.clip;
        let node = |point| self.vehicle.node(point);
        let watched: Vec<Probe> = clip
            .map(|(red, black)| Probe::Voltage(node(red), node(black)))
            .into_iter()
            .collect();
        let span = self.run(window, &watched, &handling)?;
        let swing = swing(&span);
        let alone = if self.touched && span.falters > 0 {
            Some(unmoved.clone().run(window, &watched, &handling)?)
        } else {
            None
        };
        let by_hand = span.falters > 0
            && alone.as_ref().is_some_and(|alone| {
                alone.falters != span.falters
                    || (alone.turning_s - span.turning_s).abs() > IN_STEP_S
            });
        let follows = match (moved, watched.first()) {
            (Some(mut moved), Some(&probe)) => {
                let figures = |world: &mut Self| world.figures(window, probe, &handling);
                apart(figures(&mut moved)?, figures(&mut unmoved)?) > SHARE_CHANGED * SWINGS_V
            }
            _ => false,
        };
        let swings = clip.map(|(red, black)| {
            let how = match (follows, swing > SWINGS_V) {
                (true, _) => 1.0,
                (false, true) => 2.0,
                (false, false) => 0.0,
            };
            let subject = self.between(red, black);
            Observable::steady(
                Quantity::ClipSwings,
                subject,
                how,
                Scale::Words(CLIP_SWINGS),
            )
        });
        self.has_taken(minutes);
        Ok((span, by_hand, swings))
    }

    /// The figures that a display shows of a probe, one after the other, for some seconds.
    fn figures(
        &mut self,
        window: f64,
        probe: Probe,
        handling: &Handling,
    ) -> Result<Vec<f64>, SolveError> {
        let mut figures = Vec::new();
        let mut left = window;
        while left > 0.0 {
            let span = self.run(FIGURE_S.min(left), &[probe], handling)?;
            figures.extend(span.traces.first().map(|trace| trace.mean));
            left -= FIGURE_S;
        }
        Ok(figures)
    }
}

/// How far two lots of figures are apart on the average, each in order of size: when one of them came makes no odds, for a
/// reading that swings with the crank swings on wherever that was when the hand came.
fn apart(mut some: Vec<f64>, mut others: Vec<f64>) -> f64 {
    some.sort_by(f64::total_cmp);
    others.sort_by(f64::total_cmp);
    let each = some.iter().zip(&others);
    let apart: Vec<f64> = each.map(|(one, other)| (one - other).abs()).collect();
    mean(&apart)
}

/// From top to bottom what the clipped meter showed over a span, volts.
fn swing(span: &Span) -> f64 {
    span.traces
        .first()
        .map_or(0.0, |trace| trace.max - trace.min)
}

/// Whether moving what an action moves parts something loose.
pub(crate) fn is_moved_with(vehicle: &Vehicle, action: &Action) -> bool {
    let moved = match action {
        Action::Tug(point) => pulled_at(vehicle, *point),
        Action::Wiggle(component) => moved_with(vehicle, *component),
        _ => return false,
    };
    gives(vehicle, &moved).is_some()
}

/// What is seen when hands part a contact that feeds a running motor, and the chance of that.
pub(crate) fn touched_show(seen: &[Observable]) -> (f64, Vec<Observable>) {
    let parted = |seen: &Observable| {
        let mut seen = seen.clone();
        if seen.quantity == Quantity::Falters {
            (seen.value, seen.min, seen.max) = (FALTERS_BY_HAND, FALTERS_BY_HAND, FALTERS_BY_HAND);
        }
        seen
    };
    (TOUCHED, seen.iter().map(parted).collect())
}

/// How far what ends on a terminal gives.
pub(super) fn grip(vehicle: &Vehicle, point: Point) -> Observable {
    let give = gives(vehicle, &pulled_at(vehicle, point)).unwrap_or(0.0);
    let subject = vehicle.point_name(point);
    Observable::steady(Quantity::Grip, subject, give, Scale::Words(GRIP))
}

fn pulled_at(vehicle: &Vehicle, point: Point) -> Paths {
    let node = vehicle.node(point);
    paths_on(vehicle, &[node], |id| {
        id == point.component || vehicle.component(id).is_conductor()
    })
}

fn moved_with(vehicle: &Vehicle, component: ComponentId) -> Paths {
    let part = vehicle.component(component);
    // A wire has no terminals of its own: what it ends on moves along.
    let conductor = part.is_conductor();
    let ends: Vec<Node> = if conductor {
        let both = |path: &Path| [path.p, path.n];
        part.paths.iter().flat_map(both).collect()
    } else {
        let nodes = part.terminals.iter().map(|terminal| terminal.node);
        nodes.collect()
    };
    paths_on(vehicle, &ends, |id| {
        id == component || conductor != vehicle.component(id).is_conductor()
    })
}

fn paths_on(vehicle: &Vehicle, nodes: &[Node], wanted: impl Fn(ComponentId) -> bool) -> Paths {
    let ids = vehicle.ids().filter(|&id| wanted(id));
    ids.flat_map(|id| {
        let paths = vehicle.component(id).paths.iter().enumerate();
        paths
            .filter(|(_, path)| nodes.contains(&path.p) || nodes.contains(&path.n))
            .map(move |(path, _)| (id, path))
    })
    .collect()
}

/// How far the loosest of some paths gives when it is pulled, millimetres; `None` when none is loose.
fn gives(vehicle: &Vehicle, paths: &Paths) -> Option<f64> {
    let play = |&(id, path): &(ComponentId, usize)| match vehicle.component(id).paths[path].loose {
        Some(Loose::Shaken { play, .. }) => Some(play.metres() * 1000.0),
        _ => None,
    };
    paths.iter().filter_map(play).reduce(f64::max)
}

/// Those of some paths that come out when they are pulled.
fn coming_out(vehicle: &Vehicle, paths: &Paths) -> Paths {
    let comes = |&(id, path): &(ComponentId, usize)| match vehicle.component(id).paths[path].loose {
        Some(Loose::Shaken { play, .. }) => play.metres() >= COMES_OUT_M,
        _ => false,
    };
    paths.iter().copied().filter(comes).collect()
}

/// What the motor made of a span in which something was moved, as [`FALTERS`] counts it.
pub(super) fn falters(span: &Span, by_hand: bool, subject: String) -> Observable {
    let how = match (span.falters, by_hand) {
        (0, _) => 0.0,
        (_, true) => FALTERS_BY_HAND,
        (_, false) => 2.0,
    };
    Observable::steady(Quantity::Falters, subject, how, Scale::Words(FALTERS))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::testing::van;
    use crate::world::{Errors, Observation};

    /// The van with a fault, wiping in LOW.
    fn wiping(fault: &str) -> World {
        let mut world = van(Some(fault));
        for (control, position) in [("key", 2), ("wiper", 1)] {
            let id = world.vehicle.control(control).unwrap();
            world.bench.positions[id.index()] = position;
            world.motion.setting.positions[id.index()] = position;
        }
        let handling = world.handling(None);
        world.run(3.0, &[], &handling).unwrap();
        world
    }

    fn words(seen: &[Observable]) -> Vec<&'static str> {
        let word = |seen: &Observable| match seen.observe(Errors::NONE) {
            Observation::Perception { word, .. } => word,
            Observation::Reading { .. } => "",
        };
        seen.iter().map(word).collect()
    }

    fn point(world: &World, name: &str) -> Point {
        let vehicle = &world.vehicle;
        vehicle
            .points()
            .find(|&point| vehicle.point_name(point) == name)
            .unwrap()
    }

    #[test]
    fn a_tug_tells_a_loose_terminal_a_broken_wire_and_what_holds() {
        let minutes = Minutes::from_hundredths(30);
        for (fault, expected) in [
            ("motor-plug.53-loose:0.1", "pulls out"),
            ("motor-53.broken-inside:0.1", "stretches"),
            ("motor-plug.53b-loose:0.1", "holds"),
            ("motor-plug.53-open", "holds"),
        ] {
            let mut world = wiping(fault);
            let at = point(&world, "motor-plug 53");
            let seen = words(&world.tug(at, minutes).unwrap());
            let falters = fault.contains("motor-plug.53-loose") || fault.contains("inside");
            assert_eq!(seen[0], expected, "{fault}");
            assert_eq!(seen[1] == "the motor falters", falters, "{fault}");
        }
    }

    #[test]
    fn a_pin_that_was_pulled_out_stays_out_until_it_is_mended() {
        let minutes = Minutes::from_hundredths(30);
        let mut world = wiping("motor-plug.53-loose:0.1");
        let at = point(&world, "motor-plug 53");
        assert_eq!(
            words(&world.tug(at, minutes).unwrap()),
            ["pulls out", "the motor falters"]
        );
        world.spend(Minutes::from_hundredths(200), None).unwrap();
        assert!(world.motion.speed() == 0.0);
        let again = words(&world.tug(at, minutes).unwrap());
        assert_eq!(again, ["pulls out", "the motor takes no notice"]);
        let plug = world.vehicle.find("motor-plug").unwrap();
        world.repair(plug, "mend");
        world.spend(minutes, None).unwrap();
        assert!(world.motion.speed() != 0.0);
        assert_eq!(
            words(&world.tug(at, minutes).unwrap()),
            ["holds", "the motor takes no notice"]
        );
        // What only gives stays in.
        let mut world = wiping("motor-53.broken-inside:0.1");
        world.tug(at, minutes).unwrap();
        let wire = world.vehicle.find("motor-53").unwrap();
        assert!(world.vehicle.component(wire).paths[0].resistance.ohms() < 1.0);
    }

    /// The meter and the motor are told of alike, whichever of the two takes notice.
    #[test]
    fn a_clipped_meter_is_told_of_with_what_moved_it() {
        let minutes = Minutes::from_hundredths(30);
        for (fault, moved, expected) in [
            (
                "motor-plug.53-loose:0.1",
                "motor-plug",
                "the clipped meter swings with the hand",
            ),
            (
                "motor-plug.53-loose:0.1",
                "bulkhead",
                "the clipped meter does not follow the hand",
            ),
            (
                "motor-plug.53-open",
                "motor-plug",
                "the clipped meter does not follow the hand",
            ),
        ] {
            let mut world = wiping(fault);
            world.bench.clip = Some((point(&world, "motor 53"), point(&world, "battery neg")));
            world.connect();
            let moved = world.vehicle.find(moved).unwrap();
            let seen = words(&world.wiggle(moved, minutes).unwrap());
            assert_eq!(seen.last(), Some(&expected), "{fault}");
        }
        // Without a clip nothing is told of one.
        let mut world = wiping("motor-plug.53-open");
        let moved = world.vehicle.find("motor-plug").unwrap();
        assert_eq!(words(&world.wiggle(moved, minutes).unwrap()).len(), 1);
    }

    /// What a park contact switches goes up and down with every turn of the crank; a hand at a pin that feeds the motor
    /// makes it stand still, one elsewhere does not.
    #[test]
    fn a_clipped_meter_that_swings_by_itself_is_told_to_follow_the_hand_where_it_does() {
        let minutes = Minutes::from_hundredths(30);
        for (moved, expected) in [
            ("motor-plug", "the clipped meter swings with the hand"),
            (
                "bulkhead",
                "the clipped meter swings, but not with the hand",
            ),
        ] {
            for pin in ["motor-plug 53e", "motor 53e"] {
                let mut world = wiping("motor-plug.53-loose:0.1");
                world.bench.clip = Some((point(&world, pin), point(&world, "battery neg")));
                world.connect();
                let moved = world.vehicle.find(moved).unwrap();
                let seen = words(&world.wiggle(moved, minutes).unwrap());
                assert_eq!(seen.last(), Some(&expected), "{pin}, {seen:?}");
            }
        }
    }

    #[test]
    fn figures_are_held_against_each_other_in_order_of_size() {
        let swings = |phase: u32| -> Vec<f64> {
            let figure = |k: u32| {
                if (k + phase).is_multiple_of(4) {
                    12.0
                } else {
                    0.0
                }
            };
            (0..24).map(figure).collect()
        };
        assert!(apart(swings(0), swings(3)).abs() < 1e-12);
        // A third of them gone: 12 V, in two of 24.
        let mut stood = swings(0);
        stood[..8].fill(0.0);
        assert!((apart(swings(0), stood) - 1.0).abs() < 1e-12);
    }

    /// Bouts of a pin fall into some windows while another plug is moved.
    #[test]
    fn a_motor_that_falters_by_itself_is_not_put_down_to_what_is_moved() {
        let minutes = Minutes::from_hundredths(30);
        let mut world = wiping("motor-plug.53-loose:0.4");
        let elsewhere = world.vehicle.find("bulkhead").unwrap();
        let mut heard = std::collections::BTreeSet::new();
        for _ in 0..20 {
            heard.extend(words(&world.wiggle(elsewhere, minutes).unwrap()));
        }
        let expected = [
            "the motor falters, but not with the hand",
            "the motor takes no notice",
        ];
        assert!(heard.iter().eq(&expected), "{heard:?}");
    }

    #[test]
    fn moving_a_plug_moves_its_pins_and_wires_and_nothing_far_off() {
        let minutes = Minutes::from_hundredths(30);
        for (fault, moved, falters) in [
            ("motor-plug.53-loose:0.1", "motor-plug", true),
            ("motor-53.broken-inside:0.1", "motor-plug", true),
            ("motor-plug.53-loose:0.1", "motor-53", true),
            ("motor-plug.53-loose:0.1", "bulkhead", false),
            ("bulkhead.30-loose:0.1", "bulkhead", true),
        ] {
            let mut world = wiping(fault);
            let moved = world.vehicle.find(moved).unwrap();
            let seen = words(&world.wiggle(moved, minutes).unwrap());
            assert_eq!(seen == ["the motor falters"], falters, "{fault}");
            assert_eq!(world.touched, falters);
        }
    }
}
